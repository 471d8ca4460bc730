"""The week's order brought within what may be spent, by the cuts that harm least."""

from collections.abc import Sequence
from dataclasses import replace

from stockroom.services.weekly.review import OrderLine

__all__ = ["within"]

CUT_FIRST = ("for_fill", "for_minimum", "for_expected", "for_jobs", "for_short")
"""Filling up and minimums harm nobody yet, cover may harm somebody, jobs are promised, the short
ones now."""


def within(lines: Sequence[OrderLine], most: int) -> tuple[list[OrderLine], list[str]]:
    """The lines that cost no more than this (minor units), and each cut in words.

    Stick by stick (box by box where boxes are sold): minimums go first, then cover, of the classes
    that carry least of the trade first and the dearest stick first, then later jobs, then those
    that are short today. Lines without a price are left as they are.
    """
    left = list(lines)
    for kind in CUT_FIRST:
        order = sorted(range(len(left)), key=lambda at: (left[at].rank, left[at].stick_price or 0),
                       reverse=True)  # fmt: skip
        for at in order:
            while spent(left) > most and getattr(left[at], kind) and left[at].price is not None:
                left[at] = one_less(left[at], kind)
    said = []
    for at, was in enumerate(lines):
        if gone := was.sticks - left[at].sticks:
            said.append(f"{was.profile}: {gone} of {was.sticks} left out")
            left[at] = replace(left[at], why=f"{was.why}; {gone} left out for the budget")
    return [line for line in left if line.sticks or line.cut], said


def spent(lines: Sequence[OrderLine]) -> int:
    """What the lines with a price come to."""
    return sum(line.price or 0 for line in lines)


def one_less(line: OrderLine, kind: str) -> OrderLine:
    """A line with one stick less of a kind; its last box is filled up again."""
    parts = {name: getattr(line, name) - (name == kind) for name in CUT_FIRST}
    needed = sum(parts.values())
    box = -needed % line.box
    cut = sum(one.price for one in line.cut)
    return replace(line, **parts, for_box=box, sticks=needed + box,
                   likely=min(line.likely, parts["for_expected"]),
                   price=(line.stick_price or 0) * (needed + box) + cut)  # fmt: skip

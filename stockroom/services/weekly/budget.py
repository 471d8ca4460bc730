"""The week's order brought within what may be spent, by the cuts that harm least."""

from collections.abc import Sequence
from dataclasses import replace

from stockroom.facts import Fact
from stockroom.services.weekly.review import OrderLine

__all__ = ["within"]

CUT_FIRST = ("for_fill", "for_minimum", "for_expected", "for_jobs", "for_short")
"""Filling up and minimums harm nobody yet, cover may harm somebody, jobs are promised, the short
ones now."""


def within(lines: Sequence[OrderLine], most: int) -> tuple[list[OrderLine], list[Fact]]:
    """The lines that cost no more than this (minor units), and each cut.

    Stick by stick (box by box where boxes are sold): minimums go first, then spare sticks, those
    first whose lack costs least for the money, then later jobs, then those that are short today,
    the dearest stick first. Lines without a price are left as they are.
    """
    left = list(lines)
    for kind in CUT_FIRST:
        while spent(left) > most:
            there = [at for at, line in enumerate(left)
                     if getattr(line, kind) and line.price is not None]  # fmt: skip
            if not there:
                break
            at = min(there, key=lambda at: harm(left[at], kind))
            left[at] = one_less(left[at], kind)
    said = []
    for at, was in enumerate(lines):
        if gone := was.sticks - left[at].sticks:
            said.append(Fact("left_out", {"profile": was.profile, "gone": gone,
                                          "sticks": was.sticks}))  # fmt: skip
            cut = Fact("left_out_for_budget", {"gone": gone})
            left[at] = replace(left[at], why=(*was.why, cut))
    return [line for line in left if line.sticks or line.cut], said


def spent(lines: Sequence[OrderLine]) -> int:
    """What the lines with a price come to."""
    return sum(line.price or 0 for line in lines)


def harm(line: OrderLine, kind: str) -> tuple[float, int]:
    """What one stick less of a kind costs, for each unit of money that it saves; dear sticks before
    cheap ones where that is not known."""
    price, sticks = line.stick_price or 0, line.for_expected
    if kind != "for_expected" or line.spare is None or not price:
        return 0.0, -price
    costs = line.spare.costs
    more = costs[min(sticks - 1, len(costs) - 1)] - costs[min(sticks, len(costs) - 1)]
    return more / price, -price


def one_less(line: OrderLine, kind: str) -> OrderLine:
    """A line with one stick less of a kind; its last box is filled up again."""
    parts = {name: getattr(line, name) - (name == kind) for name in CUT_FIRST}
    needed = sum(parts.values())
    box = -needed % line.box
    cut = sum(one.price for one in line.cut)
    return replace(line, **parts, for_box=box, sticks=needed + box,
                   price=(line.stick_price or 0) * (needed + box) + cut)  # fmt: skip

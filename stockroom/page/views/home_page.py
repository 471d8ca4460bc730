"""The first page: what waits at each place of the shop."""

from collections.abc import Sequence

from starlette.responses import Response

from stockroom.page.asking import Ask, render, shown
from stockroom.services.now.what_now import WhatNow, what_now
from stockroom.words.language import day_told, word

__all__ = ["ROUTES"]

MOST = 8


def home(ask: Ask) -> Response:
    """The places of the shop, each with what waits there."""
    return render(ask, "home.html", waits=waiting(what_now(ask.shop)))


def waiting(now: WhatNow) -> dict[str, list[str]]:
    """What waits at each place; what is late stands first."""
    return {
        "morning": [word("To plan: {to_plan}", to_plan=some([f"J{one.number}" for one in
                                                             now.to_plan]))] * bool(now.to_plan)
        + [word("Proposed: plan {number}", number=plan.number) for plan in now.drafted],
        "saw": [word("To cut: {waiting:piece} of plan {number}", waiting=plan.waiting,
                     number=plan.number) for plan in now.to_cut],
        "counter": [word(said, jobs=some([f"J{one.number}" for one in jobs])) for said, jobs in (
            ("Late: {jobs}", now.late), ("At the bench: {jobs}", now.at_bench),
            ("Ready to be collected: {jobs}", now.ready)) if jobs],
        "rack": [word("Without a label: {numbers}", numbers=some(list(map(str, now.unlabelled))))]
        * bool(now.unlabelled),
        "week": [word("Order {number} to {supplier}: {state}", number=order.number,
                      supplier=order.supplier,
                      state=word("late") if order.late(now.day) else day_told(order.due))
                 for order in now.arriving]
        + [word("Order {number} is not placed", number=order.number) for order in now.unplaced],
    }  # fmt: skip


def some(names: Sequence[str]) -> str:
    """Names, at most eight of them."""
    more = word(" and {names} more", names=len(names) - MOST) if len(names) > MOST else ""
    return ", ".join(names[:MOST]) + more


ROUTES = (shown("/", home),)

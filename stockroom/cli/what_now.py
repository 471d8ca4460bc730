"""What `stockroom` alone says: what matters now, each with its command."""

from collections.abc import Iterator, Sequence

import typer

from stockroom.cli.app import answer, bench, counted, say
from stockroom.cli.command_list import COMMANDS, DAY
from stockroom.cli.remedies import worded
from stockroom.refusals import NoShop
from stockroom.screens.lists import Column, show_rows
from stockroom.services.now.what_now import WhatNow, what_now
from stockroom.units.dates import day_with_weekday

__all__ = ["commands", "say_now"]


def say_now(ctx: typer.Context) -> None:
    """Say what matters now, each with its command; as stockroom alone does.

    [dim]Example: stockroom now[/dim]
    """
    try:
        shop = bench(ctx).open()
    except NoShop as error:
        say(worded(error))
        say("Next: stockroom setup; all commands: stockroom --help")
        raise typer.Exit(error.exit_code) from error
    now = what_now(shop)
    answer(f"{shop.settings.name}, {day_with_weekday(now.day)}")
    for what, command in (*matters(now), ("All commands", "stockroom --help")):
        answer(f"{what}: {command}")


def commands() -> None:
    """Say what each command does, by the parts of the day.

    [dim]Example: stockroom commands[/dim]
    """
    rows = [(listed.panel, name, listed.line) for panel in DAY
            for name, listed in COMMANDS.items() if listed.panel == panel]  # fmt: skip
    show_rows([Column("when", "when"), Column("command", "command"),
               Column("what", "what it does", wraps=True)], rows, "table")  # fmt: skip


def matters(now: WhatNow) -> Iterator[tuple[str, str]]:
    """Each thing that matters, and its command; what is late stands first."""
    if now.late:
        yield f"Late: {some([f'J{job.number}' for job in now.late])}", "stockroom jobs"
    for order in now.arriving:
        if late := order.late(now.day):
            yield (f"Order {order.number} from {order.supplier} is {counted(late, 'day')} late",
                   f"stockroom orders show {order.number}")  # fmt: skip
    for plan in now.to_cut:
        yield (f"To cut: {counted(plan.waiting, 'piece')} of plan {plan.number}",
               f"stockroom cut {plan.number}")  # fmt: skip
    for plan in now.drafted:
        yield f"Proposed: plan {plan.number}", f"stockroom accept {plan.number}"
    if now.to_plan:
        yield f"To plan: {some([f'J{job.number}' for job in now.to_plan])}", "stockroom plan"
    elif now.next_cut is not None:
        yield (f"Next to be cut by {day_with_weekday(now.next_cut)}",
               f"stockroom plan --until {now.next_cut}")  # fmt: skip
    if now.at_bench:
        told = some([f"J{job.number} {job.state}" for job in now.at_bench])
        yield f"At the bench: {told}", "stockroom jobs"
    if now.ready:
        told = some([f"J{job.number} {job.customer}" for job in now.ready])
        yield f"Ready to be collected: {told}", "stockroom jobs"
    if now.unlabelled:
        yield f"Without a label: {some(list(map(str, now.unlabelled)))}", "stockroom labels"
    for order in now.arriving:
        if not order.late(now.day):
            due = f", due {day_with_weekday(order.due)}" if order.due else ""
            yield (f"To come: {counted(order.to_come, 'stick')} from {order.supplier}{due}",
                   f"stockroom orders show {order.number}")  # fmt: skip
    for order in now.unplaced:
        yield f"Order {order.number} is not placed", f"stockroom orders place {order.number}"
    yield "What to buy this week", "stockroom order"


def some(names: Sequence[str]) -> str:
    """Names, at most eight of them."""
    return ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")

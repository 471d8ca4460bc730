"""What `stockroom` alone says: what matters now, each with its command."""

from collections.abc import Iterator, Sequence

import typer

from stockroom.cli.app import answer, bench, say
from stockroom.cli.command_list import COMMANDS, DAY
from stockroom.cli.remedies import worded
from stockroom.refusals import NoShop
from stockroom.screens.lists import Column, show_rows
from stockroom.services.now.what_now import WhatNow, what_now
from stockroom.words.language import day_told, word
from stockroom.words.languages import translated

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
    answer(f"{shop.settings.name}, {day_told(now.day)}")
    for what, command in (*matters(now), ("All commands", "stockroom --help")):
        answer(f"{translated(what)}: {command}")


def commands() -> None:
    """Say what each command does, by the parts of the day.

    [dim]Example: stockroom commands[/dim]
    """
    rows = [(translated(panel), name, translated(listed.line)) for panel in DAY
            for name, listed in COMMANDS.items() if listed.panel == panel]  # fmt: skip
    show_rows([Column("when", "when"), Column("command", "command"),
               Column("what", "what it does", wraps=True)], rows, "table")  # fmt: skip


def matters(now: WhatNow) -> Iterator[tuple[str, str]]:
    """Each thing that matters, and its command; what is late stands first."""
    if now.late:
        yield (word("Late: {late}", late=some([f"J{job.number}" for job in now.late])),
               "stockroom jobs")  # fmt: skip
    for order in now.arriving:
        if late := order.late(now.day):
            yield (word("Order {number} from {supplier} is {late:day} late", number=order.number,
                        supplier=order.supplier, late=late),
                   f"stockroom orders show {order.number}")  # fmt: skip
    for plan in now.to_cut:
        yield (word("To cut: {waiting:piece} of plan {number}", waiting=plan.waiting,
                    number=plan.number),
               f"stockroom cut {plan.number}")  # fmt: skip
    for plan in now.drafted:
        yield word("Proposed: plan {number}", number=plan.number), f"stockroom accept {plan.number}"
    if now.to_plan:
        yield (word("To plan: {to_plan}", to_plan=some([f"J{job.number}" for job in now.to_plan])),
               "stockroom plan")  # fmt: skip
    elif now.next_cut is not None:
        yield (word("Next to be cut by {next_cut:day}", next_cut=now.next_cut),
               f"stockroom plan --until {now.next_cut}")  # fmt: skip
    if now.at_bench:
        told = some([f"J{job.number} {job.state}" for job in now.at_bench])
        yield word("At the bench: {told_}", told_=told), "stockroom jobs"
    if now.ready:
        told = some([f"J{job.number} {job.customer}" for job in now.ready])
        yield word("Ready to be collected: {told_}", told_=told), "stockroom jobs"
    if now.unlabelled:
        yield (word("Without a label: {str}", str=some(list(map(str, now.unlabelled)))),
               "stockroom labels")  # fmt: skip
    for order in now.arriving:
        if not order.late(now.day):
            due = word(", due {due:day}", due=order.due) if order.due else ""
            yield (word("To come: {to_come:stick} from {supplier}{due}", to_come=order.to_come,
                        supplier=order.supplier, due=due),
                   f"stockroom orders show {order.number}")  # fmt: skip
    for order in now.unplaced:
        yield (word("Order {number} is not placed", number=order.number),
               f"stockroom orders place {order.number}")  # fmt: skip
    yield "What to buy this week", "stockroom order"


def some(names: Sequence[str]) -> str:
    """Names, at most eight of them."""
    return ", ".join(names[:8]) + (
        word(" and {names} more", names=len(names) - 8) if len(names) > 8 else ""
    )

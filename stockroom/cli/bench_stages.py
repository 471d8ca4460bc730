"""Commands on how far jobs are: jobs, joined, fitted, ready, collected."""

from datetime import date
from typing import Annotated, Literal

import typer

from stockroom.cli.app import How, bench, day_typed, done, how_option
from stockroom.cli.asking.completing import profiles_known
from stockroom.cli.next_steps import plan_step
from stockroom.screens.lists import Column, show_rows
from stockroom.services.counter.job_list import JobRow, job_rows, stage_rows
from stockroom.services.counter.stages import reach
from stockroom.words.language import day_told, word

__all__ = ["told_state"]

Jobs = Annotated[list[str], typer.Argument(metavar="JOB...", help="Such as J12 J14.")]
Why = Annotated[str, typer.Option("--why", help="The reason, for the record.")]


def jobs(
    ctx: typer.Context,
    until: Annotated[str | None, typer.Option("--until", metavar="DAY")] = None,
    profile: Annotated[
        str | None,
        typer.Option("--profile", "-p", help="One profile only.", autocompletion=profiles_known),
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="The cut and cancelled too.")] = False,
    late: Annotated[bool, typer.Option("--late", help="Those that are late, and phones.")] = False,
    how: How = "table",
) -> None:
    """List the jobs that wait for something, by due day.

    [dim]Example: stockroom jobs --until 2026-12-04[/dim]
    """
    shop = bench(ctx).open()
    length, unit = shop.settings.length, shop.settings.unit
    found = job_rows(shop, until=day_typed(shop, until), done=every, profile=profile)
    if late:
        found = [row for row in found if row.late(shop.hand.day)]
    seen: Literal["all", "script"] = (
        "all" if any(row.cut_by != row.due for row in found) else "script"
    )
    columns = [
        Column("job", "job"), Column("due", "due", show=day_told),
        Column("cut_by", "cut by", show=day_told, seen_by=seen),
        Column("whose", "for", wraps=True, seen_by="eye"),
        Column("customer", "", seen_by="script"), Column("title", "", seen_by="script"),
        Column("phone", "phone", seen_by="all" if late else "script"),
        Column("profile", "profile"),
        Column("rails", word("rails, {unit}", unit=unit), "right", seen_by="eye"),
        Column("across_um", "", seen_by="script"), Column("upright_um", "", seen_by="script"),
        Column("quantity", "", seen_by="script"), Column("rails_waiting", "to cut", "right"),
        Column("state", "", seen_by="script"), Column("late", "state", seen_by="eye", wraps=True),
    ]  # fmt: skip
    rows = [
        (f"J{r.number}", r.due, r.cut_by, ", ".join(filter(None, (r.customer, r.title))),
         r.customer, r.title, r.phone, r.profile, f"{length(r.across)} x {length(r.upright)}",
         r.across, r.upright, r.quantity, r.rails_waiting, r.state, told_state(r, shop.hand.day))
        for r in found
    ]  # fmt: skip
    show_rows(columns, rows, how_option(how))
    if not rows:
        done("No job is late." if late else "No job waits for anything.", plan_step(shop))


def told_state(row: JobRow, today: date) -> str:
    """How far a job is, and how late."""
    days = row.late(today)
    return (word("{state}, {days:day} late", state=word(row.state), days=days) if days
            else word(row.state))  # fmt: skip


def joined(ctx: typer.Context, jobs: Jobs, why: Why = "") -> None:
    """Say that the frames of jobs are joined.

    [dim]Example: stockroom joined J12 J14[/dim]
    """
    come_as_far(ctx, jobs, "joined", why)


def fitted(ctx: typer.Context, jobs: Jobs, why: Why = "") -> None:
    """Say that the works of jobs are in their frames.

    [dim]Example: stockroom fitted J12[/dim]
    """
    come_as_far(ctx, jobs, "fitted", why)


def ready(ctx: typer.Context, jobs: Jobs, why: Why = "") -> None:
    """Say that jobs wait to be collected; names whom to call.

    [dim]Example: stockroom ready J12[/dim]
    """
    come_as_far(ctx, jobs, "ready", why)


def collected(ctx: typer.Context, jobs: Jobs, why: Why = "") -> None:
    """Say that jobs were fetched by their customers: nothing is left to do.

    [dim]Example: stockroom collected J12[/dim]
    """
    come_as_far(ctx, jobs, "collected", why)


def come_as_far(ctx: typer.Context, jobs: list[str], stage: str, why: str) -> None:
    """Notes that jobs are as far as this stage, and says what follows for each."""
    shop = bench(ctx).open()
    numbers = reach(shop, jobs, stage, why)
    named = ", ".join(f"J{number}" for number in numbers)
    calls = [word("call {customer}{phone}: J{number}", customer=row.customer,
                  phone=f", {row.phone}" if row.phone else "", number=row.number)
             for row in stage_rows(shop, numbers) if stage == "ready"]  # fmt: skip
    follows = {"joined": f"stockroom fitted {named}", "fitted": f"stockroom ready {named}",
               "ready": word("stockroom collected {named}, when fetched", named=named),
               "collected": plan_step(shop)}  # fmt: skip
    said = word("{jobs} {jobs:is|are} {stage}.", jobs=tuple(named.split(", ")), stage=word(stage))
    done("\n".join([said, *calls]),
         follows[stage].replace(",", "", len(numbers) - 1))  # fmt: skip

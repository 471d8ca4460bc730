"""Commands at the bench and over the counter: joined, fitted, ready, collected."""

from typing import Annotated

import typer

from stockroom.cli.app import bench, done
from stockroom.cli.next_steps import plan_step
from stockroom.services.counter.job_list import stage_rows
from stockroom.services.counter.stages import reach

Jobs = Annotated[list[str], typer.Argument(metavar="JOB...", help="Such as J12 J14.")]
Why = Annotated[str, typer.Option("--why", help="The reason, for the record.")]


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
    calls = [f"call {row.customer}{f', {row.phone}' if row.phone else ''}: J{row.number}"
             for row in stage_rows(shop, numbers) if stage == "ready"]  # fmt: skip
    follows = {"joined": f"stockroom fitted {named}", "fitted": f"stockroom ready {named}",
               "ready": f"stockroom collected {named}, when fetched",
               "collected": plan_step(shop)}  # fmt: skip
    done("\n".join([f"{named} {'is' if len(numbers) == 1 else 'are'} {stage}.", *calls]),
         follows[stage].replace(",", "", len(numbers) - 1))  # fmt: skip

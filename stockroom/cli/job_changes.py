"""Commands for jobs that were taken in: hold, release, change, cancel."""

from typing import Annotated

import typer

from stockroom.cli.app import bench, done
from stockroom.cli.asking.questions import out_of_plan, rails_to, tell_back
from stockroom.cli.building.note_options import with_notes
from stockroom.cli.counter import (
    Allowance,
    Around,
    BenchDays,
    Customer,
    Depth,
    Due,
    Fillet,
    Gap,
    Height,
    Lengths,
    Match,
    MatOpt,
    OneBatch,
    OnePiece,
    Overlap,
    Profile,
    Proud,
    Quantity,
    SetWith,
    ShapeOpt,
    Takes,
    Title,
    Typed,
    Why,
    Width,
    given,
    show_taken,
)
from stockroom.cli.next_steps import plan_step
from stockroom.refusals import Refused
from stockroom.services.counter.amend import at_stake
from stockroom.services.counter.amend import cancel as call_off
from stockroom.services.counter.amend import hold as hold_back
from stockroom.services.counter.amend import release as let_in
from stockroom.services.counter.typed_jobs import change_told, wanted_told
from stockroom.words.language import word


def hold(ctx: typer.Context, typed: Typed, why: Why = "") -> None:
    """Hold a job back from plans.

    [dim]Example: stockroom hold J12 --why "customer unsure of the finish"[/dim]
    """
    number = hold_back(bench(ctx).open(), typed, why)
    done(word("Job J{number} is held back.", number=number),
         word("stockroom release J{number}, when it may be cut", number=number))  # fmt: skip


def release(ctx: typer.Context, typed: Typed, why: Why = "") -> None:
    """Let a held job into plans again.

    [dim]Example: stockroom release J12[/dim]
    """
    shop = bench(ctx).open()
    done(word("Job J{let_in} may be cut.", let_in=let_in(shop, typed, why)), plan_step(shop))


Rails = Annotated[
    str | None,
    typer.Option(
        "--rails", metavar="rack|scrap|joined", help="Cut rails: to the rack unless told."
    ),
]


def cancel(
    ctx: typer.Context,
    typed: Typed,
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")],
    rails: Rails = None,
) -> None:
    """Cancel a job; its loose rails go back on the rack.

    [dim]Example: stockroom cancel J12 --why "customer withdrew"[/dim]
    """
    shop = bench(ctx).open()
    to = rails_to(shop, rails, lambda: at_stake(shop, typed))
    result = call_off(shop, typed, why, to)
    tell_back(shop, result.back, result.scrapped)
    done(word("Job J{number} is cancelled.", number=result.number))


@with_notes
def change(
    ctx: typer.Context,
    typed: Typed,
    customer: Customer = None, title: Title = None, profile: Profile = None,
    width: Width = None, height: Height = None, depth: Depth = None, gap: Gap = None,
    allowance: Allowance = None, mat: MatOpt = None, overlap: Overlap = None, due: Due = None,
    quantity: Quantity = None, one_batch: OneBatch = None, one_piece: OnePiece = None,
    proud: Proud = None, bench_days: BenchDays = None,
    shape: ShapeOpt = None, lengths: Lengths = None, match: Match = None, rails: Rails = None,
    around: Around = None, fillet: Fillet = None, set_with: SetWith = None, takes: Takes = None,
) -> None:  # fmt: skip
    """Change what a job is; cut rails that fit stay.

    [dim]Example: stockroom change J12 --due 2026-12-11[/dim]
    """
    shop = bench(ctx).open()
    told = given(ctx.params)
    if not told:
        raise Refused("nothing to change was given", "stockroom change --help")
    wanted = wanted_told(shop, typed, told)
    out_of_plan(shop, typed)
    to = rails_to(shop, rails, lambda: at_stake(shop, typed, wanted))
    taken = change_told(shop, typed, told, to)
    show_taken(taken, shop)
    tell_back(shop, taken.back, taken.scrapped)
    done(word("Job {typed} is changed.", typed=typed), plan_step(shop))

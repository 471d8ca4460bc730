"""Commands for the counter: sizes, promise, take, take-file, job."""

from pathlib import Path
from shlex import quote
from typing import Annotated, Any

import typer

from stockroom.cli.app import JobNumber, answer, bench, counted, done, say
from stockroom.cli.asking.completing import jobs_known, profiles_known
from stockroom.cli.asking.questions import ask_job
from stockroom.cli.bench_stages import told_state
from stockroom.cli.building.note_options import with_notes
from stockroom.cli.next_steps import plan_step
from stockroom.cli.remedies import batch_said, words
from stockroom.job_notes import notes_of
from stockroom.screens.console import spinner
from stockroom.screens.sizes_screen import show_layers
from stockroom.screens.working import reading_csv
from stockroom.services.counter.job_list import job_row, newest_job
from stockroom.services.counter.take import Taken, try_jobs
from stockroom.services.counter.take import take as take_in
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.counter.typed_jobs import take_file as read
from stockroom.services.morning.run_out import run_out
from stockroom.services.shop import Shop
from stockroom.services.weekly.job_cost import said_price
from stockroom.services.weekly.promise import promise_for
from stockroom.units.money import format_money
from stockroom.words.language import word
from stockroom.words.promises import promise_said

Typed = Annotated[
    str,
    typer.Argument(metavar="JOB", help="Its number, such as J12.", autocompletion=jobs_known),
]
Why = Annotated[str, typer.Option("--why", help="The reason, for the record.")]
Customer = Annotated[str | None, typer.Option("--customer", help="Whose it is.")]
Title = Annotated[str | None, typer.Option("--title", help="What it is.")]
Profile = Annotated[
    str | None,
    typer.Option("--profile", "-p", help="The profile's code.", autocompletion=profiles_known),
]
Width = Annotated[
    str | None,
    typer.Option("--width", "-w", help="Artwork's width; up to three readings with / between."),
]
Height = Annotated[
    str | None,
    typer.Option("--height", help="Artwork's height; up to three readings with / between."),
]
Depth = Annotated[str | None, typer.Option("--depth", help="Depth of the canvas or package.")]
Gap = Annotated[str | None, typer.Option("--gap", help="Float: gap on each side.")]
Allowance = Annotated[
    str | None, typer.Option("--allowance", help="Rabbeted: play in all, each way.")
]
MatOpt = Annotated[
    str | None,
    typer.Option("--mat", help="Work on paper: mat left/right/top/bottom, or one for all."),
]
Overlap = Annotated[str | None, typer.Option("--overlap", help="How far the mat overlaps.")]
Due = Annotated[str | None, typer.Option("--due", metavar="DAY", help="Due day.")]
BenchDays = Annotated[
    int | None, typer.Option("--bench-days", help="Days at the bench, not the shop's usual.")
]
Quantity = Annotated[int | None, typer.Option("--quantity", "-n", help="How many frames.")]
OneBatch = Annotated[
    bool | None,
    typer.Option("--one-batch/--any-batch", help="All rails of a frame from one batch."),
]
OnePiece = Annotated[
    bool | None, typer.Option("--one-piece/--any-piece", help="All its rails from one piece.")
]
SetWith = Annotated[str | None, typer.Option("--set-with", help="One batch with a job; or none.")]
Takes = Annotated[str | None, typer.Option("--takes", help="Seconds too, own alone, or usual.")]
Around = Annotated[
    str | None, typer.Option("--around", help="Mouldings round it, outward: ASH-14 / ASH-38 3 mm.")
]
Fillet = Annotated[str | None, typer.Option("--fillet", help="A fillet in the mat's window.")]
ShapeOpt = Annotated[
    str | None,
    typer.Option("--shape", help="6 sides, arch, strainer 1x0, outside, repair or straight."),
]
Lengths = Annotated[str | None, typer.Option("--lengths", help="Repair, straight: 2x 500 / 400.")]
Match = Annotated[str | None, typer.Option("--match", help="The batch that it must be of.")]
Proud = Annotated[bool | None, typer.Option("--proud", help="The canvas may stand out in front.")]


@with_notes
def take(
    ctx: typer.Context,
    customer: Customer = None, title: Title = None, profile: Profile = None,
    width: Width = None, height: Height = None, depth: Depth = None, gap: Gap = None,
    allowance: Allowance = None, mat: MatOpt = None, overlap: Overlap = None, due: Due = None,
    quantity: Quantity = None, one_batch: OneBatch = None, one_piece: OnePiece = None,
    proud: Proud = None, bench_days: BenchDays = None,
    shape: ShapeOpt = None, lengths: Lengths = None, match: Match = None,
    around: Around = None, fillet: Fillet = None, set_with: SetWith = None, takes: Takes = None,
) -> None:  # fmt: skip
    """Take a job in and show its sizes; with nothing given, asks question by question.

    [dim]Example: stockroom take --customer "R. Aldous" -p FLOAT-ASH-12 -w "23 3/4" --height
    "24 1/8" --depth 3/4 --due 2026-12-04[/dim]
    """
    shop = bench(ctx).open()
    told = given(ctx.params)
    if not told:
        told = ask_job(shop)
    taken = take_in(shop, job_told(told, shop))
    show_taken(taken, shop)
    done(word("Job J{number} is taken in.", number=taken.number), plan_step(shop))


def sizes(
    ctx: typer.Context,
    profile: Profile = None, width: Width = None, height: Height = None, depth: Depth = None,
    gap: Gap = None, allowance: Allowance = None, mat: MatOpt = None, overlap: Overlap = None,
    proud: Proud = None, shape: ShapeOpt = None, lengths: Lengths = None, around: Around = None,
    fillet: Fillet = None,
) -> None:  # fmt: skip
    """Show the sizes of a frame without taking a job in.

    [dim]Example: stockroom sizes -p ASH-22 -w 16 --height 20[/dim]
    """
    shop = bench(ctx).open()
    told = {"customer": "nobody", "due": shop.hand.day.isoformat(), **given(ctx.params)}
    show_taken(try_jobs(shop, [job_told(told, shop)])[0], shop)


def promise(
    ctx: typer.Context,
    profile: Profile = None, width: Width = None, height: Height = None, depth: Depth = None,
    gap: Gap = None, allowance: Allowance = None, mat: MatOpt = None, overlap: Overlap = None,
    due: Due = None, quantity: Quantity = None, one_batch: OneBatch = None,
    one_piece: OnePiece = None, proud: Proud = None, bench_days: BenchDays = None,
    shape: ShapeOpt = None, lengths: Lengths = None, match: Match = None,
    around: Around = None, fillet: Fillet = None, set_with: SetWith = None, takes: Takes = None,
) -> None:  # fmt: skip
    """Say whether a job can be ready by a day, before it is taken in; nothing is reserved.

    [dim]Example: stockroom promise -p ASH-22 -w 16 --height 20 --due fri[/dim]
    """
    shop = bench(ctx).open()
    told = {"customer": "nobody", **given(ctx.params)}
    with spinner("Looking for its rails"):
        one = promise_for(shop, job_told(told, shop))
    said = promise_said(one.answer, one.by, one.cut_by, one.day, one.pieces, one.alike)
    done("\n".join(said), "stockroom take, with the same, to take it in")


NOT_TOLD = ("typed", "rails")


def given(values: dict[str, Any]) -> dict[str, Any]:
    """The options that were given, by the names of the job's fields."""
    return {
        name: value
        for name, value in values.items()
        if value is not None and name not in NOT_TOLD and isinstance(value, str | int)
    }


def show_taken(taken: Taken, shop: Shop) -> None:
    """Prints a job's sizes."""
    show_layers([(one.name, one.sizes) for one in taken.layers], shop.settings, taken.job.quantity)


def take_file(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(help="A CSV file with a header row.")],
    good_rows: Annotated[
        bool, typer.Option("--good-rows", help="Take the rows without fault, leave the others.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Read and check all; take nothing.")
    ] = False,
    late: Annotated[
        bool, typer.Option("--late", help="Take jobs whose due day is past as well.")
    ] = False,
) -> None:
    """Take jobs in from a CSV file: all of them, or none.

    [dim]Example: stockroom take-file jobs.csv[/dim]
    """
    shop = bench(ctx).open()
    with reading_csv(file):
        result = read(shop, file, good_rows=good_rows, dry_run=dry_run, late=late)
    say("\n".join(words().fault_lines(result.faults)))
    verb = "would be taken in; none is" if dry_run else "taken in"
    again = f"stockroom take-file {quote(str(file))}"
    again += f"{' --good-rows' if good_rows else ''}{' --late' if late else ''}"
    done(f"{counted(result.taken, 'job')} {verb}.", again if dry_run else plan_step(shop))


def job(ctx: typer.Context, typed: JobNumber = None) -> None:
    """Show one job and its sizes.

    [dim]Example: stockroom job J12[/dim]
    """
    shop = bench(ctx).open()
    row, layers = job_row(shop, typed or newest_job(shop))
    bound = [
        text for text, on in (("one batch", row.one_batch), ("one piece", row.one_piece),
                              (word("batch {match}", match=row.match), row.match),
                              (word(f"takes_{row.takes}"), row.takes)) if on
    ]  # fmt: skip
    cut_by = word(", cut by {cut_by:day}", cut_by=row.cut_by) if row.cut_by != row.due else ""
    due = word("due {due:day}{cut_by}", due=row.due, cut_by=cut_by)
    state = told_state(row, shop.hand.day)
    answer(f"J{row.number}  {state}  {due}  {row.customer}  {row.title}".rstrip())
    answer(word("{profile}, {quantity} to frame, {frames_cut} cut, {rails_waiting} rails to "
                "cut{bound}{bound_2}", profile=row.profile, quantity=row.quantity,
                frames_cut=row.frames_cut, rails_waiting=row.rails_waiting,
                bound="; " if bound else "", bound_2=", ".join(bound)))  # fmt: skip
    for said in filter(None, notes_of(row).values()):
        answer(said)
    show_layers([(one.name, one.sizes) for one in layers], shop.settings, row.quantity)
    if (price := said_price(shop, f"J{row.number}")) is not None:
        how = (word("as quoted, Q{quote}", quote=price.quote) if price.quote
               else word("by the shop's rule"))  # fmt: skip
        say(word("Moulding: {price} {how}.", price=format_money(price.price,
                                                                shop.settings.currency),
                 how=how))  # fmt: skip
    for one in run_out(shop, job=row.number):
        say(batch_said(one))

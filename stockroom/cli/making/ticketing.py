"""Commands for the joining bench and the wall: hang, ticket."""

from collections.abc import Sequence
from typing import Annotated

import typer

from stockroom.cli.app import (
    How,
    JobNumber,
    NewFile,
    answer,
    bench,
    done,
    how_option,
    new_name,
    say,
)
from stockroom.cli.making.printing import FULL_SIZE, Page, check_paper, write_pages
from stockroom.cli.remedies import words
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.fitting import cared_for, joined_so, minded
from stockroom.frame.shapes import FRAME
from stockroom.paper.ticket_page import ticket_page
from stockroom.screens.console import clean
from stockroom.screens.lists import Column, show_rows
from stockroom.services.counter.job_list import newest_job
from stockroom.services.counter.make_ticket import bench_told, ticket_of
from stockroom.services.weekly.job_cost import priced_ticket
from stockroom.settings.shop_settings import Settings
from stockroom.views.ticket_rows import hang_rows, joining_rows, weight_rows
from stockroom.words.language import word

Height = Annotated[
    str | None, typer.Option("--moulding-height", help="The moulding's height, front to back.")
]
Ledge = Annotated[str | None, typer.Option("--ledge", help="How far a float's ledge reaches in.")]
Bar = Annotated[str | None, typer.Option("--bar", help="How thick a canvas's stretcher bar is.")]
Bevel = Annotated[
    str | None, typer.Option("--bevel", help="How far a strainer's front falls to its inner edge.")
]
Board = Annotated[
    str | None, typer.Option("--board", metavar="foam|corrugated|hardboard", help="The backing.")
]
Species = Annotated[str | None, typer.Option("--species", help="The moulding's wood.")]
Metre = Annotated[str | None, typer.Option("--metre", help="Weight of a metre of the moulding.")]
Glazing = Annotated[str | None, typer.Option("--glazing", metavar="none|glass|acrylic")]
GlassThick = Annotated[str | None, typer.Option("--glass-thick", help="Thickness of the glazing.")]
MatThick = Annotated[str | None, typer.Option("--mat-thick", help="Thickness of the mat.")]
BackThick = Annotated[str | None, typer.Option("--backing-thick", help="Thickness of the backing.")]
Artwork = Annotated[str | None, typer.Option("--artwork", help="The artwork as weighed: 1.2 kg.")]
Backing = Annotated[str | None, typer.Option("--backing", help="The backing as weighed.")]
Wire = Annotated[bool, typer.Option("--wire", help="On a wire, not on two hangers.")]
Rise = Annotated[str | None, typer.Option("--rise", help="Wire: from the fixings up to its hook.")]

NOT_TOLD = ("typed", "how", "file", "page")


def hang(
    ctx: typer.Context, typed: JobNumber = None, moulding_height: Height = None,
    ledge: Ledge = None,
    bar: Bar = None, bevel: Bevel = None, board: Board = None,
    species: Species = None, metre: Metre = None, glazing: Glazing = None,
    glass_thick: GlassThick = None, mat_thick: MatThick = None, backing_thick: BackThick = None,
    artwork: Artwork = None, backing: Backing = None, wire: Wire = False, rise: Rise = None,
    how: How = "table",
) -> None:  # fmt: skip
    """Show how a job is joined, fitted, weighed and hung.

    [dim]Example: stockroom hang J12 --artwork "1.2 kg" --wire[/dim]
    """
    found, settings = made(ctx, typed)
    if how_option(how) == "table":
        named = " ".join(filter(None, (found.customer, found.title)))
        answer(f"{found.label}  {clean(named)}  {found.profile}")
    columns = [Column("what", "what"), Column("value", "", "right"), Column("unit", ""),
               Column("how", "", wraps=True)]  # fmt: skip
    show_rows(columns, facts(found, settings), how)
    for told in joined_so(found) if found.shape != FRAME else ():
        say(words().say(told))
    for warning in (*minded(found), *(found.hanging.warnings if found.hanging else ())):
        say(f"! {words().say(warning)}")
    for line in cared_for(found):
        say(f"! {words().word(line)}")


def ticket(
    ctx: typer.Context, typed: JobNumber = None, file: NewFile = None,
    moulding_height: Height = None, ledge: Ledge = None,
    bar: Bar = None, bevel: Bevel = None, board: Board = None,
    species: Species = None, metre: Metre = None, glazing: Glazing = None,
    glass_thick: GlassThick = None, mat_thick: MatThick = None, backing_thick: BackThick = None,
    artwork: Artwork = None, backing: Backing = None, wire: Wire = False, rise: Rise = None,
    page: Page = "",
) -> None:  # fmt: skip
    """Print a job's ticket to a PDF: sizes, the section to scale, joining, weight, hanging.

    [dim]Example: stockroom ticket J12 J12.pdf --page letter[/dim]
    """
    check_paper(file, page)
    found, settings = made(ctx, typed)
    file = new_name(file, found.label, "pdf")
    write_pages(file, ticket_page(found, settings, page or settings.page))
    done(word("The ticket of {label} is in {file}.", label=found.label, file=file), FULL_SIZE)


def made(ctx: typer.Context, typed: str | None) -> tuple[Ticket, Settings]:
    """The ticket that the options ask for."""
    shop = bench(ctx).open()
    told = {name: str(value) for name, value in ctx.params.items()
            if name not in NOT_TOLD and value not in (None, False)}  # fmt: skip
    typed = typed or newest_job(shop)
    found = ticket_of(shop, typed, bench_told(told, shop))
    return priced_ticket(shop, typed, found), shop.settings


def facts(found: Ticket, settings: Settings) -> Sequence[tuple[str, ...]]:
    """The ticket's numbers as rows in words: what, value, unit, how it was found."""
    rows = (*joining_rows(found, settings), *weight_rows(found, settings),
            *hang_rows(found, settings))  # fmt: skip
    return [tuple(map(words().word, row)) for row in rows]

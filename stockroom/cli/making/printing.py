"""Commands for paper: the cut sheet and labels."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import NewFile, PlanNumber, bench, done, new_name, say
from stockroom.cli.remedies import worded
from stockroom.files.new_file import write_new
from stockroom.paper.cut_sheet import cut_sheet, stop_sheet
from stockroom.paper.list_page import Listing, list_page
from stockroom.paper.page import FORMATS, Pages
from stockroom.record.ledger import RackPiece
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.screens.console import clean
from stockroom.services.morning.sheets import newest_plan, sheet_of
from stockroom.services.rack.typed_sightings import numbers_told
from stockroom.services.saw.print_labels import (
    Printed,
    offcuts_of,
    pieces_named,
    print_grid,
    print_labels,
)
from stockroom.services.saw.unlabelled import mark_labelled, unlabelled
from stockroom.services.shop import Shop
from stockroom.views.sheet import Sheet, plan_state
from stockroom.words.language import word

__all__ = [
    "FULL_SIZE",
    "Page",
    "PrintTo",
    "check_paper",
    "labels_of",
    "numbers_typed",
    "page_typed",
    "pdf_typed",
    "print_list",
    "print_sheet",
    "tell_labels",
    "tell_lost",
    "write_pages",
]

Page = Annotated[
    str, typer.Option("--page", metavar="a4|letter", help="The shop's paper unless told.")
]
FULL_SIZE = "print it at 100 %, not fitted to the page"


def page_typed(page: str) -> str:
    """A page size; nothing for the shop's own.

    Raises:
        Unreadable: there is no such size.
    """
    if page and page not in FORMATS:
        raise Unreadable(page, "of_choices", choices=tuple(FORMATS))
    return page


def pdf_typed(file: Path) -> Path:
    """A file's name for a PDF.

    Raises:
        Unreadable: it does not end in .pdf.
    """
    if file.suffix.lower() != ".pdf":
        raise Unreadable(file.name, "a name that ends in .pdf")
    return file


PrintTo = Annotated[
    Path | None, typer.Option("--print", metavar="FILE", help="Print it to a new PDF too.")
]


def check_paper(file: Path | None, page: str) -> None:
    """What is to be printed to can be, before anything is reckoned.

    Raises:
        Unreadable: the file's name or the page size is none that can be printed to.
    """
    page_typed(page)
    if file is not None:
        pdf_typed(file)


def print_list(shop: Shop, listing: Listing, file: Path, page: str) -> None:
    """Prints a list to a new PDF, on a page size that is known.

    Raises:
        NoShop: there is such a file already, or it cannot be written.
    """
    write_pages(file, list_page(listing, shop.hand.day, page or shop.settings.page,
                                shop.settings.font))  # fmt: skip
    done(word("{title} is in {file}.", title=listing.title, file=file), FULL_SIZE)


def write_pages(file: Path, pages: Pages) -> None:
    """Writes a document to a new file; says which letters its typeface lacks.

    Raises:
        NoShop: there is such a file already, or it cannot be written.
    """
    write_new(file, [pages])
    tell_lost(pages.lost)


def tell_lost(letters: str) -> None:
    """Says which letters were printed as ?, if any, and what would print them."""
    if letters:
        say(word("In no font that is here, printed as ?: {letters}. Name a font that has them: "
                 "stockroom settings font FILE; or install stockroom[letters].",
                 letters=clean(" ".join(letters))))  # fmt: skip


def sheet(
    ctx: typer.Context,
    number: PlanNumber = None,
    file: NewFile = None,
    stops: Annotated[
        bool, typer.Option("--stops", help="The stop list instead: each profile's rails by length.")
    ] = False,
    page: Page = "",
) -> None:
    """Print a plan's cut sheet to a PDF: the walk, the drawings, boxes to tick and to write in.

    [dim]Example: stockroom sheet 7 plan-7.pdf --page letter[/dim]
    [dim]Example: stockroom sheet 7 --stops[/dim]
    """
    check_paper(file, page)
    shop = bench(ctx).open()
    number = number or newest_plan(shop, ("accepted", "finished"))
    found = sheet_of(shop, number)
    if found.state not in ("accepted", "finished"):
        raise Refused(word("plan {number} is {plan_state}; only an accepted plan is cut",
                           number=number, plan_state=plan_state(found.state)),
                      f"stockroom accept {number}")  # fmt: skip
    print_sheet(shop, found, file, page, stops=stops)


def print_sheet(
    shop: Shop, plan: Sheet, file: Path | None = None, page: str = "", *, stops: bool = False
) -> None:
    """Prints an accepted plan's cut sheet, or its list of stops, to a new PDF."""
    what, drawn = ("stop list", stop_sheet) if stops else ("cut sheet", cut_sheet)
    file = new_name(file, f"plan-{plan.plan}{'-stops' * stops}", "pdf")
    write_pages(file, drawn(plan, shop.settings, page or shop.settings.page))
    done(word("The {what} of plan {plan} is in {file}.", what=what, plan=plan.plan, file=file),
         FULL_SIZE)  # fmt: skip


def labels(
    ctx: typer.Context,
    pieces: Annotated[
        list[str] | None, typer.Argument(metavar="PIECE", help="Numbers such as 214 or 230..241.")
    ] = None,
    plan: Annotated[int | None, typer.Option("--plan", help="The offcuts that it left.")] = None,
    start: Annotated[
        int | None, typer.Option("--start", help="The first unused label of the sheet, by rows.")
    ] = None,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="FILE", help="A new PDF; named by the pieces.")
    ] = None,
    grid: Annotated[
        bool, typer.Option("--grid", help="The sheet's grid instead, to align the printer by.")
    ] = False,
    stuck: Annotated[
        bool, typer.Option("--stuck", help="They have their labels: print none, only note it.")
    ] = False,
) -> None:
    """Print labels for pieces to a PDF: number, profile, batch, length, place, day, code.

    With no piece named, those that have none yet. They begin where the last ones ended. The
    settings labels and label_code say where they lie on their sheet or roll, and what a scanner
    reads.

    [dim]Example: stockroom labels 214 230..241 --start 5[/dim]
    """
    shop = bench(ctx).open()
    if to is not None:
        pdf_typed(to)
    if grid:
        file = to or Path("label-grid.pdf")
        print_grid(shop, file)
        done(word("The grid of {labels} is in {file}.", labels=shop.settings.labels, file=file),
             FULL_SIZE)  # fmt: skip
        return
    chosen = pieces_named(shop, numbers_typed(pieces)) if pieces else []
    if plan is not None:
        chosen += offcuts_of(shop, plan)
    if not pieces and plan is None:
        chosen = unlabelled(shop)
    if not chosen:
        raise Refused("no piece waits for a label", "name pieces to print theirs again")
    if stuck:
        mark_labelled(shop, [piece.id for piece in chosen])
        done(word("{chosen:piece} noted as labelled.", chosen=len(chosen)))
        return
    tell_labels(print_labels(shop, chosen, start, to))


def labels_of(shop: Shop, offcuts: Sequence[RackPiece]) -> None:
    """Prints labels for new pieces; what was recorded stays recorded where that fails."""
    try:
        tell_labels(print_labels(shop, offcuts))
    except StockroomError as error:
        say(word("No labels were printed: {worded}", worded=worded(error)))


def numbers_typed(words: Sequence[str]) -> list[int]:
    """Numbers of pieces, one by one or from..to."""
    return [number for word in words for number in numbers_told(word)]


def tell_labels(printed: Printed) -> None:
    """Says where labels were written, and which label of the sheet is next."""
    tell_lost(printed.lost)
    said = word("{count:label} in {file}", count=printed.count, file=printed.file)
    if printed.a_sheet == 1:
        say(f"{said}.")
    else:
        say(word("{said}, from label {start} of the sheet; the next ones begin at {next}.",
                 said=said, start=printed.start, next=printed.next))  # fmt: skip

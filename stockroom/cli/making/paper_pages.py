"""Commands that print pages: paper day, glass, shelves, receipt, quote, label."""

from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import JobNumber, NewFile, bench, day_typed, done, new_name
from stockroom.cli.making.printing import (
    FULL_SIZE,
    Page,
    check_paper,
    print_list,
    tell_labels,
    write_pages,
)
from stockroom.cli.pricing.quotes import Typed, newest
from stockroom.frame.fitting import sheets_of
from stockroom.frame.ticket_told import Bench
from stockroom.listings.listings import day_listing, sheets_listing, shelf_listings
from stockroom.listings.to_customers import quote_letter, receipt
from stockroom.paper.label_words import back_label, bundle_labels
from stockroom.paper.list_page import list_pages
from stockroom.record.stocktake import Scope
from stockroom.refusals import Refused
from stockroom.services.counter.job_list import JobRow, job_rows, newest_job
from stockroom.services.counter.make_ticket import ticket_of
from stockroom.services.rack.count import count_sheet
from stockroom.services.saw.print_labels import print_worded
from stockroom.services.shop import Shop
from stockroom.services.weekly.quotes import quote_to_say
from stockroom.words.language import word

__all__ = ["pages"]

Until = Annotated[
    str | None, typer.Option("--until", metavar="DAY", help="Due by this day; today unless told.")
]
pages = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    help="Print the day, sheets to cut, shelves to count, a receipt, a quote, job labels.",
)


@pages.command()
def day(ctx: typer.Context, file: NewFile = None, until: Until = None, page: Page = "") -> None:
    """Print all jobs due, by what they wait for, with a box for each step.

    [dim]Example: stockroom paper day day.pdf --until 2026-11-24[/dim]
    """
    shop, last, rows = due(ctx, file, until, page)
    listing = day_listing(rows, shop.settings, last)
    print_list(shop, listing, named(shop, file, "day"), page)


@pages.command()
def glass(ctx: typer.Context, file: NewFile = None, until: Until = None, page: Page = "") -> None:
    """Print glass, mat and backing to cut for the frames due, the largest first.

    [dim]Example: stockroom paper glass glass.pdf[/dim]
    """
    shop, last, rows = due(ctx, file, until, page)
    tickets = [(row, ticket_of(shop, f"J{row.number}", Bench())) for row in rows]
    jobs = [(row, list(sheets_of(t.sizes, t.package, t.matted))) for row, t in tickets]
    if not any(sheets for _, sheets in jobs):
        raise Refused(word("no frame due by {last} takes glass, mat or backing", last=last),
                      "look further ahead with --until")  # fmt: skip
    print_list(shop, sheets_listing(jobs, shop.settings, last), named(shop, file, "glass"), page)


@pages.command()
def shelves(
    ctx: typer.Context,
    file: NewFile = None,
    at: Annotated[str, typer.Option("--at", help="Places that begin so; all of the rack.")] = "",
    page: Page = "",
) -> None:
    """Print what should lie on each shelf, a page each, with boxes to count by.

    [dim]Example: stockroom paper shelves shelves.pdf --at A[/dim]
    """
    check_paper(file, page)
    shop = bench(ctx).open()
    sheet = count_sheet(shop, Scope(at))
    if not sheet.pieces:
        raise Refused("no piece should be there", "name another place with --at")
    listings = shelf_listings(sheet.pieces, sheet.as_of, shop.settings)
    file = named(shop, file, "shelves")
    write_pages(file, list_pages(listings, shop.hand.day, page or shop.settings.page,
                                 shop.settings.font))  # fmt: skip
    done(word("{listings} shelves are in {file}.", listings=len(listings), file=file), FULL_SIZE)


@pages.command(name="receipt")
def receipt_page(
    ctx: typer.Context, typed: JobNumber = None, file: NewFile = None, page: Page = ""
) -> None:
    """Print what a customer takes along: the work, the frame as agreed, the day; no prices of ours.

    [dim]Example: stockroom paper receipt J12 receipt-J12.pdf[/dim]
    """
    check_paper(file, page)
    shop = bench(ctx).open()
    ticket = ticket_of(shop, typed or newest_job(shop), Bench())
    print_list(shop, receipt(ticket, shop.settings), new_name(file, f"receipt-{ticket.label}",
               "pdf"), page)  # fmt: skip


@pages.command(name="quote")
def quote_page(
    ctx: typer.Context, typed: Typed = None, file: NewFile = None, page: Page = ""
) -> None:
    """Print a quote for its customer: what is framed, its price, how long it is good.

    [dim]Example: stockroom paper quote Q41 quote-Q41.pdf[/dim]
    """
    check_paper(file, page)
    shop = bench(ctx).open()
    one, ticket = quote_to_say(shop, typed or newest(shop))
    letter = quote_letter(ticket, shop.settings, one.number, one.price, one.until)
    print_list(shop, letter, new_name(file, f"quote-Q{one.number}", "pdf"), page)


@pages.command()
def label(
    ctx: typer.Context, typed: JobNumber = None, file: NewFile = None,
    rails: Annotated[
        bool, typer.Option("--rails", help="For the bundle of four rails, not the frame's back.")
    ] = False,
    start: Annotated[
        int | None, typer.Option("--start", help="The first unused label of the sheet, by rows.")
    ] = None,
) -> None:  # fmt: skip
    """Print a label for the back of each frame of a job: code, customer, weight, fixings.

    [dim]Example: stockroom paper label J12 --rails[/dim]
    """
    check_paper(file, "")
    shop = bench(ctx).open()
    ticket = ticket_of(shop, typed or newest_job(shop), Bench())
    labels = [
        label
        for frame in range(1, ticket.quantity + 1)
        for label in (bundle_labels(ticket, shop.settings, frame) if rails
                      else [back_label(ticket, shop.settings, frame)])
    ]  # fmt: skip
    name = f"{ticket.label}-{'rails' if rails else 'back'}"
    tell_labels(print_worded(shop, labels, name, start, file))


def due(
    ctx: typer.Context, file: Path | None, until: str | None, page: str
) -> tuple[Shop, str, list[JobRow]]:
    """The shop, the last day, and the jobs due by it that wait for something.

    Raises:
        Refused: there are none.
    """
    check_paper(file, page)
    shop = bench(ctx).open()
    last = day_typed(shop, until) or shop.hand.day
    rows = [row for row in job_rows(shop, until=last) if row.waits]
    if not rows:
        raise Refused(word("no job is due by {last}", last=last), "look further ahead with --until")
    return shop, last.isoformat(), rows


def named(shop: Shop, file: Path | None, name: str) -> Path:
    """The file that is named, or one named by the page and the day."""
    return new_name(file, f"{name}-{shop.hand.day.isoformat()}", "pdf")

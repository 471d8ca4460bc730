"""The weekly command: order."""

import textwrap
from typing import TYPE_CHECKING, Annotated

import typer

from stockroom.cli.app import How, bench, counted, day_typed, done, how_option, say
from stockroom.cli.printing import Page, PrintTo, check_paper, print_list

if TYPE_CHECKING:
    from stockroom.paper.listing import Listing
    from stockroom.services.shop import Shop
    from stockroom.services.weekly import OrderLine

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("order", rich_help_panel="Weekly")(order)


def order(
    ctx: typer.Context,
    until: Annotated[
        str | None,
        typer.Option("--until", metavar="YYYY-MM-DD", help="Short by this day counts as urgent."),
    ] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    draft: Annotated[
        bool, typer.Option("--draft", help="Draft an order to each supplier, of these lines.")
    ] = False,
    budget: Annotated[
        str | None, typer.Option("--budget", help="Spend no more than this; say what is left out.")
    ] = None,
    paper: PrintTo = None,
    page: Page = "a4",
    how: How = "table",
) -> None:
    """Say what to buy this week, by supplier, and why.

    [dim]Example: stockroom order --as csv > order.csv[/dim]
    """
    from stockroom.money import parse_money
    from stockroom.screens.progress import working
    from stockroom.services.budget import within
    from stockroom.services.terms import terms_of
    from stockroom.services.weekly import reorder

    check_paper(paper, page)
    shop = bench(ctx).open()
    with working("reckoning what the open jobs need"):
        lines = reorder(shop, day_typed(until), profile)
    if budget is not None:
        lines, left_out = within(lines, parse_money(budget))
        say("\n".join(left_out))

    show_week(shop, lines, how_option(how))
    terms = [f"{one.said}." for one in terms_of(shop, lines)]
    for line in terms:
        say(textwrap.fill(line, 80, subsequent_indent="  "))
    said = all_told(shop, lines)
    if paper is not None:
        print_list(shop, week_listing(shop, lines, [*terms, said]), paper, page)
    if draft:
        numbers = draft_each(shop, lines)
        done(f"{said} Drafted: {', '.join(f'order {number}' for number in numbers) or 'nothing'}.",
             "stockroom orders place ORDER, when it is sent")  # fmt: skip
    else:
        done(said, "stockroom order --draft, or stockroom receive, when they come")


def show_week(shop: "Shop", lines: "list[OrderLine]", how: str) -> None:
    """The week's order on the screen, or for scripts."""
    from stockroom.money import format_money
    from stockroom.screens.records import Column, show_rows

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("supplier", "from", wraps=True), Column("profile", "profile"),
        Column("sticks", "sticks", "right"),
        Column("stick_length_um", f"of, {shop.settings.unit}", "right", shop.settings.length),
        Column("price_minor", "price", "right", money), Column("why", "why", wraps=True),
    ]  # fmt: skip
    rows = [(o.supplier_name, o.profile, o.sticks, o.stick_length, o.price, o.why) for o in lines]
    show_rows(columns, rows, how)


def all_told(shop: "Shop", lines: "list[OrderLine]") -> str:
    """How many sticks of how many profiles, and what they cost."""
    from stockroom.money import format_money

    total = format_money(sum(o.price or 0 for o in lines), shop.settings.currency)
    unpriced = sum(o.price is None for o in lines)
    more = f", and {unpriced} without a price" if unpriced else ""
    sticks = counted(sum(o.sticks for o in lines), "stick")
    return f"{sticks} of {counted(len(lines), 'profile')}, {total}{more}."


def week_listing(shop: "Shop", lines: "list[OrderLine]", said: "list[str]") -> "Listing":
    """The week's order as it is printed."""
    from stockroom.money import format_money
    from stockroom.paper.listing import Listing

    show, mark = shop.settings.length_with_unit, shop.settings.currency
    rows = tuple(
        (o.supplier_name, o.profile, str(o.sticks), show(o.stick_length),
         "" if o.price is None else format_money(o.price, mark), o.why)
        for o in lines
    )  # fmt: skip
    columns = (("from", 34.0), ("profile", 26.0), ("sticks", 12.0), ("of", 22.0), ("price", 18.0),
               ("why", 68.0))  # fmt: skip
    return Listing("To order", f"week of {shop.hand.day.isoformat()}", shop.settings.name,
                   columns, rows, tuple(said), frozenset({2, 3, 4}))  # fmt: skip


def draft_each(shop: "Shop", lines: "list[OrderLine]") -> list[int]:
    """Drafts an order to each supplier; gives their numbers."""
    from stockroom.services.ordering import Wanted, draft

    return [
        draft(shop, supplier, [Wanted(line.profile, line.sticks, line.why)
                               for line in lines if line.supplier == supplier]).number
        for supplier in sorted({line.supplier for line in lines})
    ]  # fmt: skip

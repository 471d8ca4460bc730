"""Commands for orders as things: list, show, draft, change, place, receive, cancel."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Annotated

import typer

from stockroom.cli.app import How, bench, day_typed, done, how_option, say
from stockroom.cli.asking.questions import unless_odd
from stockroom.cli.asking.rack_questions import ask_delivery
from stockroom.cli.making.printing import Page, PrintTo, check_paper, labels_of, print_list
from stockroom.cli.rack import Labels, Odd, show_pieces
from stockroom.cli.remedies import words
from stockroom.listings.listings import order_letter
from stockroom.record.orders import OrderState
from stockroom.refusals import Refused, Unreadable
from stockroom.screens.lists import Column, show_rows
from stockroom.services.rack.likely_length import check_usual
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.typed_pieces import sticks_typed
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders
from stockroom.services.weekly.purchase_orders import Wanted, order_row, order_rows
from stockroom.services.weekly.receive_order import Bundle, Received, check_not_come, receive_order
from stockroom.services.weekly.review import leave_lines
from stockroom.units.money import format_money, parse_money
from stockroom.words.language import day_told, word

Number = Annotated[str, typer.Argument(metavar="ORDER", help="The order's number, such as 3.")]
Numbers = Annotated[list[str], typer.Argument(metavar="ORDER", help="Their numbers.")]
Lines = Annotated[
    list[str],
    typer.Argument(metavar="PROFILE=STICKS...", help="Sticks of a profile, such as ASH-22=6."),
]
Why = Annotated[str, typer.Option("--why", help="The reason, for the record.")]


orders = typer.Typer(
    no_args_is_help=True, add_completion=False, help="Draft, place and receive orders."
)


def lines_typed(typed: list[str]) -> list[Wanted]:
    """Lines of an order as typed.

    Raises:
        Unreadable: one of them is no profile and count.
    """
    found = []
    for text in typed:
        profile, _, sticks = text.partition("=")
        if not (profile.strip() and sticks.isascii() and sticks.isdecimal() and len(sticks) < 6):
            raise Unreadable(text, "PROFILE=STICKS, such as ASH-22=6")
        found.append(Wanted(profile, int(sticks)))
    return found


@orders.command("list")
def list_orders(
    ctx: typer.Context,
    every: Annotated[bool, typer.Option("--all", help="Closed ones too.")] = False,
    how: How = "table",
) -> None:
    """List the orders that are drafted or placed, and say which are late.

    [dim]Example: stockroom orders list[/dim]
    """
    shop = bench(ctx).open()
    found = order_rows(shop, closed=every)
    show_orders(shop, found, how_option(how))
    if not found:
        done("No order is drafted or placed.", "stockroom order --draft")


def show_orders(shop: Shop, found: Sequence[OrderState], how: str = "table") -> None:
    """Orders, a row each."""
    columns = [
        Column("order", "order", "right"), Column("supplier", "to"),
        Column("state", "state", show=word),
        Column("reference", "reference", wraps=True, spare=True),
        Column("due", "due", show=day_told),
        Column("days_late", "days late", "right", lambda days: str(days or "")),
        Column("to_come", "to come", "right"), Column("lines", "lines", wraps=True),
    ]  # fmt: skip
    rows = [
        (o.number, o.supplier, o.state, o.reference, o.due, o.late(shop.hand.day), o.to_come,
         ", ".join(f"{line.sticks} {line.profile}" for line in o.lines))
        for o in found
    ]  # fmt: skip
    show_rows(columns, rows, how)


@orders.command()
def show(
    ctx: typer.Context, number: Number, paper: PrintTo = None, page: Page = "",
    how: How = "table",
) -> None:  # fmt: skip
    """Show an order to send or to check: its lines, what came, prices; as CSV or on paper too.

    [dim]Example: stockroom orders show 3 --as csv > order-3.csv[/dim]
    """
    check_paper(paper, page)
    shop = bench(ctx).open()
    order = order_row(shop, number)
    show_order(shop, order, how_option(how))
    if paper is not None:
        letter = order_letter(
            *purchase_orders.order_to_send(shop, number), shop.settings, shop.hand.day
        )
        print_list(shop, letter, paper, page)


def show_order(shop: Shop, order: OrderState, how: str = "table") -> None:
    """An order on the screen, or for scripts."""

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("profile", "profile"), Column("sticks", "sticks", "right"),
        Column("received", "come", "right"),
        Column("stick_length_um", word("of, {unit}", unit=shop.settings.unit), "right",
               shop.settings.length),
        Column("price_minor", "a stick", "right", money),
        Column("advised", "the list said", "right", lambda sticks: f"{sticks}", spare=True),
        Column("why", "why", wraps=True),
    ]  # fmt: skip
    rows = [(i.profile, i.sticks, i.received, i.stick_length, i.price, i.advised, i.why)
            for i in order.lines]  # fmt: skip
    show_rows(columns, rows, how)
    total, unpriced = order.price()
    more = word(", and {unpriced} without a price", unpriced=unpriced) if unpriced else ""
    named = f" ({order.reference})" if order.reference else ""
    due = word(", due {due:day}", due=order.due) if order.state == "placed" else ""
    say(word("Order {number} to {supplier}{named}: {state}{due}, {total}{more}.",
             number=order.number, supplier=order.supplier, named=named, state=order.state, due=due,
             total=money(total), more=more))  # fmt: skip
    if days := order.late(shop.hand.day):
        say(word("{days:day} late, {to_come:stick} to come.", days=days, to_come=order.to_come))


@orders.command()
def draft(
    ctx: typer.Context,
    supplier: Annotated[str, typer.Argument(help="The supplier's code.")],
    lines: Lines,
) -> None:
    """Begin an order to a supplier.

    [dim]Example: stockroom orders draft LARK ASH-22=6[/dim]
    """
    shop = bench(ctx).open()
    order = purchase_orders.draft(shop, supplier, lines_typed(lines))
    show_order(shop, order)
    done(word("Drafted order {number}.", number=order.number),
         f"stockroom orders place {order.number}")  # fmt: skip


@orders.command()
def change(ctx: typer.Context, number: Number, lines: Lines, why: Why = "") -> None:
    """Change how many sticks an order asks for; 0 strikes a profile out.

    [dim]Example: stockroom orders change 3 ASH-22=4[/dim]
    """
    shop = bench(ctx).open()
    show_order(shop, purchase_orders.change(shop, number, lines_typed(lines), why))


@orders.command()
def leave(
    ctx: typer.Context,
    codes: Annotated[list[str], typer.Argument(metavar="PROFILE", help="The lines' profiles.")],
    why: Why = "",
) -> None:
    """Leave lines of the week's list for the next; what it recommended is kept with the reason.

    Taken up again by undoing it, or by itself where more is wanted.

    [dim]Example: stockroom orders leave ASH-22 --why "cheaper from Friday on"[/dim]
    """
    for line in leave_lines(bench(ctx).open(), codes, why):
        say(f"{words().say(line.said)}.")


@orders.command()
def place(
    ctx: typer.Context,
    numbers: Numbers,
    reference: Annotated[str, typer.Option("--reference", help="The supplier's own.")] = "",
    due: Annotated[
        str | None,
        typer.Option("--due", metavar="DAY", help="The day it should come; else the "
                     "supplier's next delivery day after the lead time."),
    ] = None,
) -> None:  # fmt: skip
    """Note that orders were sent to their suppliers.

    [dim]Example: stockroom orders place 3 --reference R-17[/dim]
    """
    if reference and len(numbers) > 1:
        raise Refused("one reference is not several suppliers'", "place these orders one by one")
    shop = bench(ctx).open()
    for number in numbers:
        order = purchase_orders.place(shop, number, reference, day_typed(shop, due))
        say(word("Order {number} is placed, due {due:day}.", number=order.number, due=order.due))
    say(word("Next: stockroom orders receive {numbers}, when it comes", numbers=numbers[0]))


@orders.command()
def receive(
    ctx: typer.Context,
    number: Number,
    profile: Annotated[
        str | None, typer.Argument(help="The profile's code; asked for line by line if left out.")
    ] = None,
    batch: Annotated[
        str, typer.Argument(help="The batch on the bundle; - if none is printed.")
    ] = "",
    lengths: Annotated[
        list[str] | None, typer.Argument(help="Each stick's measured length; 12x for twelve.")
    ] = None,
    price: Annotated[
        str | None, typer.Option("--price", help="Of a stick, where it differs.")
    ] = None,
    at: Annotated[str, typer.Option("--at", help="Place on the rack, such as A3.")] = "",
    odd: Odd = False,
    labels: Labels = True,
) -> None:
    """Put what came of an order on the rack; says what differs and which jobs can now be cut.

    With nothing but the order it asks, a line for each profile.

    [dim]Example: stockroom orders receive 3 ASH-22 B7 "4x 2998 mm" --at A3[/dim]
    """
    shop = bench(ctx).open()
    bundles = come(shop, number, profile, batch, lengths or (), odd=odd)
    paid = None if price is None else parse_money(price)
    bundles = [replace(one, price=paid, spot=at or one.spot) for one in bundles]
    for bundle in bundles:
        unless_odd(odd, partial(check_not_come, shop, number, bundle))
    got = receive_order(shop, number, bundles)
    tell_received(shop, got)
    if labels:
        labels_of(shop, got.pieces)


def come(
    shop: Shop, number: str, profile: str | None, batch: str, lengths: Sequence[str], *, odd: bool
) -> list[Bundle]:
    """The bundles that came, as typed or asked for."""
    if profile is None:
        if bundles := ask_delivery(shop, order_row(shop, number), odd=odd):
            return bundles
        raise Refused("nothing was typed that came", "nothing was recorded")
    if not (batch and lengths):
        raise Refused(word("{profile}: of which batch, and how long?", profile=profile),
                      "give PROFILE BATCH LENGTH..., or nothing to be asked")  # fmt: skip
    sticks = tuple(Arrival(um) for text in lengths for um in sticks_typed(text, shop.settings))
    unless_odd(odd, lambda: check_usual(shop, profile, [stick.length for stick in sticks]))
    return [Bundle(profile, batch, sticks)]


def tell_received(shop: Shop, got: Received) -> None:
    """Says what came, what differs, and what can now be cut."""
    show_pieces(list(got.pieces), shop.settings, "table")
    say("\n".join(map(words().say, got.differences)))
    rest = word("{to_come:stick} to come", to_come=got.order.to_come)
    done(word("Order {number} is {state}, {rest}.", number=got.order.number, state=got.order.state,
              rest=rest))  # fmt: skip
    if got.fault:
        say(word("What can now be cut could not be told: {fault}", fault=got.fault))
    if got.cuttable:
        say(word("Can now be cut: {cuttable}.", cuttable=", ".join(got.cuttable)))


@orders.command()
def cancel(ctx: typer.Context, number: Number, why: Why = "") -> None:
    """Give up what has not come of an order.

    [dim]Example: stockroom orders cancel 3 --why "sold out"[/dim]
    """
    order = purchase_orders.cancel(bench(ctx).open(), number, why)
    done(word("Order {number} is {state}.", number=order.number, state=order.state),
         "stockroom orders list")  # fmt: skip

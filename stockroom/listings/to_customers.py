"""What a customer is given on paper: a receipt, a quote; nothing that is the shop's own."""

from datetime import date

from stockroom.frame.bench_ticket import Ticket
from stockroom.job_notes import BESIDE_CUSTOMER, notes_of
from stockroom.paper.list_page import WRITE, Listing
from stockroom.settings.shop_settings import Settings
from stockroom.views.saw_rows import saw_rows
from stockroom.words.language import word

__all__ = ["quote_letter", "receipt"]

COLUMNS = (("", 50.0), ("", 130.0))
Agreed = tuple[str, str]
"""A row's name, and what was agreed."""


def receipt(ticket: Ticket, settings: Settings) -> Listing:
    """What the customer takes along: what was agreed, the day, boxes for price and paid."""
    rows = [*agreed(ticket, settings), ("ready on", word("{day:day}", day=ticket.due))]
    if ticket.note:
        rows.append(("agreed", ticket.note))
    rows += [("price", WRITE), ("paid", WRITE), ("signed", WRITE)]
    said = word("Please bring this along when you collect the work.")
    return to_customer(word("Receipt {job}", job=ticket.label),
                       word("taken in, {day}", day=ticket.day), rows, (said,), ticket,
                       settings)  # fmt: skip


def quote_letter(
    ticket: Ticket, settings: Settings, number: int, price: int, until: date
) -> Listing:
    """A quote as it is given to a customer: what is framed, the moulding, its price (minor units)
    and the last day that it is good; what else is to pay is written in."""
    rows = [*agreed(ticket, settings), ("price of the moulding", settings.money(price))]
    if ticket.hanging is not None:
        rows.append(("glass, mat and fitting", WRITE))
    rows += [("in all", WRITE), ("good until", word("{day:day}", day=until)),
             ("can be ready on", word("{day:day}", day=ticket.due))]  # fmt: skip
    said = word("The price is for the moulding of all frames, if ordered by {day:day}.", day=until)
    return to_customer(word("Quote Q{number}", number=number), word("{day:day}", day=ticket.day),
                       rows, (said,), ticket, settings)  # fmt: skip


def to_customer(
    title: str, about: str, rows: list[Agreed], said: tuple[str, ...], ticket: Ticket,
    settings: Settings,
) -> Listing:  # fmt: skip
    """A page from the shop to a ticket's customer."""
    to = tuple(filter(None, (ticket.customer, *notes_of(ticket, *BESIDE_CUSTOMER).values())))
    named = tuple((word(name), value) for name, value in rows)
    return Listing(title, about, settings.name, COLUMNS, named, said,
                   ours=settings.letterhead, to=to)  # fmt: skip


def agreed(ticket: Ticket, settings: Settings) -> list[Agreed]:
    """The work, its mouldings from the inside out, and the sizes that a customer can check."""
    rows = [("work", ticket.title or word("a work"))]
    if ticket.shape.words:
        rows.append(("made as", word(ticket.shape.said)))
    rows += sizes_told(ticket, settings)
    names = [f"{ticket.profile}, {ticket.style}",
             *(f"{one.work.profile}, {one.work.style}" for one in ticket.around)]  # fmt: skip
    rows += [("moulding", "; ".join(names)), ("frames", f"{ticket.quantity}")]
    if ticket.fillet is not None:
        rows.append(("fillet", f"{ticket.fillet.work.profile}, {ticket.fillet.work.style}"))
    if ticket.sizes.window_um is not None:
        rows.append(("mat, what shows", pair(ticket.sizes.window_um, settings)))
    glazing = "glass" if ticket.matted and ticket.package.glazing == "usual" else None
    if glazing or ticket.package.glazing in ("glass", "acrylic"):
        rows.append(("glazing", word(glazing or ticket.package.glazing)))
    return rows


def sizes_told(ticket: Ticket, settings: Settings) -> list[Agreed]:
    """The artwork's size and the outermost frame's; of a list the lengths, of what is told by its
    outside that alone."""
    sizes, shape = ticket.sizes, ticket.shape
    if shape.listed:
        lengths = [word("{many} × {length}", many=row.many,
                        length=settings.length_with_unit(row.long_um))
                   for row in saw_rows(sizes, ticket.moulding)]  # fmt: skip
        return [("lengths", "; ".join(lengths))]
    outside = ticket.around[-1].work.sizes.outside_um if ticket.around else sizes.outside_um
    told = [("outside size, about", pair(outside, settings))]
    if shape.kind == "sides":
        return [("a side of the artwork", settings.length_with_unit(sizes.artwork_um[0])), *told]
    return told if shape.given_outside else [("its size", pair(sizes.artwork_um, settings)), *told]


def pair(size: tuple[int, int], settings: Settings) -> str:
    """A size across and upright with its unit."""
    return " × ".join(settings.length_with_unit(side) for side in size)

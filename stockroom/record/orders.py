"""Orders as they stand: what of each line has come, what is still to come, what is late."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from stockroom.record.order_tables import Purchase, PurchaseLine, Receipt
from stockroom.record.tables import Entry, Touch
from stockroom.refusals import Unknown, Unreadable
from stockroom.units.lengths import Micrometres

__all__ = [
    "ADVISED",
    "OrderState",
    "StandingLine",
    "give_back",
    "on_order",
    "order_named",
    "standing",
]

OPEN, ADVISED = ("draft", "placed"), "advised"


@dataclass(frozen=True, slots=True)
class StandingLine:
    """A line of an order: sticks asked for and come; lengths um, prices minor units a stick.

    Of an order that is looked at alone also what the week's list recommended, where it is from one.
    """

    id: int
    profile: str
    sticks: int
    received: int
    stick_length: Micrometres
    price: int | None
    why: str
    advised: int | None = None

    @property
    def to_come(self) -> int:
        """Sticks still to come; none where more came than were asked for."""
        return max(0, self.sticks - self.received)


@dataclass(frozen=True, slots=True)
class OrderState:
    """An order as it stands, with its lines that were not struck out."""

    number: int
    supplier: str
    state: str
    reference: str
    due: date | None
    lines: tuple[StandingLine, ...]

    @property
    def to_come(self) -> int:
        """Sticks still to come of a placed order."""
        return sum(line.to_come for line in self.lines) if self.state == "placed" else 0

    def late(self, day: date) -> int:
        """Days that a placed order is late on this day; 0 where it is not."""
        if not self.to_come or self.due is None:
            return 0
        return max(0, (day - self.due).days)

    def price(self) -> tuple[int, int]:
        """What the sticks come to, minor units, and how many lines have no price."""
        priced = [line.price * line.sticks for line in self.lines if line.price is not None]
        return sum(priced), len(self.lines) - len(priced)


def order_named(session: Session, typed: str) -> Purchase:
    """The order of this number, typed as 3 or O3.

    Raises:
        Unreadable, Unknown: it is no number, or no order has it.
    """
    digits = typed.strip().upper().removeprefix("O")
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= 9):
        raise Unreadable(typed, "of_order_number")
    found = session.get(Purchase, int(digits))
    if found is None:
        raise Unknown("unknown_order", typed.strip())
    return found


def standing(
    session: Session, states: Sequence[str] = OPEN, number: int | None = None
) -> list[OrderState]:
    """The orders in these states by number, or the one of this number, each with its lines."""
    wanted = col(Purchase.state).in_(states) if number is None else col(Purchase.id) == number
    # Values, not rows that know whether they were changed: an old shop has tens of thousands.
    asked = select(Purchase).where(wanted).order_by(col(Purchase.id))
    columns = (Purchase.id, Purchase.supplier_code, Purchase.state, Purchase.reference,
               Purchase.due)  # fmt: skip
    lines, found = lines_of(session, wanted, {} if number is None else advised(session, number)), []
    told = session.connection().execute(asked.with_only_columns(*map(col, columns)))
    rows: Sequence[Any] = told.all()
    for order, supplier, state, reference, due in rows:
        of_order = tuple(lines.get(order, ()))
        found.append(OrderState(order, supplier, state, reference, due, of_order))
    return found


def advised(session: Session, number: int) -> dict[str, int]:
    """Sticks that the week's list recommended of each profile as it drafted this order."""
    asked = select(Entry.detail).join(Purchase, col(Purchase.drafted_in) == Entry.id)
    detail = session.exec(asked.where(Purchase.id == number)).first()
    return {profile: told[0] for profile, told in (detail or {}).get(ADVISED, {}).items()}


def lines_of(
    session: Session, wanted: ColumnElement[bool], recommended: Mapping[str, int]
) -> dict[int, list[StandingLine]]:
    """The lines of the orders that are wanted, by the order's number, but those struck out."""
    # Counted line by line through their index: an old shop has many more that nobody asks for.
    come = (
        select(func.count())
        .where(Receipt.line_id == PurchaseLine.id, col(Receipt.lifted_in).is_(None))
        .correlate(PurchaseLine)
        .scalar_subquery()
    )
    line = PurchaseLine
    columns = (line.purchase_id, line.id, line.profile_code, line.sticks, line.stick_length_um,
               line.price_minor, line.why)  # fmt: skip
    asked = (
        select(line)
        .join(Purchase, col(Purchase.id) == line.purchase_id)
        .where(wanted)
        .order_by(col(line.id))
        .with_only_columns(*map(col, columns), come)
    )
    lines: dict[int, list[StandingLine]] = {}
    rows: Sequence[Any] = session.connection().execute(asked).all()
    for order, number, profile, sticks, length, price, why, received in rows:
        if sticks or received:
            said = recommended.get(profile)
            lines.setdefault(order, []).append(
                StandingLine(number, profile, sticks, received, length, price, why, said)
            )
    return lines


def on_order(session: Session) -> dict[str, list[tuple[date | None, int]]]:
    """Sticks still to come by profile, each with the day they are due."""
    coming: dict[str, list[tuple[date | None, int]]] = {}
    for order in standing(session, ("placed",)):
        for line in order.lines:
            if line.to_come:
                coming.setdefault(line.profile, []).append((order.due, line.to_come))
    return coming


def give_back(session: Session, entry: int, was: dict[str, int], reversal: int) -> None:
    """Takes back what an entry did to orders; ``was`` has the sticks of each line it changed."""
    for receipt in session.exec(select(Receipt).where(Receipt.received_in == entry)):
        receipt.lifted_in = reversal
        session.add(receipt)
    for line, sticks in was.items():
        row = session.get_one(PurchaseLine, int(line))
        row.sticks = sticks
        session.add(row)
    touched = select(Touch.which).where(Touch.entry_id == entry, Touch.what == "order")
    for which in session.exec(touched).all():
        order = session.get_one(Purchase, int(which))
        if order.drafted_in == entry:
            order.state, order.closed_in = "cancelled", reversal
        elif order.placed_in == entry:
            order.state, order.placed_in = "draft", None
            order.reference, order.due = "", None
        elif order.closed_in == entry:
            order.state = "draft" if order.placed_in is None else "placed"
            order.closed_in = None
        session.add(order)
    session.flush()

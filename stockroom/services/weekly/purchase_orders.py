"""Orders to suppliers: drafted, changed, placed, received in part or over, given up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session, select

from stockroom.record.catalogue import (
    profile_named,
    profiles,
    stick_price,
    supplier_named,
    suppliers,
)
from stockroom.record.database import changing, reading
from stockroom.record.ledger import open_entry, post
from stockroom.record.numbering import serial
from stockroom.record.order_tables import Purchase, PurchaseLine
from stockroom.record.orders import ADVISED, OrderState, order_named, standing
from stockroom.record.tables import Profile, Supplier
from stockroom.refusals import Clash, Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.shop import Shop
from stockroom.services.weekly.left_lines import LeftLine, put_off
from stockroom.units.texts import kept_text

__all__ = [
    "Advised",
    "Wanted",
    "cancel",
    "change",
    "close",
    "deliveries",
    "delivery_after",
    "draft",
    "draft_all",
    "open_order",
    "order_row",
    "order_rows",
    "order_to_send",
    "place",
    "state_of",
]

MOST_STICKS, MOST_DAYS = 10_000, 1_000
USUAL_LEAD_DAYS = 7
DRAFTED = "draft order"


@dataclass(frozen=True, slots=True)
class Advised:
    """What the week's list said of a profile: sticks to order, the share of all outcomes that they
    fall short of, and over how many days."""

    sticks: int
    short: float
    days: int

    def __post_init__(self) -> None:
        if not (0 <= self.short <= 1 and 0 <= self.days <= MOST_DAYS):
            raise Refused("odds_out_of_bounds", short=self.short, days=self.days)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Sticks of a profile to put on an order, the reason, and what the week's list said of it."""

    profile: str
    sticks: int
    why: str = ""
    advised: Advised | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.sticks <= MOST_STICKS:
            raise Refused("sticks_out_of_bounds", sticks=self.sticks, most=MOST_STICKS)


def order_rows(shop: Shop, *, closed: bool = False) -> list[OrderState]:
    """The orders that are drafted or placed, and the closed ones too if wanted, by number."""
    states = ("draft", "placed", "received", "cancelled") if closed else ("draft", "placed")
    with reading(shop.engine) as session:
        return standing(session, states)


def order_row(shop: Shop, typed: str) -> OrderState:
    """One order with its lines.

    Raises:
        Unreadable, Unknown: it is no order's number.
    """
    with reading(shop.engine) as session:
        return state_of(session, order_named(session, typed).id)


def state_of(session: Session, number: int) -> OrderState:
    """One order as it stands."""
    return standing(session, number=number)[0]


def order_to_send(shop: Shop, typed: str) -> tuple[OrderState, Supplier, Mapping[str, Profile]]:
    """One order, whom it goes to, and the profiles by their codes.

    Raises:
        Unreadable, Unknown: it is no order's number.
    """
    with reading(shop.engine) as session:
        order = state_of(session, order_named(session, typed).id)
        return (order, supplier_named(session, order.supplier),
                {profile.code: profile for profile in profiles(session)})  # fmt: skip


def deliveries(shop: Shop) -> Mapping[str, date]:
    """When each supplier would deliver what is ordered today, by code."""
    with reading(shop.engine) as session:
        return {one.code: delivery_after(one, shop.hand.day) for one in suppliers(session)}


def draft(shop: Shop, supplier: str, wanted: Sequence[Wanted]) -> OrderState:
    """Begins an order to one supplier, as ``draft_all`` does."""
    return draft_all(shop, {supplier: wanted})[0]


def draft_all(
    shop: Shop, wanted: Mapping[str, Sequence[Wanted]], left: Sequence[LeftLine] = ()
) -> list[OrderState]:
    """Begins an order to each of these suppliers, and leaves lines for the next list: all or none.

    Raises:
        Refused: nothing is wanted, or a profile is another supplier's, or stands twice.
        Unknown: there is no such supplier or profile.
    """
    with changing(shop.engine, shop.waiting) as session:
        put_off(session, shop.hand, left)
        return [drafted(session, shop, supplier, lines)
                for supplier, lines in sorted(wanted.items())]  # fmt: skip


def drafted(session: Session, shop: Shop, supplier: str, wanted: Sequence[Wanted]) -> OrderState:
    """An order to a supplier, begun in an entry of its own."""
    code = supplier_named(session, supplier).code
    if not any(line.sticks for line in wanted):
        raise Refused("nothing_on_this_order")
    number = serial(session, Purchase)
    advised = {line.profile: [line.advised.sticks, line.advised.short, line.advised.days]
               for line in wanted if line.advised}  # fmt: skip
    entry = open_entry(session, shop.hand, DRAFTED, touches=[("order", number)],
                       detail={ADVISED: advised} if advised else None)  # fmt: skip
    session.add(Purchase(id=number, supplier_code=code, drafted_in=entry))
    session.flush()
    set_lines(session, session.get_one(Purchase, number), wanted)
    return state_of(session, number)


def change(shop: Shop, typed: str, wanted: Sequence[Wanted], why: str = "") -> OrderState:
    """Changes how many sticks an order asks for; none strikes a profile out.

    Raises:
        Clash: the order is closed.
        Refused: more of it has come already, or a profile is another supplier's.
    """
    with changing(shop.engine, shop.waiting) as session:
        order = open_order(session, typed)
        was = set_lines(session, order, wanted)
        entry = post(session, shop.hand, "change order", why=why, detail={"sticks_were": was},
                     touches=[("order", order.id)])  # fmt: skip
        state = state_of(session, order.id)
        if state.state == "placed" and not state.to_come:
            come = any(line.received for line in state.lines)
            close(session, order, entry, "received" if come else "cancelled")
        return state_of(session, order.id)


def set_lines(session: Session, order: Purchase, wanted: Sequence[Wanted]) -> dict[str, int]:
    """Writes lines over those an order has; gives the sticks each had before, by its id."""
    there = {line.profile: line for line in state_of(session, order.id).lines}
    rows = select(PurchaseLine).where(PurchaseLine.purchase_id == order.id)
    by_profile = {row.profile_code: row for row in session.exec(rows)}
    was: dict[str, int] = {}
    for line in wanted:
        profile = profile_named(session, line.profile)
        if [other.profile.strip().upper() for other in wanted].count(profile.code) > 1:
            raise Refused("profile_twice_on_order", profile=profile.code)
        if profile.supplier_code != order.supplier_code:
            raise Refused("profile_of_other_supplier", profile=profile.code,
                          supplier=profile.supplier_code, other=order.supplier_code)  # fmt: skip
        come = there[profile.code].received if profile.code in there else 0
        if line.sticks < come:
            raise Refused("sticks_have_come", sticks=come, profile=profile.code)
        row = by_profile.get(profile.code) or PurchaseLine(
            id=serial(session, PurchaseLine), purchase_id=order.id, profile_code=profile.code,
            sticks=0, stick_length_um=profile.stick_length_um,
            price_minor=stick_price(profile, line.sticks),
        )  # fmt: skip
        was[str(row.id)] = row.sticks
        row.sticks, row.why = line.sticks, kept_text(line.why, "reason", 400) or row.why
        session.add(row)
        session.flush()
    return was


def open_order(session: Session, typed: str, *, state: str | None = None) -> Purchase:
    """The order, still open, or in this state if one is asked for.

    Raises:
        Clash: it is not.
    """
    order = order_named(session, typed)
    if order.state not in ((state,) if state else ("draft", "placed")):
        raise Clash("order_in_state", Remedy(Do.SEE_ORDERS), order=order.id, state=order.state)
    return order


def delivery_after(supplier: Supplier, day: date) -> date:
    """The day that an order placed on this day comes: after the lead time, on a delivery day.

    A week where the supplier's lead time is not known.
    """
    lead = USUAL_LEAD_DAYS if supplier.lead_days is None else supplier.lead_days
    comes = day + timedelta(lead)
    if supplier.delivery_day is None:
        return comes
    return comes + timedelta((supplier.delivery_day - comes.weekday()) % 7)


def place(shop: Shop, typed: str, reference: str = "", due: date | None = None) -> OrderState:
    """Notes that a draft was sent to its supplier, with the supplier's reference.

    Raises:
        Clash: it is no draft.
        Refused: nothing is on it, or it would be due in the past.
    """
    with changing(shop.engine, shop.waiting) as session:
        order = open_order(session, typed, state="draft")
        if not any(line.sticks for line in state_of(session, order.id).lines):
            raise Refused("nothing_on_order", order=order.id)
        supplier = session.get_one(Supplier, order.supplier_code)
        order.due = due or delivery_after(supplier, shop.hand.day)
        if order.due < shop.hand.day:
            raise Refused("order_due_past", due=order.due)
        order.reference = kept_text(reference, "supplier's reference", 80)
        order.state = "placed"
        order.placed_in = post(session, shop.hand, "place order", touches=[("order", order.id)])
        session.add(order)
        session.flush()
        return state_of(session, order.id)


def cancel(shop: Shop, typed: str, why: str = "") -> OrderState:
    """Gives up what has not come of an order: all of it, or the rest.

    Raises:
        Clash: it is closed already.
    """
    with changing(shop.engine, shop.waiting) as session:
        order = open_order(session, typed)
        come = any(line.received for line in state_of(session, order.id).lines)
        entry = post(session, shop.hand, "cancel order", why=why, touches=[("order", order.id)])
        close(session, order, entry, "received" if come else "cancelled")
        return state_of(session, order.id)


def close(session: Session, order: Purchase, entry: int, state: str) -> None:
    """Ends an order in this entry."""
    order.state, order.closed_in = state, entry
    session.add(order)
    session.flush()

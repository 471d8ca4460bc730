"""Orders to suppliers: drafted, changed, placed, received in part or over, given up."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session, select

from stockroom.record.catalogue import profile_named, supplier_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import RackPiece, open_entry, post, serial, touch
from stockroom.record.order_tables import Purchase, PurchaseLine, Receipt
from stockroom.record.orders import OrderState, StandingLine, order_named, standing
from stockroom.record.tables import Piece, Supplier
from stockroom.refusals import Clash, Refused
from stockroom.services.rack.pieces import Arrival, arrive
from stockroom.services.shop import Shop
from stockroom.services.weekly.unblocked_jobs import now_cuttable
from stockroom.settings.shop_settings import Settings
from stockroom.units.money import format_money
from stockroom.units.texts import kept_text

__all__ = [
    "Bundle",
    "Received",
    "Wanted",
    "cancel",
    "change",
    "delivery_after",
    "draft",
    "order_row",
    "order_rows",
    "place",
    "receive_order",
]

MOST_STICKS = 10_000
USUAL_LEAD_DAYS = 7


@dataclass(frozen=True, slots=True)
class Wanted:
    """Sticks of a profile to put on an order, and the reason."""

    profile: str
    sticks: int
    why: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.sticks <= MOST_STICKS:
            raise Refused(f"{self.sticks} sticks on an order", f"order 0 to {MOST_STICKS}")


@dataclass(frozen=True, slots=True)
class Bundle:
    """Sticks of one profile and batch that came: measured lengths, and the price of a stick."""

    profile: str
    batch: str
    sticks: tuple[Arrival, ...]
    price: int | None = None
    spot: str = ""


@dataclass(frozen=True, slots=True)
class Received:
    """What a delivery brought: pieces, differences in words, jobs that can now be cut."""

    order: OrderState
    pieces: tuple[RackPiece, ...]
    differences: tuple[str, ...]
    cuttable: tuple[str, ...]


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


def draft(shop: Shop, supplier: str, wanted: Sequence[Wanted]) -> OrderState:
    """Begins an order to a supplier.

    Raises:
        Refused: nothing is wanted, or a profile is another supplier's, or stands twice.
        Unknown: there is no such supplier or profile.
    """
    with changing(shop.engine, shop.waiting) as session:
        code = supplier_named(session, supplier).code
        if not any(line.sticks for line in wanted):
            raise Refused("nothing is on this order", "name a profile and how many sticks")
        number = serial(session, Purchase)
        entry = open_entry(session, shop.hand, "draft order", touches=[("order", number)])
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
            raise Refused(f"{profile.code} stands twice", "give each profile once")
        if profile.supplier_code != order.supplier_code:
            raise Refused(f"{profile.code} comes from {profile.supplier_code}, this order goes to "
                          f"{order.supplier_code}", "put it on an order of its own")  # fmt: skip
        come = there[profile.code].received if profile.code in there else 0
        if line.sticks < come:
            raise Refused(f"{come} sticks of {profile.code} have come already",
                          "undo their receiving first")  # fmt: skip
        row = by_profile.get(profile.code) or PurchaseLine(
            id=serial(session, PurchaseLine), purchase_id=order.id, profile_code=profile.code,
            sticks=0, stick_length_um=profile.stick_length_um,
            price_minor=profile.stick_price_minor,
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
        raise Clash(f"order {order.id} is {order.state}", "see: stockroom orders list --all")
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
            raise Refused(f"nothing is on order {order.id}", "change it, or cancel it")
        supplier = session.get_one(Supplier, order.supplier_code)
        order.due = due or delivery_after(supplier, shop.hand.day)
        if order.due < shop.hand.day:
            raise Refused(f"the order would be due on {order.due}, which is past",
                          "give a day from today on")  # fmt: skip
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


def receive_order(shop: Shop, typed: str, bundles: Sequence[Bundle]) -> Received:
    """Puts what came of an order on the rack, and closes the order when nothing is left to come.

    All bundles are recorded, or none. Prices and lengths that differ, and sticks over the order,
    are recorded as they are and named.

    Raises:
        Clash: the order was not placed, or is closed.
        Refused: a profile is not on the order, or a bundle has no stick.
    """
    with changing(shop.engine, shop.waiting) as session:
        order = open_order(session, typed, state="placed")
        said: list[str] = []
        pieces: list[RackPiece] = []
        for bundle in bundles:
            come, differences = receive_bundle(session, shop, order, bundle)
            pieces += come
            said += differences
        if not pieces:
            raise Refused("nothing was received", "name a profile, its batch and its lengths")
        state = state_of(session, order.id)
        if not state.to_come:
            close(session, order, session.get_one(Piece, pieces[-1].id).came_in, "received")
            state = state_of(session, order.id)
    return Received(state, tuple(pieces), tuple(said), now_cuttable(shop, pieces))


def receive_bundle(
    session: Session, shop: Shop, order: Purchase, bundle: Bundle
) -> tuple[list[RackPiece], list[str]]:
    """Puts one bundle on the rack and on its line; gives its pieces and its differences."""
    code = profile_named(session, bundle.profile).code
    lines = {line.profile: line for line in state_of(session, order.id).lines}
    if code not in lines:
        raise Refused(f"{code} is not on order {order.id}",
                      "receive it alone, or change the order first")  # fmt: skip
    pieces = arrive(session, shop.hand, "receive", code, bundle.batch, "stick", bundle.sticks,
                    bundle.spot, f"order {order.id}")  # fmt: skip
    entry = session.get_one(Piece, pieces[0].id).came_in
    touch(session, entry, [("order", order.id)])
    line = lines[code]
    price = line.price if bundle.price is None else bundle.price
    for piece in pieces:
        session.add(Receipt(piece_id=piece.id, line_id=line.id, received_in=entry,
                            price_minor=price))  # fmt: skip
    session.flush()
    return pieces, differences(shop.settings, line, pieces, price)


def differences(
    settings: Settings, line: StandingLine, pieces: Sequence[RackPiece], price: int | None
) -> list[str]:
    """How a bundle differs from its line, in words: count, length, price."""
    said = []
    if (over := line.received + len(pieces) - line.sticks) > 0:
        said.append(f"{line.profile}: {over} more than ordered")
    if short := [piece for piece in pieces if piece.length < line.stick_length]:
        least = min(short, key=lambda piece: piece.length)
        said.append(
            f"{line.profile}: {len(short)} of {len(pieces)} shorter than "
            f"{settings.length_with_unit(line.stick_length)}, the shortest "
            f"{settings.length_with_unit(least.length)} (piece {least.id})"
        )
    if price != line.price and price is not None:
        was = "none known" if line.price is None else format_money(line.price, settings.currency)
        said.append(f"{line.profile}: {format_money(price, settings.currency)} a stick, was {was}")
    return said

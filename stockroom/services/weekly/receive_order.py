"""What comes of a placed order: bundles on the rack, what differs, and what can now be cut."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select, true

from stockroom.facts import Fact
from stockroom.record.arrivals import UNPRINTED
from stockroom.record.catalogue import profile_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import RackPiece, touch
from stockroom.record.order_tables import Purchase, PurchaseLine, Receipt
from stockroom.record.orders import OrderState, StandingLine, order_named
from stockroom.record.tables import Entry, Line, Piece
from stockroom.refusals import PlannerFault, Refused, Unlikely
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.pieces import Arrival, arrive
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import close, open_order, state_of
from stockroom.services.weekly.unblocked_jobs import unblocked

__all__ = ["Bundle", "Received", "check_not_come", "receive_order"]


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
    """What a delivery brought: pieces, differences, jobs that can now be cut, or why
    that cannot be told."""

    order: OrderState
    pieces: tuple[RackPiece, ...]
    differences: tuple[Fact, ...]
    cuttable: tuple[str, ...]
    fault: PlannerFault | None = None


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
        said: list[Fact] = []
        pieces: list[RackPiece] = []
        for bundle in bundles:
            come, differences = receive_bundle(session, shop, order, bundle)
            pieces += come
            said += differences
        if not pieces:
            raise Refused("nothing_received")
        state = state_of(session, order.id)
        if not state.to_come:
            close(session, order, session.get_one(Piece, pieces[-1].id).came_in, "received")
            state = state_of(session, order.id)
    try:
        now = unblocked(shop, pieces)
        return Received(state, tuple(pieces), (*said, *now.unmatched), now.cuttable)
    except PlannerFault as fault:  # What came is on the rack whether that can be told or not.
        return Received(state, tuple(pieces), tuple(said), (), fault)


def check_not_come(shop: Shop, typed: str, bundle: Bundle) -> None:
    """The same sticks twice on a day are a command typed twice more often than two bundles.

    Raises:
        Unlikely: sticks of these very lengths came on this order today, of the same batch.
    """
    lengths = sorted(stick.length for stick in bundle.sticks)
    batch = bundle.batch.strip().upper()
    of_batch = true() if batch in UNPRINTED else col(Line.batch_code) == batch
    with reading(shop.engine) as session:
        order = order_named(session, typed)
        rows = session.exec(
            select(Entry, Line.length_um)
            .join(Receipt, col(Receipt.received_in) == Entry.id)
            .join(PurchaseLine, col(PurchaseLine.id) == Receipt.line_id)
            .join(Line, (col(Line.piece_id) == Receipt.piece_id) & (Line.entry_id == Entry.id))
            .where(
                PurchaseLine.purchase_id == order.id, col(Receipt.lifted_in).is_(None),
                PurchaseLine.profile_code == bundle.profile.strip().upper(),
                of_batch, Entry.day == shop.hand.day,
            )
        ).all()  # fmt: skip
    come: dict[int, list[int]] = {}
    for entry, length in rows:
        come.setdefault(entry.id, []).append(length)
    for number in sorted(come):
        if sorted(come[number]) == lengths:
            raise Unlikely("came_today_already", Remedy(Do.COME_AGAIN), sticks=len(lengths),
                           order=order.id, profile=bundle.profile, batch=bundle.batch,
                           entry=number)  # fmt: skip


def receive_bundle(
    session: Session, shop: Shop, order: Purchase, bundle: Bundle
) -> tuple[list[RackPiece], list[Fact]]:
    """Puts one bundle on the rack and on its line; gives its pieces and its differences."""
    code = profile_named(session, bundle.profile).code
    lines = {line.profile: line for line in state_of(session, order.id).lines}
    if code not in lines:
        raise Refused("not_on_order", profile=code, order=order.id)
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
    return pieces, differences(line, pieces, price)


def differences(
    line: StandingLine, pieces: Sequence[RackPiece], price: int | None
) -> list[Fact]:  # fmt: skip
    """How a bundle differs from its line: count, length, price."""
    said = []
    if (over := line.received + len(pieces) - line.sticks) > 0:
        said.append(Fact("more_than_ordered", {"profile": line.profile, "over": over}))
    if shorter := [piece for piece in pieces if piece.length < line.stick_length]:
        least = min(shorter, key=lambda piece: piece.length)
        said.append(Fact("shorter_than_ordered", {
            "profile": line.profile, "shorter": len(shorter), "sticks": len(pieces),
            "stick_um": line.stick_length, "least_um": least.length, "piece": least.id,
        }))  # fmt: skip
    if price != line.price and price is not None:
        if line.price is None:
            said.append(Fact("price_is_new", {"profile": line.profile, "price_minor": price}))
        else:
            said.append(Fact("price_differs", {"profile": line.profile, "price_minor": price,
                                               "was_minor": line.price}))  # fmt: skip
    return said

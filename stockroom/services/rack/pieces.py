"""The rack: sticks received, offcuts found, flaws, corrections, and what is there."""

from collections import Counter
from collections.abc import Collection, Sequence

from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.record.arrivals import bring_in_all, delivered_batch
from stockroom.record.catalogue import add_batch, profile_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import (
    MOST_AT_ONCE,
    Flow,
    Hand,
    RackPiece,
    add_lines,
    mark_flaws,
    on_rack,
    open_entry,
    post,
    put_at,
    take_off,
)
from stockroom.record.stocktake import LONGEST_UM
from stockroom.record.tables import Entry, Piece, Plan
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.new_piece import Arrival, check_flaw
from stockroom.services.shop import Shop, shop_time
from stockroom.units.lengths import Micrometres

__all__ = [
    "Arrival", "find", "log_found", "mark_flaw", "move", "receive", "remeasure", "the_piece",
    "write_off",
]  # fmt: skip


def receive(
    shop: Shop, profile: str, batch: str, sticks: Sequence[Arrival], spot: str = "", why: str = ""
) -> list[RackPiece]:
    """Sticks from the supplier go on the rack, each with a number of its own."""
    with changing(shop.engine, shop.waiting) as session:
        return arrive(session, shop.hand, "receive", profile, batch, "stick", sticks, spot, why)


def log_found(
    shop: Shop,
    profile: str,
    batch: str,
    piece: Arrival,
    spot: str = "",
    why: str = "",
    kind: str = "offcut",
) -> RackPiece:
    """A piece that no list knew goes on the record as found."""
    with changing(shop.engine, shop.waiting) as session:
        return arrive(session, shop.hand, "found", profile, batch, kind, [piece], spot, why)[0]


def arrive(
    session: Session,
    hand: Hand,
    how: str,
    profile: str,
    batch: str,
    kind: str,
    pieces: Sequence[Arrival],
    spot: str = "",
    why: str = "",
) -> list[RackPiece]:
    """Pieces come in from the supplier (``how`` "receive") or as found, in one entry."""
    if not pieces:
        raise Refused("no_piece_given")
    code = profile_named(session, profile).code
    batch = delivered_batch(session, hand, code, batch) if how == "receive" \
        else add_batch(session, code, batch)  # fmt: skip
    check_numbers(session, [piece.number for piece in pieces if piece.number is not None])
    source = "supplier" if how == "receive" else "found"
    entry = open_entry(session, hand, how, why=why, touches=[("profile", code)])
    come = [piece.incoming(code, batch, kind, spot) for piece in pieces]
    numbers = bring_in_all(session, entry, hand, come)
    add_lines(session, entry, [
        flow for number, piece in zip(numbers, pieces, strict=True)
        for flow in piece.flows(source, code, batch, number)
    ])  # fmt: skip
    return on_rack(session, ids=numbers)


def check_numbers(session: Session, numbers: Sequence[int]) -> None:
    """Numbers given for new pieces are free.

    Raises:
        Refused: one is given twice, or is taken, or is not positive.
    """
    taken = numbers_taken(session, numbers)
    for number, times in Counter(numbers).items():
        if times > 1:
            raise Refused("piece_given_twice", number=number)
        check_number(number, taken)


def check_number(number: int, taken: Collection[int]) -> None:
    """A number given for a new piece is free, where these are taken.

    Raises:
        Refused: it is not, or is no piece's number.
    """
    if not 0 < number < 10**9:
        raise Refused("no_number_of_piece", number=number)
    if number in taken:
        raise Refused("piece_number_taken", number=number)


def numbers_taken(session: Session, numbers: Sequence[int]) -> set[int]:
    """Which of these numbers pieces have, or had."""
    taken: set[int] = set()
    asked = [number for number in numbers if 0 < number < 10**9]
    for start in range(0, len(asked), MOST_AT_ONCE):
        some = col(Piece.id).in_(asked[start : start + MOST_AT_ONCE])
        taken |= set(session.exec(select(Piece.id).where(some)))
    return taken


def the_piece(session: Session, number: int, *, free: bool = True) -> RackPiece:
    """The piece of this number on the rack, not held by a plan unless ``free`` is off.

    Raises:
        Unknown: no piece ever had this number.
        Clash: it has left the rack, or a plan holds it.
    """
    found = on_rack(session, ids=[number])
    if not found:
        gone = session.get(Piece, number)
        if gone is None:
            raise Unknown("unknown_piece", str(number))
        raise Clash("piece_has_left", Remedy(Do.WHERE_IT_WENT, number), number=number,
                    taken=what_took(session, gone.left_in))  # fmt: skip
    piece = found[0]
    if free and piece.held_by is not None:
        plan = session.get_one(Plan, piece.held_by)
        raise Clash("piece_is_held", Remedy(Do.CUT_OR_LET_GO, piece.held_by), number=number,
                    plan=plan.id, taken=what_took(session, plan.accepted_in))  # fmt: skip
    return piece


def what_took(session: Session, number: int | None) -> Fact:
    """What an entry was, by whom and when."""
    entry = session.get_one(Entry, number)
    at = shop_time(session, entry.at)
    return Fact("entry_made", {"kind": entry.kind, "who": entry.who, "at": at, "entry": entry.id})


def mark_flaw(shop: Shop, number: int, start: int, end: int, why: str = "") -> RackPiece:
    """Marks a stretch of a piece, from its label's end, that cannot be used."""
    with changing(shop.engine, shop.waiting) as session:
        piece = the_piece(session, number)
        check_flaw(start, end, piece.length)
        entry = post(session, shop.hand, "flaw", why=why, touches=[("piece", number)])
        mark_flaws(session, entry, number, [(start, end)])
        return the_piece(session, number)


def move(shop: Shop, number: int, spot: str) -> RackPiece:
    """A piece is put at another place on the rack."""
    with changing(shop.engine, shop.waiting) as session:
        the_piece(session, number, free=False)
        entry = post(session, shop.hand, "move", touches=[("piece", number)])
        put_at(session, entry, number, spot)
        return the_piece(session, number, free=False)


def write_off(shop: Shop, number: int, why: str) -> RackPiece:
    """A piece goes to scrap; gives it as it last was."""
    with changing(shop.engine, shop.waiting) as session:
        piece = the_piece(session, number)
        flows = [
            Flow("rack", -piece.length, piece.profile, piece.batch, piece=number),
            Flow("scrap", piece.length, piece.profile, piece.batch, cause="written off"),
        ]
        entry = post(session, shop.hand, "write off", flows, why=why)
        take_off(session, entry, number)
        return piece


def remeasure(
    shop: Shop, number: int, length: Micrometres, why: str
) -> tuple[RackPiece, RackPiece]:
    """Corrects a piece's length to what the tape says; gives it before and after.

    Raises:
        Refused: the length is none, or cuts off a flaw that is marked.
    """
    with changing(shop.engine, shop.waiting) as session:
        piece = the_piece(session, number)
        if not 0 < length <= LONGEST_UM:
            raise Refused("length_of_nothing", length_um=length)
        if beyond := [flaw for flaw in piece.flaws if flaw[1] > length]:
            raise Refused("flaw_beyond_new_length", number=number, end_um=beyond[0][1])
        change = length - piece.length
        other = "found" if change > 0 else "missing"
        flows = [
            Flow("rack", change, piece.profile, piece.batch, piece=number),
            Flow(other, -change, piece.profile, piece.batch, cause="remeasured"),
        ]
        post(session, shop.hand, "remeasure", flows, why=why, touches=[("piece", number)])
        return piece, the_piece(session, number)


def find(
    shop: Shop,
    profile: str | None = None,
    *,
    at_least: int = 0,
    batch: str | None = None,
    kind: str | None = None,
    spot: str | None = None,
    free: bool = False,
) -> list[RackPiece]:
    """The pieces on the rack that fit all that is asked, shortest first within a profile.

    ``at_least`` (um) is compared with the longest stretch free of flaws.
    """
    with reading(shop.engine) as session:
        code = profile_named(session, profile).code if profile else None
        pieces = on_rack(session, code)
    chosen = [
        piece
        for piece in pieces
        if longest_clear(piece) >= at_least
        and (batch is None or piece.batch == batch.strip().upper())
        and (kind is None or piece.kind == kind)
        and (spot is None or piece.spot.upper().startswith(spot.strip().upper()))
        and not (free and piece.held_by is not None)
    ]
    return sorted(chosen, key=lambda piece: (piece.profile, piece.length, piece.id))


def longest_clear(piece: RackPiece) -> int:
    """The longest stretch of a piece without a flaw, micrometres."""
    at, longest = 0, 0
    for start, end in piece.flaws:
        longest = max(longest, start - at)
        at = max(at, end)
    return max(longest, piece.length - at)

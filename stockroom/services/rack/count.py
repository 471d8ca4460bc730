"""Counting the rack: what should be there, what is, and the difference settled in one entry.

A count begins at an entry (``as_of``) and may take all day: others cut and receive meanwhile. What
moved after that entry is named, and is neither missing nor found.
"""

from collections.abc import Sequence
from dataclasses import replace

from sqlmodel import Session

from stockroom.record import catalogue
from stockroom.record.arrivals import bring_in
from stockroom.record.database import changing, reading
from stockroom.record.ledger import (
    Flow,
    add_lines,
    on_rack,
    open_entry,
    put_at,
    take_off,
    touch,
)
from stockroom.record.numbering import serial
from stockroom.record.stocktake import Counted, CountSheet, Differences, Scope, Sighting, not_seen
from stockroom.record.tables import Entry
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.compare_count import differences
from stockroom.services.shop import Shop
from stockroom.units.places import place_order
from stockroom.units.texts import kept_text

__all__ = ["compare", "count_sheet", "settle"]


def scoped(session: Session, scope: Scope) -> Scope:
    """The scope with its profile's code as it is kept.

    Raises:
        Unknown: there is no such profile.
    """
    code = catalogue.profile_named(session, scope.profile).code if scope.profile else None
    return replace(scope, spot=kept_text(scope.spot, "place", 40), profile=code)


def count_sheet(shop: Shop, scope: Scope) -> CountSheet:
    """What should be there, by place and number; first what was looked for in vain."""
    with reading(shop.engine) as session:
        scope = scoped(session, scope)
        pieces = [piece for piece in on_rack(session, scope.profile)
                  if scope.holds(piece.profile, piece.spot)]  # fmt: skip
        lost = not_seen(session, [piece.id for piece in pieces])
        in_order = tuple(sorted(
            pieces, key=lambda p: (p.id not in lost, place_order(p.spot), p.profile, p.id)
        ))  # fmt: skip
        as_of = serial(session, Entry) - 1
    return CountSheet(as_of, scope, in_order)


def compare(shop: Shop, scope: Scope, as_of: int, seen: Sequence[Sighting]) -> Differences:
    """The differences between a count and the record; nothing is written.

    Raises:
        Refused: a sighting makes no sense; all that do not are named.
    """
    with reading(shop.engine) as session:
        return differences(session, scoped(session, scope), as_of, seen)


def settle(
    shop: Shop, scope: Scope, as_of: int, seen: Sequence[Sighting], why: str
) -> tuple[int, Differences]:
    """Settles a count in one entry: missing pieces leave, found ones get numbers.

    Gives the entry, and the differences with the new numbers in them.

    Raises:
        Refused: no reason is given, or a sighting makes no sense.
    """
    if not why.strip():
        raise Refused("count_needs_reason", Remedy(Do.GIVE_REASON))
    with changing(shop.engine, shop.waiting) as session:
        scope = scoped(session, scope)
        found = differences(session, scope, as_of, seen)
        entry = open_entry(session, shop.hand, "count", why=why, touches=[("shop", "count")],
                           detail={"as_of": as_of, "agreed": len(found.agreed),
                                   "spot": scope.spot, "profile": scope.profile})  # fmt: skip
        seen_again = not_seen(session, found.agreed)
        touch(session, entry, [("piece", number) for number in sorted(seen_again)])
        return entry, written(session, shop, entry, found)


def written(session: Session, shop: Shop, entry: int, told: Differences) -> Differences:
    """Writes the lines of a settled count; gives the differences with the new numbers."""
    flows: list[Flow] = []
    found = []
    for row in told.found:
        batch = catalogue.add_batch(session, row.profile, row.batch)
        number = bring_in(session, entry, shop.hand, profile=row.profile, batch=batch,
                          kind=row.kind, spot=row.spot, note=row.note)  # fmt: skip
        found.append(replace(row, number=number, batch=batch))
    told = replace(told, found=tuple(found))
    for row in told.rows:
        touch(session, entry, [("piece", row.number)])
        flows += flows_of(row)
    add_lines(session, entry, flows)
    for row in told.missing:
        take_off(session, entry, row.number)
    for number, spot in told.misplaced:
        touch(session, entry, [("piece", number)])
        put_at(session, entry, number, spot)
    return told


def flows_of(row: Counted) -> list[Flow]:
    """The lines that set one piece right."""
    other = "found" if row.difference > 0 else "missing"
    return [
        Flow("rack", row.difference, row.profile, row.batch, piece=row.number),
        Flow(other, -row.difference, row.profile, row.batch, cause="count"),
    ]

"""The shop's numbers, read from the record."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.database import reading
from stockroom.errors import Refused
from stockroom.ledger import on_rack
from stockroom.numbers import Aged, By, Gone, Lying, Use, aged, used
from stockroom.services.shop import Shop
from stockroom.tables import Entry, Line, Profile

__all__ = ["rack_numbers", "waste_numbers"]


def waste_numbers(
    shop: Shop, by: By, since: date | None = None, until: date | None = None
) -> list[Use]:
    """What became of the moulding cut from ``since`` to ``until``, both days included.

    What was undone counts for nothing on the whole, but on each of its two days.

    Raises:
        Refused: the days are the wrong way round.
    """
    if since is not None and until is not None and since > until:
        raise Refused(f"from {since} to {until}: no day lies between",
                      "give the earlier day to --since")  # fmt: skip
    with reading(shop.engine) as session:
        return used(gone(session, since, until), by)


def gone(session: Session, since: date | None, until: date | None) -> Iterator[Gone]:
    """What the record says of the lengths that were cut."""
    profiles = profiles_known(session)
    for places, why in ((("rails", "saw"), Line.place), (("scrap",), Line.cause)):
        asked = (
            select(col(Entry.day), Line.profile_code, why, func.sum(Line.length_um))
            .join(Line, col(Line.entry_id) == Entry.id)
            .where(col(Line.place).in_(places))
            .group_by(col(Entry.day), col(Line.profile_code), col(why))
        )
        if since is not None:
            asked = asked.where(Entry.day >= since)
        if until is not None:
            asked = asked.where(Entry.day <= until)
        for day, code, cause, length in session.exec(asked):
            supplier, per_metre = profiles[code]
            yield Gone(day, code, supplier, cause or "scrap", int(length), per_metre)


def profiles_known(session: Session) -> dict[str, tuple[str, Fraction | None]]:
    """Each profile's supplier, and what a metre of it costs, minor units."""
    return {profile.code: (profile.supplier_code, metre_price(profile))
            for profile in session.exec(select(Profile))}  # fmt: skip


def metre_price(profile: Profile) -> Fraction | None:
    """What a metre costs: from the stick's price, else the metre's own; None where neither is."""
    if profile.stick_price_minor is not None:
        return Fraction(profile.stick_price_minor * 1_000_000, profile.stick_length_um)
    price = profile.metre_price_minor
    return None if price is None else Fraction(price)


def rack_numbers(shop: Shop, by: str) -> list[Aged]:
    """What lies on the rack, by age or by profile."""
    with reading(shop.engine) as session:
        profiles = profiles_known(session)
        rack = [Lying(piece.profile, piece.kind, piece.length, piece.since,
                      profiles[piece.profile][1]) for piece in on_rack(session)]  # fmt: skip
    return aged(rack, shop.hand.day, "age" if by == "age" else "profile")

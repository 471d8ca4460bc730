"""The shop's numbers, read from the record."""

from collections.abc import Iterator
from datetime import date

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.insight.waste import CUTTING_LOSS, Aged, By, Gone, Lying, MouldingUse, aged, used
from stockroom.record.catalogue import price_of, profile_named
from stockroom.record.database import reading
from stockroom.record.ledger import on_rack, stands
from stockroom.record.tables import Entry, Line, Profile
from stockroom.refusals import Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.shop import Shop
from stockroom.units.money import Price
from stockroom.units.texts import near

__all__ = ["rack_numbers", "waste_numbers"]


def waste_numbers(
    shop: Shop,
    by: By,
    since: date | None = None,
    until: date | None = None,
    *,
    profile: str | None = None,
    cause: str | None = None,
) -> list[MouldingUse]:
    """What became of the moulding cut from ``since`` to ``until``, both days included.

    Of one profile, or to one cause alone, where they are given. What was undone does not count.

    Raises:
        Refused: the days are the wrong way round.
        Unknown: no profile has this code, or nothing was lost to such a cause.
    """
    if since is not None and until is not None and since > until:
        raise Refused("no_day_between", Remedy(Do.EARLIER_DAY_FIRST), since=since, until=until)
    with reading(shop.engine) as session:
        code = profile_named(session, profile).code if profile else None
        went = [one for one in gone(session, since, until) if code in (None, one.profile)]
    if cause is None:
        return used(went, by)
    causes = sorted({one.cause for one in went} - {"rails"})
    named = cause.strip().lower()
    if went and named not in causes:
        raise Unknown("unknown_cause", cause, near(named, causes) or tuple(causes))
    return used([one for one in went if one.cause == named], by)


def gone(session: Session, since: date | None, until: date | None) -> Iterator[Gone]:
    """What the record says of the lengths that were cut."""
    profiles = profiles_known(session)
    for places, why in ((("rails", "saw"), Line.place), (("scrap",), Line.cause)):
        asked = (
            select(col(Entry.day), Line.profile_code, why, func.sum(Line.length_um))
            .join(Line, col(Line.entry_id) == Entry.id)
            .where(col(Line.place).in_(places), stands())
            .group_by(col(Entry.day), col(Line.profile_code), col(why))
        )
        if since is not None:
            asked = asked.where(Entry.day >= since)
        if until is not None:
            asked = asked.where(Entry.day <= until)
        for day, code, cause, length in session.exec(asked):
            supplier, price = profiles[code]
            named = CUTTING_LOSS if cause == "saw" else cause or "scrap"
            yield Gone(day, code, supplier, named, int(length), price)


def profiles_known(session: Session) -> dict[str, tuple[str, Price | None]]:
    """Each profile's supplier and price."""
    return {profile.code: (profile.supplier_code, price_of(profile))
            for profile in session.exec(select(Profile))}  # fmt: skip


def rack_numbers(shop: Shop, by: str) -> list[Aged]:
    """What lies on the rack, by age or by profile."""
    with reading(shop.engine) as session:
        profiles = profiles_known(session)
        rack = [Lying(piece.profile, piece.kind, piece.length, piece.since,
                      profiles[piece.profile][1])
                for piece in on_rack(session) if not piece.owner]  # fmt: skip
    return aged(rack, shop.hand.day, "age" if by == "age" else "profile")

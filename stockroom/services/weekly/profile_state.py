"""All that the weekly review knows of each profile, read from the record at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session

from planner.values import Curve
from stockroom.buying.order_terms import REVIEW_DAYS, last_buy
from stockroom.buying.season import Season
from stockroom.record.catalogue import profile_named, profiles, suppliers
from stockroom.record.jobs import OpenFrame, open_frames
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.orders import on_order
from stockroom.record.stocktake import not_seen
from stockroom.record.tables import Profile, Supplier
from stockroom.services.kept_for import OWN
from stockroom.services.past.kept_worth import curves_kept
from stockroom.services.past.past_demand import Asked, asked_for, never, season_told, usual_notice
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import delivery_after

__all__ = ["TRUSTED_WEEKS", "Shelf", "horizon", "shelves_of"]

TRUSTED_WEEKS = 13
"""With a shorter past nothing is expected, and the profile's minimum holds instead."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """One profile: its waiting frames, free pieces, sticks on order, past, learned worth.

    ``coming`` are the sticks of each delivery to come, ``notice`` is how many days before they are
    due the shop's jobs usually come in; ``season`` is the shop's.
    """

    profile: Profile
    supplier: Supplier
    waiting: Sequence[OpenFrame]
    rack: Sequence[RackPiece]
    coming: tuple[int, ...]
    asked: Asked
    notice: int
    worth: Curve | None = None
    season: Season | None = None

    @property
    def trusted(self) -> bool:
        """True where the past is long enough to expect anything from it."""
        return self.asked.forecast.weeks >= TRUSTED_WEEKS

    @property
    def expects(self) -> bool:
        """True where the past is long enough, and the profile asked for often enough, to keep
        sticks for what may come."""
        return self.trusted and not self.asked.forecast.seldom

    @property
    def discontinued(self) -> bool:
        """True where the supplier sells it no more, or soon will not."""
        known = self.profile.last_order is not None or self.profile.last_sticks is not None
        return self.profile.discontinued or known

    def is_last(self, today: date) -> bool:
        """True where this review's order is the last that the supplier takes."""
        profile = self.profile
        return last_buy(profile.last_order, profile.last_sticks, today, REVIEW_DAYS)

    def is_gone(self, today: date) -> bool:
        """True where the supplier takes no order for it any more."""
        last = self.profile.last_order
        return last is not None and last < today


def horizon(supplier: Supplier, today: date) -> int:
    """Days until an order of the next review would be there."""
    return (delivery_after(supplier, today + timedelta(REVIEW_DAYS)) - today).days


def shelves_of(session: Session, shop: Shop, only: str | None = None) -> list[Shelf]:
    """Each profile, or the one named; what is a customer's own is none of the shop's."""
    today, bench = shop.hand.day, shop.settings.bench
    sellers = {supplier.code: supplier for supplier in suppliers(session)}
    every = profiles(session)
    chosen = [profile_named(session, only)] if only else every
    waiting: dict[str, list[OpenFrame]] = {one.code: [] for one in every}
    rack: dict[str, list[RackPiece]] = {one.code: [] for one in every}
    for frame in open_frames(session, bench=bench):
        if not frame.held and frame.takes != OWN:
            waiting[frame.profile].append(frame)
    free = [piece for piece in on_rack(session) if piece.held_by is None]
    lost = not_seen(session, [piece.id for piece in free])
    for piece in free:
        if piece.id not in lost and not piece.owner:
            rack[piece.profile].append(piece)
    past = asked_for(session, today, is_large=shop.settings.is_large)
    season = season_told(past.values(), today)
    coming = on_order(session)
    notice = usual_notice(session, bench.cut_by, today, shop.settings.promise)
    worth = curves_kept(session, [one.code for one in chosen])
    return [
        Shelf(one, sellers[one.supplier_code], waiting[one.code], rack[one.code],
              deliveries(coming.get(one.code, ())),
              past.get(one.code) or never(session, today), notice,
              worth.get(one.code), season)
        for one in chosen
    ]  # fmt: skip


def deliveries(coming: Sequence[tuple[date | None, int]]) -> tuple[int, ...]:
    """Sticks by the day they are due; those of one day come as one."""
    days: dict[date | None, int] = {}
    for day, sticks in coming:
        days[day] = days.get(day, 0) + sticks
    return tuple(days.values())

"""Whole sticks that a year's jobs will not reach: money that lies on the rack."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.values import Frame
from stockroom.buying.forecast import forecast
from stockroom.buying.windows import Case, sticks_opened
from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.record.ledger import on_rack
from stockroom.record.tables import Profile
from stockroom.services.insight.advise_offcuts import ENOUGH_DAYS, YEAR, Rails, asked_in_a_year
from stockroom.services.planning import rules_for
from stockroom.services.shop import Shop

__all__ = ["DeadSticks", "dead_sticks"]


@dataclass(frozen=True, slots=True)
class DeadSticks:
    """Sticks of a profile beyond what a year takes: how many there are, how many of them are beyond
    it, and what those cost as bought (minor units; None where that is not known)."""

    profile: str
    sticks: int
    beyond: int
    money: int | None


def dead_sticks(shop: Shop, *, anyway: bool = False) -> list[DeadSticks]:
    """The profiles with more whole sticks than a year's jobs take, most money first.

    A year's jobs are reckoned as for dead offcuts; a past of less than 91 days tells nothing
    unless ``anyway``.
    """
    with reading(shop.engine) as session:
        days, asked = asked_in_a_year(session, shop)
        if days < ENOUGH_DAYS and not anyway:
            return []
        every = profiles(session)
        there: dict[str, int] = {}
        for piece in on_rack(session):
            if piece.kind == "stick":
                there[piece.profile] = there.get(piece.profile, 0) + 1
    years = Fraction(max(days, ENOUGH_DAYS), YEAR)
    found = []
    for profile in every:
        sticks = there.get(profile.code, 0)
        taken = taken_in_a_year(shop, profile, asked.get(profile.code, []), years, sticks)
        if sticks > taken:
            price, beyond = profile.stick_price_minor, sticks - taken
            money = None if price is None else beyond * price
            found.append(DeadSticks(profile.code, sticks, beyond, money))
    return sorted(found, key=lambda one: (-(one.money or 0), one.profile))


def taken_in_a_year(
    shop: Shop, profile: Profile, frames: Sequence[Rails], years: Fraction, most: int
) -> int:
    """The new sticks that a year's frames open by the hand rule, were there nothing else; no more
    than ``most`` are counted."""
    rules = rules_for(shop.settings, profile)
    coming = [frames[turn % len(frames)] for turn in range(round(len(frames) / years))]
    length = sum(rail + rules.cut_allowance for rails in coming for rail in rails)
    if not most or length >= most * profile.stick_length_um:
        return most
    wanted = [Frame(f"{turn:06d}", profile.code, rails, one_batch=profile.batch_matched)
              for turn, rails in enumerate(coming)]  # fmt: skip
    case = Case(profile.code, rules, profile.stick_length_um, (), (), (), shop.hand.day,
                profile.batch_matched, forecast((0,)), shop.hand.day, 0)  # fmt: skip
    return min(most, sticks_opened(case, wanted))

"""Whole sticks that a year's jobs will not reach: money that lies on the rack."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from planner.values import Frame, Piece
from stockroom.buying.forecast import forecast
from stockroom.buying.order_terms import HOLDING_PERCENT
from stockroom.buying.windows import Case, sticks_opened
from stockroom.facts import Fact
from stockroom.record.catalogue import cost_of_sticks, price_of, profiles, stick_price, suppliers
from stockroom.record.database import reading
from stockroom.record.ledger import on_rack
from stockroom.record.tables import Profile
from stockroom.services.insight.advise_offcuts import (
    ENOUGH_DAYS,
    YEAR,
    Rails,
    asked_in_a_year,
    dead_offcuts,
)
from stockroom.services.insight.ready_made import NOTHING, Goal, made_from, rails_of
from stockroom.services.planning import rules_for
from stockroom.services.shop import Shop

__all__ = ["DeadSticks", "dead_said", "dead_sticks"]

GIVEN_BACK_PERCENT = 20
"""What a supplier keeps of the price of what is given back: a fifth is common practice."""
MOST_SAID = 3
Way = Literal["give_back", "ready_made", "keep"]
BEST: dict[Way, str] = {"give_back": "best_give_back", "ready_made": "best_ready_made",
                        "keep": "best_keep"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DeadSticks:
    """Sticks of a profile beyond what a year takes: how many there are, how many of them are beyond
    it, and what those cost as bought.

    ``years`` is how long those lie in the mean until jobs take them, None for good; ``keeping``
    what that costs, their price at most; ``giving_back`` what the supplier keeps of it, with the
    carriage; ``frames`` the ready-made ones that they yield, ``moulding`` what the rails of these
    would cost. Money in minor units, None where the profile has no price.
    """

    profile: str
    sticks: int
    beyond: int
    money: int | None
    years: float | None
    keeping: int | None
    giving_back: int | None
    frames: int
    moulding: int | None

    @property
    def losses(self) -> dict[Way, int]:
        """What each way loses of their money, minor units; none where there is no price."""
        if self.money is None:
            return {}
        return {"give_back": self.giving_back or 0, "keep": self.keeping or 0,
                "ready_made": self.money - (self.moulding or 0)}  # fmt: skip

    @property
    def said(self) -> Fact:
        """What to do with them, in money, the way first that loses least."""
        if self.money is None or self.keeping is None:
            return Fact("dead_unpriced", {
                "profile": self.profile, "sticks": self.sticks, "beyond": self.beyond,
                "frames": self.frames})  # fmt: skip
        lie = Fact("lie_for_good") if self.years is None else Fact("lie_years", {
            "years": round(self.years, 1), "cost_minor": self.keeping})  # fmt: skip
        best = min(self.losses, key=lambda way: self.losses[way])
        return Fact("dead_priced", {
            "profile": self.profile, "sticks": self.sticks, "beyond": self.beyond,
            "price_minor": self.money, "lie": lie, "back_minor": self.giving_back,
            "frames": self.frames, "moulding_minor": self.moulding, "best": Fact(BEST[best]),
            "percent": 100 * self.keeping // self.money if self.money else 0,
        })  # fmt: skip


def dead_said(shop: Shop) -> list[Fact]:
    """What to do with what is dead, in money: the dearest sticks, and the offcuts together."""
    sticks = dead_sticks(shop)
    offcuts = dead_offcuts(shop).offcuts
    said = [one.said for one in sticks[:MOST_SAID]]
    if more := sticks[MOST_SAID:]:
        money = sum(one.money or 0 for one in more)
        said.append(Fact("more_dead", {"profiles": len(more), "price_minor": money}))
    if offcuts:
        money = sum(one.money or 0 for one in offcuts)
        said.append(Fact("dead_offcuts", {"offcuts": len(offcuts), "price_minor": money}))
    return said


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
        carriage = {one.code: one.carriage_minor or 0 for one in suppliers(session)}
        there: dict[str, int] = {}
        for piece in on_rack(session):
            if piece.kind == "stick" and not piece.owner:
                there[piece.profile] = there.get(piece.profile, 0) + 1
    years = Fraction(max(days, ENOUGH_DAYS), YEAR)
    found = []
    for profile in every:
        sticks = there.get(profile.code, 0)
        taken = taken_in_a_year(shop, profile, asked.get(profile.code, []), years, sticks)
        if sticks > taken:
            found.append(dead_of(shop, profile, sticks, taken, carriage[profile.supplier_code]))
    return sorted(found, key=lambda one: (-(one.money or 0), one.profile))


def dead_of(shop: Shop, profile: Profile, sticks: int, taken: int, carriage: int) -> DeadSticks:
    """The sticks of one profile beyond those that a year takes, and what each way makes of them."""
    price, beyond = stick_price(profile), sticks - taken
    waits = [1 + turn / taken for turn in range(1, beyond + 1)] if taken else []
    money = keeping = back = None
    if price is not None:
        money = cost_of_sticks(profile, beyond) or 0
        each = [min(1.0, HOLDING_PERCENT / 100 * years) for years in waits] or [1.0] * beyond
        keeping = round(price * sum(each))
        back = min(money, round(money * GIVEN_BACK_PERCENT / 100) + carriage)
    frames, moulding = made_of(shop, profile, beyond)
    return DeadSticks(profile.code, sticks, beyond, money, sum(waits) / beyond if waits else None,
                      keeping, back, frames, moulding)  # fmt: skip


def made_of(shop: Shop, profile: Profile, sticks: int) -> tuple[int, int | None]:
    """The ready-made frames that so many sticks yield, and what their rails would cost."""
    if profile.kind != "rabbeted":
        return 0, 0
    pieces = [Piece(f"{number}", profile.code, "?", "stick", profile.stick_length_um)
              for number in range(1, sticks + 1)]  # fmt: skip
    rails = {size: rails_of(shop, profile, size) for size in shop.settings.ready_made}
    goal = Goal(profile, rules_for(shop.settings, profile), price_of(profile), rails)
    made, _ = made_from(goal, pieces, NOTHING)
    return len(made), sum(one.moulding or 0 for one in made)


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

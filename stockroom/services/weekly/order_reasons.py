"""Why sticks are wanted, as facts."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockroom.buying.spare import Spare
from stockroom.facts import Fact
from stockroom.record.catalogue import cheaper_more, cost_of_sticks
from stockroom.record.jobs import OpenFrame
from stockroom.record.tables import Profile
from stockroom.services.shop import Shop
from stockroom.services.weekly.cut_instead import CutToSize
from stockroom.services.weekly.profile_state import Shelf, horizon

__all__ = ["LineParts", "often", "reasons", "sticks_of"]

SELDOM, OFTEN = 0.01, 2 / 3
MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class LineParts:
    """What makes up the sticks of a line: for frames ``due``, for later ones, for what is expected
    (by the odds of ``spare``), for the minimum; ``left`` whole sticks are there without them.

    ``box`` fills a box, ``fill`` an order; ``lacking`` are wanted and cannot be had.
    """

    due: tuple[OpenFrame, ...]
    now: int
    later: int
    expected: int
    minimum: int
    left: int
    box: int = 0
    fill: int = 0
    lacking: int = 0
    spare: Spare | None = None

    @property
    def needed(self) -> int:
        """Sticks wanted, before boxes are filled."""
        return self.now + self.later + self.expected + self.minimum + self.fill

    def boxed(self, size: int) -> "LineParts":
        """The same with the last box filled."""
        return replace(self, box=-self.needed % size)

    def kept_to(self, most: int) -> "LineParts":
        """The same with no more sticks than this; cover goes first, then what is due last."""
        left, kept = most, {}
        for name in ("now", "later", "expected"):
            kept[name] = min(left, getattr(self, name))
            left -= kept[name]
        lacking = self.now + self.later - kept["now"] - kept["later"]
        return replace(self, **kept, lacking=lacking)


def reasons(
    shop: Shop, shelf: Shelf, parts: LineParts, cut: Sequence[CutToSize]
) -> tuple[Fact, ...]:  # fmt: skip
    """Why these sticks are wanted, or cannot be had."""
    others = [frame for frame in shelf.waiting if frame not in parts.due]
    due, later = jobs_named(parts.due), jobs_named(others or shelf.waiting)
    facts: list[tuple[object, Fact | None]] = [
        (parts.now, Fact("wanted_for_short", {"sticks": parts.now, "jobs": due})),
        (parts.later, Fact("wanted_for_jobs", {"sticks": parts.later, "jobs": later})),
        (parts.expected, expectation(shop, shelf, parts)),
        (parts.minimum, Fact("wanted_for_minimum", {
            "sticks": parts.minimum, "least": shelf.profile.minimum_sticks, "left": parts.left})),
        (parts.fill, Fact("wanted_to_fill_order", {"sticks": parts.fill})),
        (parts.box, Fact("wanted_to_fill_box", {
            "sticks": parts.box, "box": shelf.profile.box_sticks})),
        (not parts.lacking, more_for_less(shelf.profile, parts)),
        *((True, one.why) for one in cut),
        (shelf.discontinued, ending(shop, shelf, parts)),
        (sum(shelf.coming), Fact("on_order_counted", {"sticks": sum(shelf.coming)})),
    ]  # fmt: skip
    return tuple(fact for told, fact in facts if told and fact is not None)


def more_for_less(profile: Profile, parts: LineParts) -> Fact | None:
    """That more sticks would cost less, all together; None where they would not."""
    sticks = parts.needed + parts.box
    more = cheaper_more(profile, sticks)
    if not sticks or more is None:
        return None
    return Fact("more_cost_less", {
        "sticks": sticks, "more": more, "price_minor": cost_of_sticks(profile, more)})  # fmt: skip


def expectation(shop: Shop, shelf: Shelf, parts: LineParts) -> Fact | None:
    """How many are usual and spare, how long, the odds that they fall short, and the evidence."""
    past, spare, profile = shelf.asked.forecast, parts.spare, shelf.profile
    if spare is None:
        return None
    usual = min(spare.usual, parts.expected)
    counts = {"usual": usual, "spare": parts.expected - usual}
    if all(counts.values()):
        sticks = Fact("usual_and_spare", counts)
    else:
        sticks = Fact("usual_sticks" if usual else "spare_sticks", counts)
    last, ahead = shelf.is_last(shop.hand.day), None
    if shelf.notice and not last:
        ahead = Fact("jobs_come_ahead", {"days": shelf.notice})
    days = shop.settings.last_buy_days if last else horizon(shelf.supplier, shop.hand.day)
    paced = shelf.asked.in_season(shelf.season, shop.hand.day, spare.days).forecast
    return Fact("wanted_for_expected", {
        "sticks": sticks, "price": priced(profile, parts.expected), "days": days, "ahead": ahead,
        "out": often(spare.falls_short(parts.expected)), "fewer": fewer(spare, parts, profile),
        "without": often(spare.short[0]), "method": paced.method, "evidence": past.evidence,
        "season": seasonal(spare.season),
    })  # fmt: skip


def seasonal(busy: float) -> Fact | None:
    """How much more or less comes in at this time of the year, by whole percent."""
    percent = round(100 * (busy - 1))
    if not percent:
        return None
    return Fact("season_busier" if percent > 0 else "season_quieter", {"percent": abs(percent)})


def priced(profile: Profile, sticks: int) -> Fact | None:
    """What so many sticks cost, where that is known."""
    cost = cost_of_sticks(profile, sticks)
    return None if cost is None else Fact("so_much", {"price_minor": cost})


def fewer(spare: Spare, parts: LineParts, profile: Profile) -> Fact | None:
    """The odds of half as many sticks, and what they cost, where they are others."""
    half = parts.expected // 2
    if not half or spare.falls_short(half) == spare.falls_short(parts.expected):
        return None
    return Fact("fewer_run_out", {"sticks": half, "price": priced(profile, half),
                                  "out": often(spare.falls_short(half))})  # fmt: skip


def often(share: float) -> Fact:
    """A share of all times, as one would say it."""
    if share < SELDOM:
        return Fact("hardly_ever")
    return Fact("most_times") if share > OFTEN else Fact("one_time_in", {"times": round(1 / share)})


def ending(shop: Shop, shelf: Shelf, parts: LineParts) -> Fact:
    """What follows from a profile's end."""
    what = end_of(shop, shelf)
    if not parts.lacking:
        return what
    return Fact("not_to_be_had", {"what": what, "sticks": parts.lacking,
                                  "jobs": jobs_named(shelf.waiting)})  # fmt: skip


def end_of(shop: Shop, shelf: Shelf) -> Fact:
    """How a profile ends."""
    profile, until = shelf.profile, shelf.profile.last_order
    if shelf.is_gone(shop.hand.day):
        return Fact("sold_no_more_since", {"day": until})
    if shelf.is_last(shop.hand.day):
        left = profile.last_sticks
        return Fact("last_buy", {
            "until": None if until is None else Fact("and_orders_until", {"day": until}),
            "left": None if left is None else Fact("and_to_be_had", {"sticks": left}),
        })  # fmt: skip
    return Fact("sold_no_more") if until is None else Fact("orders_until", {"day": until})


def jobs_named(frames: Sequence[OpenFrame]) -> Fact:
    """The jobs of these frames, at most four by name."""
    names = tuple(f"J{job}" for job in dict.fromkeys(frame.job for frame in frames))
    if len(names) <= MOST_NAMED:
        return Fact("names", {"names": names})
    return Fact("names_and_more", {"names": names[:MOST_NAMED], "more": len(names) - MOST_NAMED})


def sticks_of(profile: str, sticks: int) -> Fact:
    """So many sticks of a profile."""
    return Fact("sticks_of", {"sticks": sticks, "profile": profile})

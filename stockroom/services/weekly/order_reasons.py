"""Why sticks are wanted, in words a framer would use."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockroom.buying.spare import Spare
from stockroom.record.jobs import OpenFrame
from stockroom.services.shop import Shop
from stockroom.services.weekly.cut_instead import CutToSize
from stockroom.services.weekly.profile_state import Shelf, horizon

__all__ = ["LineParts", "odds", "reason"]

SELDOM = 0.01


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


def reason(shop: Shop, shelf: Shelf, parts: LineParts, cut: Sequence[CutToSize]) -> str:
    """Why these sticks are wanted, or cannot be had."""
    others = [frame for frame in shelf.waiting if frame not in parts.due]
    words = [
        (parts.now, f"{parts.now} for {jobs_named(parts.due)}, can't be cut today"),
        (parts.later, f"{parts.later} for {jobs_named(others or shelf.waiting)}"),
        (parts.expected, expectation(shop, shelf, parts)),
        (parts.minimum, f"{parts.minimum} to keep {whole_sticks(shelf.profile.minimum_sticks)} "
                        f"({parts.left} left)"),
        (parts.fill, f"{parts.fill} to fill the order up"),
        (parts.box, f"{parts.box} to fill a box of {shelf.profile.box_sticks}"),
        (len(cut), "; ".join(one.said for one in cut)),
        (shelf.discontinued, ending(shop, shelf, parts)),
        (sum(shelf.coming), f"{sum(shelf.coming)} on order counted"),
    ]  # fmt: skip
    return "; ".join(said for told, said in words if told)


def expectation(shop: Shop, shelf: Shelf, parts: LineParts) -> str:
    """How many are usual and spare, how long, the odds that they fall short, and the evidence."""
    past, spare = shelf.asked.forecast, parts.spare
    if spare is None:
        return ""
    usual = min(spare.usual, parts.expected)
    words = [f"{usual} usual"] * bool(usual)
    words += [f"{parts.expected - usual} spare"] * (parts.expected > usual)
    if shelf.is_last(shop.hand.day):
        days, ahead = shop.settings.last_buy_days, ""
    else:
        days = horizon(shelf.supplier, shop.hand.day)
        ahead = f", jobs come {shelf.notice} ahead" if shelf.notice else ""
    return (f"{' and '.join(words)} for {days} days{ahead}: {odds(spare, parts.expected)}; "
            f"{past.method}, {past.evidence}")  # fmt: skip


def odds(spare: Spare, sticks: int) -> str:
    """How often so many spare sticks fall short, and how often none would."""
    return f"run out {often(spare.falls_short(sticks))}, without them {often(spare.short[0])}"


def often(share: float) -> str:
    """A share of all times, as one would say it."""
    if share < SELDOM:
        return "hardly ever"
    return "most times" if share > 2 / 3 else f"one time in {round(1 / share)}"


def ending(shop: Shop, shelf: Shelf, parts: LineParts) -> str:
    """What follows from a profile's end."""
    profile = shelf.profile
    if shelf.is_gone(shop.hand.day):
        what = f"sold no more since {profile.last_order}"
    elif shelf.is_last(shop.hand.day):
        what = "last buy" + (f", orders until {profile.last_order}" if profile.last_order else "")
        if profile.last_sticks is not None:
            what += f", {whole_sticks(profile.last_sticks)} to be had"
    elif profile.last_order is not None:
        what = f"orders until {profile.last_order}"
    else:
        what = "sold no more: for open jobs alone, if any are left"
    if not parts.lacking:
        return what
    return f"{what}: {parts.lacking} for {jobs_named(shelf.waiting)} not to be had, choose another"


def whole_sticks(count: int) -> str:
    """A count of whole sticks, in words."""
    return "1 whole stick" if count == 1 else f"{count} whole sticks"


def jobs_named(frames: Sequence[OpenFrame]) -> str:
    """The jobs of these frames, at most four by name."""
    names = [f"J{job}" for job in dict.fromkeys(frame.job for frame in frames)]
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")

"""The week's order: what to buy, by supplier, and why."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from stockroom.buying.order_terms import HOLDING_PERCENT, REVIEW_DAYS
from stockroom.buying.spare import DAYS_A_YEAR, Spare
from stockroom.facts import Fact
from stockroom.record.catalogue import cost_of_sticks, stick_price
from stockroom.record.database import changing, reading
from stockroom.record.tables import Supplier
from stockroom.refusals import Refused
from stockroom.services.planning import deadline
from stockroom.services.shop import Shop
from stockroom.services.weekly.cut_instead import CutToSize, cut_instead
from stockroom.services.weekly.left_lines import LeftLine, left_lines, put_off
from stockroom.services.weekly.needs import Needs
from stockroom.services.weekly.order_reasons import LineParts, reasons, sticks_of
from stockroom.services.weekly.profile_state import Shelf, shelves_of
from stockroom.services.weekly.purchase_orders import Advised, Wanted
from stockroom.services.weekly.spare_held import spare_of
from stockroom.units.lengths import Micrometres

__all__ = ["OrderLine", "Review", "leave_lines", "line_of", "reorder", "review_week",
           "what_spare_buys"]  # fmt: skip

TIMES = 6
"""A week's order, of many plans, may take so many times as long as one plan."""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Sticks of a profile to buy: how many, what they cost, and the reasons.

    ``for_short`` sticks are for frames due by the given day, ``for_jobs`` for later ones,
    ``for_expected`` are spare for what may come before the next order is there, by the odds of
    ``spare``, ``for_minimum`` bring the rack back to the profile's minimum
    while its past is too short to say, ``for_box`` fill the last box, ``for_fill`` bring the order
    to one of the supplier's thresholds. ``cut`` are the jobs better bought cut to size. ``hasty``
    is a line for which time ran out. Prices in minor units; None where the catalogue has none.
    """

    supplier: str
    supplier_name: str
    profile: str
    sticks: int
    for_short: int
    for_jobs: int
    for_expected: int
    for_minimum: int
    for_box: int
    stick_length: Micrometres
    stick_price: int | None
    price: int | None
    why: tuple[Fact, ...]
    spare: Spare | None = None
    box: int = 1
    for_fill: int = 0
    cut: tuple[CutToSize, ...] = ()
    hasty: bool = False

    @property
    def advised(self) -> Advised:
        """What the list says: so many sticks, and their odds where there are spare ones."""
        if self.spare is None:
            return Advised(self.sticks, 0.0, 0)
        short = self.spare.falls_short(self.for_expected + self.for_box + self.for_fill)
        return Advised(self.sticks, round(short, 4), self.spare.days)

    def wanted(self, why: str) -> Wanted:
        """The line as it is put on an order, with its reasons as they were told to who orders."""
        return Wanted(self.profile, self.sticks, why, self.advised)

    @property
    def urgent(self) -> bool:
        """True where a job waits for it, or a minimum the shop has set."""
        return bool(self.for_short or self.for_jobs or self.for_minimum or self.cut)


@dataclass(frozen=True, slots=True)
class Review:
    """The week's lines, and what is said of those that are better left for the next."""

    lines: tuple[OrderLine, ...]
    said: tuple[Fact, ...] = ()


def reorder(
    shop: Shop, until: date | None = None, profile: str | None = None, *, sticks_only: bool = False,
    on_progress: Callable[[str, int, int], None] | None = None,
) -> list[OrderLine]:  # fmt: skip
    """What to buy this week, by supplier and profile.

    Frames due by ``until`` (today unless given) that the rack cannot yield come first, then what
    all open jobs need beyond it and what is on order, then what the profile's past makes likely
    before the order of the next review would be there. With ``sticks_only`` no job is bought cut
    to size, however much cheaper that is. All plans share one deadline; what profiles with little
    to reckon leave of it goes to the others. ``on_progress`` hears of each profile.
    """
    return list(review_week(shop, until, profile, sticks_only=sticks_only,
                            on_progress=on_progress).lines)  # fmt: skip


def review_week(
    shop: Shop, until: date | None = None, profile: str | None = None, *, sticks_only: bool = False,
    on_progress: Callable[[str, int, int], None] | None = None,
) -> Review:  # fmt: skip
    """What to buy this week, and which suppliers' spare sticks are better left for the next.

    An order for one profile is an order for all: where no job waits for anything of a supplier's,
    the spare sticks of all its profiles together must save more than the carriage they cost. That
    is not looked at for one profile alone.
    """
    with reading(shop.engine) as session:
        shelves = shelves_of(session, shop, profile)
        left = left_lines(session, shop.hand.day)
    day = until or shop.hand.day
    found: list[OrderLine | None] = []
    easy_first = sorted(shelves, key=lambda shelf: (len(shelf.waiting), shelf.profile.code))
    with deadline(TIMES * shop.settings.seconds) as stop:
        for done, shelf in enumerate(easy_first):
            share = stop.within(stop.left() / (len(shelves) - done))
            found.append(order_line(Needs(shop, shelf, share), day, sticks_only))
            if on_progress is not None:
                on_progress(shelf.profile.code, done + 1, len(shelves))
    lines = sorted(filter(None, found), key=lambda line: (line.supplier, line.profile))
    said = [left[line.profile].said for line in lines if is_left(line, left)]
    lines = [line for line in lines if not is_left(line, left)]
    said += [fact for shelf in shelves if (fact := sample_said(shop, shelf, lines))]
    sellers = {shelf.supplier.code: shelf.supplier for shelf in shelves if profile is None}
    for supplier in sellers.values():
        ours = [line for line in lines if line.supplier == supplier.code]
        if why := not_worth_it(supplier, ours):
            lines = [line for line in lines if line not in ours]
            said.append(why)
    return Review(tuple(lines), tuple(said))


def is_left(line: OrderLine, left: Mapping[str, LeftLine]) -> bool:
    """True of a line that was left for the next review, unless more is wanted since."""
    return line.profile in left and line.sticks <= left[line.profile].sticks


def leave_lines(shop: Shop, codes: Sequence[str], why: str = "") -> list[LeftLine]:
    """Leaves the list's lines of these profiles for the next review; gives them as they are kept.

    Raises:
        Unknown: no profile has one of the codes.
        Refused: the list asks for nothing of one.
    """
    found = []
    for code in codes:
        line = next(iter(reorder(shop, profile=code)), None)
        if line is None or not line.sticks:
            raise Refused("nothing_to_leave", profile=code.strip().upper())
        found.append(LeftLine(line.profile, line.sticks, why))
    with changing(shop.engine, shop.waiting) as session:
        put_off(session, shop.hand, found)
        left = left_lines(session, shop.hand.day)
        return [left[line.profile] for line in found]


def what_spare_buys(lines: Sequence[OrderLine]) -> Fact | None:
    """What the spare sticks of a list cost, and the waits that they spare the shop; None where
    there are none. Last buys, and what has no price, are not among them."""
    spare = [
        (line.for_expected, line.stick_price, line.spare)
        for line in lines
        if line.spare and line.for_expected and line.stick_price and not line.spare.last
    ]
    if not spare:
        return None
    money = sum(sticks * price for sticks, price, _ in spare)
    return Fact("spare_buys", {
        "sticks": sum(sticks for sticks, _, _ in spare), "price_minor": money,
        "keep_minor": round(money * HOLDING_PERCENT / 100),
        "without": yearly(sum(held.waiting(0) for _, _, held in spare)),
        "with": yearly(sum(held.waiting(sticks) for sticks, _, held in spare)),
    })  # fmt: skip


def yearly(waits: float) -> int:
    """Frames that wait in a year, where so many do between two reviews."""
    return round(waits * DAYS_A_YEAR / REVIEW_DAYS)


def sample_said(shop: Shop, shelf: Shelf, lines: Sequence[OrderLine]) -> Fact | None:
    """When the sample of a profile comes down whose last order is today's; None of any other."""
    if not shelf.is_last(shop.hand.day):
        return None
    code = shelf.profile.code
    if not any(line.profile == code and line.sticks for line in lines):
        return Fact("sample_down_now", {"profile": code})
    by = shop.hand.day + timedelta(shop.settings.last_buy_days)
    return Fact("sample_down_by", {"profile": code, "by": by})


def not_worth_it(supplier: Supplier, lines: Sequence[OrderLine]) -> Fact | None:
    """Why a supplier's lines are better left for next week; None where they are not."""
    price = sum(line.price or 0 for line in lines)
    carriage, free = supplier.carriage_minor or 0, supplier.free_carriage_minor
    if not carriage or (free is not None and price >= free):
        return None
    saved = sum(line.spare.saved for line in lines if line.spare)
    if not lines or any(line.urgent for line in lines) or saved > carriage:
        return None
    return Fact("left_for_next_week", {
        "supplier": supplier.name, "saved_minor": round(saved), "carriage_minor": carriage,
        "sticks": tuple(sticks_of(line.profile, line.sticks) for line in lines),
    })  # fmt: skip


def order_line(needs: Needs, until: date, sticks_only: bool) -> OrderLine | None:
    """What to buy of one profile; None where nothing is needed."""
    shop, shelf = needs.shop, needs.shelf
    need = needs.of(shelf.waiting, shelf.coming)
    parts = parts_of(shelf, until, needs)
    cut: list[CutToSize] = []
    if need.sticks and not (sticks_only or parts.expected or parts.minimum):
        cut = cut_instead(needs)
    if cut:
        gone = {one.job for one in cut}
        shelf = replace(shelf, waiting=[frame for frame in shelf.waiting if frame.job not in gone])
        parts = parts_of(shelf, until, needs)
    if not (parts.needed or parts.lacking or cut):
        return None
    return replace(line_of(shop, shelf, parts, tuple(cut)), hasty=needs.stop.over())


def line_of(
    shop: Shop, shelf: Shelf, parts: LineParts, cut: tuple[CutToSize, ...] = ()
) -> OrderLine:
    """The line of a profile, made of these parts."""
    profile, supplier = shelf.profile, shelf.supplier
    sticks = parts.needed + parts.box
    paid = cost_of_sticks(profile, sticks)
    paid = None if paid is None else paid + sum(one.price for one in cut)
    return OrderLine(
        supplier.code, supplier.name, profile.code, sticks, parts.now, parts.later, parts.expected,
        parts.minimum, parts.box, profile.stick_length_um, stick_price(profile, sticks), paid,
        reasons(shop, shelf, parts, cut), parts.spare, profile.box_sticks or 1, parts.fill, cut,
    )  # fmt: skip


def parts_of(shelf: Shelf, until: date, needs: Needs) -> LineParts:
    """What makes up a profile's sticks, by the frames that wait on this shelf."""
    shop, need = needs.shop, needs.of(shelf.waiting, shelf.coming)
    today, profile = shop.hand.day, shelf.profile
    due = tuple(frame for frame in shelf.waiting if frame.cut_by <= until)
    now = min(need.sticks, needs.of(due).sticks)
    spare = spare_of(shop, shelf, need.sticks) if shelf.expects else None
    keeps = not (shelf.trusted or shelf.discontinued)
    minimum = max(0, profile.minimum_sticks - need.left) if keeps else 0
    parts = LineParts(due, now, need.sticks - now, spare.sticks if spare else 0, minimum, need.left,
                  spare=spare)  # fmt: skip
    if shelf.is_gone(today):
        return parts.kept_to(0)
    if shelf.discontinued and profile.last_sticks is not None:
        return parts.kept_to(profile.last_sticks)
    return parts.boxed(profile.box_sticks or 1)

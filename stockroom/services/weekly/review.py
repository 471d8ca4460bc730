"""The week's order: what to buy, by supplier, and why."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from stockroom.buying.cover import LAST_DAYS, SERVICE, Case, Class, as_free, covers, with_order
from stockroom.record.database import reading
from stockroom.services.planning import deadline, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.services.weekly.cut_instead import CutToSize, cut_instead
from stockroom.services.weekly.needs import Needs, asked, sticks_coming
from stockroom.services.weekly.order_reasons import Parts, reason
from stockroom.services.weekly.profile_state import Shelf, horizon, shelves_of

__all__ = ["OrderLine", "line_of", "reorder"]

TIMES = 6
"""A week's order, of many plans, may take so many times as long as one plan."""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Sticks of a profile to buy: how many, what they cost, and the reasons.

    ``for_short`` sticks are for frames due by the given day, ``for_jobs`` for later ones,
    ``for_expected`` cover what may come before the next order is there (``likely`` of them half of
    the time, the others to be safe), ``for_minimum`` bring the rack back to the profile's minimum
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
    stick_length: int
    stick_price: int | None
    price: int | None
    why: str
    rank: Class = "C"
    box: int = 1
    likely: int = 0
    for_fill: int = 0
    cut: tuple[CutToSize, ...] = ()
    hasty: bool = False


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
    with reading(shop.engine) as session:
        shelves = shelves_of(session, shop.hand.day, profile, shop.settings.bench)
    day = until or shop.hand.day
    lines: list[OrderLine | None] = []
    easy_first = sorted(shelves, key=lambda shelf: (len(shelf.waiting), shelf.profile.code))
    with deadline(TIMES * shop.settings.seconds) as stop:
        for done, shelf in enumerate(easy_first):
            share = stop.within(stop.left() / (len(shelves) - done))
            lines.append(order_line(Needs(shop, shelf, share), day, sticks_only))
            if on_progress is not None:
                on_progress(shelf.profile.code, done + 1, len(shelves))
    return sorted(filter(None, lines), key=lambda line: (line.supplier, line.profile))


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


def line_of(shop: Shop, shelf: Shelf, parts: Parts, cut: tuple[CutToSize, ...] = ()) -> OrderLine:
    """The line of a profile, made of these parts."""
    profile, supplier = shelf.profile, shelf.supplier
    sticks, price = parts.needed + parts.box, profile.stick_price_minor
    paid = None if price is None else price * sticks + sum(one.price for one in cut)
    return OrderLine(
        supplier.code, supplier.name, profile.code, sticks, parts.now, parts.later, parts.expected,
        parts.minimum, parts.box, profile.stick_length_um, price, paid,
        reason(shop, shelf, parts, cut), shelf.rank, profile.box_sticks or 1, parts.likely,
        parts.fill, cut,
    )  # fmt: skip


def parts_of(shelf: Shelf, until: date, needs: Needs) -> Parts:
    """What makes up a profile's sticks, by the frames that wait on this shelf."""
    shop, need = needs.shop, needs.of(shelf.waiting, shelf.coming)
    today, profile = shop.hand.day, shelf.profile
    due = tuple(frame for frame in shelf.waiting if frame.cut_by <= until)
    now = min(need.sticks, needs.of(due).sticks)
    likely, expected = expected_sticks(shop, shelf, need.sticks) if shelf.expects else (0, 0)
    keeps = not (shelf.trusted or shelf.discontinued)
    minimum = max(0, profile.minimum_sticks - need.left) if keeps else 0
    parts = Parts(due, now, need.sticks - now, likely, expected, minimum, need.left)
    if shelf.is_gone(today):
        return parts.kept_to(0)
    if shelf.discontinued and profile.last_sticks is not None:
        return parts.kept_to(profile.last_sticks)
    return parts.boxed(profile.box_sticks or 1)


def days_covered(shop: Shop, shelf: Shelf) -> int:
    """How many days' demand this week's order must cover.

    Those until the next review's order is there, less the days that jobs come in ahead; a quarter
    where no other order is taken; none of a profile that is sold no more.
    """
    today, profile = shop.hand.day, shelf.profile
    if shelf.is_last(today):
        return LAST_DAYS
    if shelf.is_gone(today) or (shelf.discontinued and profile.last_order is None):
        return 0
    return max(0, horizon(shelf.supplier, today) - shelf.notice)


def expected_sticks(shop: Shop, shelf: Shelf, for_jobs: int) -> tuple[int, int]:
    """Sticks that cover half of the futures, and the share of them that the class asks for.

    The sticks that the open jobs need are ordered anyway, and what they leave is cut first.
    """
    profile, rules = shelf.profile, rules_for(shop.settings, shelf.profile)
    ordered = sticks_coming(profile, shelf.coming)
    bought = with_order(profile.code, profile.stick_length_um, for_jobs)
    pieces = (*map(planner_piece, shelf.rack), *ordered, *bought)
    case = Case(
        profile.code, rules, profile.stick_length_um,
        tuple(as_free(piece) for piece in pieces),
        tuple(asked(frame, shelf.rack, profile) for frame in shelf.waiting),
        shelf.asked.weeks, profile.batch_matched, shelf.asked.forecast, shop.hand.day,
        days_covered(shop, shelf),
    )  # fmt: skip
    likely, enough = covers(case, (0.5, SERVICE[shelf.rank]))
    return likely, enough

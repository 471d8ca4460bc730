"""A year of buying replayed for one profile: who orders how much each week, and what comes of it.

Frames are cut on their due day by the hand rule; a stock-out is a frame that cannot be cut on it.
"""

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import pi, sin
from random import Random

from planner.heuristics.best_fit import hand_laid, hand_plan
from planner.score import offcut_left
from planner.values import Frame, Piece, Problem
from stockroom.buying.forecast import by_week, forecast
from stockroom.buying.season import season_of
from stockroom.buying.spare import Spare, Stake, spare_sticks
from stockroom.buying.windows import (
    Asking,
    Case,
    as_free,
    outcomes,
    sticks_opened,
    stretches_apart,
    with_order,
)
from stockroom.replay import Order, ShopDemand, orders_of
from stockroom.replay.asked_frames import FIRST_DAY

__all__ = [
    "STEADY",
    "YEAR",
    "Buyer",
    "Course",
    "Year",
    "asked_of",
    "fixed_minimum",
    "foreseeing",
    "last_years_windows",
    "minimum_alone",
    "open_jobs",
    "replay_buying",
    "review",
]

YEAR, WARM_UP, WEEK = 364, 91, 7


@dataclass(frozen=True, slots=True)
class Year:
    """A year of one profile, or of several added up: frames, and lengths in micrometres.

    ``waited`` are the frames that could not be cut on their due day, by name; ``tied`` is the mean
    length on the rack at the end of a day, ``offcuts`` that of what is no whole stick; ``balance``
    is what came less what was cut, lost, scrapped and is left: nothing, or the replay is wrong.
    """

    frames: int
    waited: frozenset[str]
    tied: int
    bought: int
    balance: int
    offcuts: int

    @property
    def stock_outs(self) -> int:
        """How many frames waited."""
        return len(self.waited)


@dataclass(frozen=True, slots=True)
class Course:
    """How demand goes: from the end of the history on so many times as much comes in, and all along
    a season swings it about its mean by so large a share."""

    times: float = 1.0
    season: float = 0.0

    @property
    def busiest(self) -> float:
        """The most of all days, as a multiple of the history's mean."""
        return max(1.0, self.times) * (1 + self.season)

    def on(self, day: int) -> float:
        """That of a day."""
        swing = 1 + self.season * sin(2 * pi * day / YEAR)
        return swing * (1.0 if day < YEAR else self.times)


STEADY = Course()

Buyer = Callable[[Case, int], int]
"""How many sticks to order: of a case, and the whole sticks that its open jobs leave."""


def open_jobs(case: Case, _left: int) -> int:
    """Buys for open jobs alone."""
    return sticks_opened(case, ())


def fixed_minimum(sticks: int) -> Buyer:
    """Buys for open jobs, and keeps so many whole sticks beside them."""
    return lambda case, left: sticks_opened(case, ()) + max(0, sticks - left)


def minimum_alone(sticks: int) -> Buyer:
    """Keeps so many whole sticks on the rack and on order, and looks at no job."""

    def buy(case: Case, _left: int) -> int:
        whole = case.stick_length
        return max(0, sticks - sum(piece.length == whole for piece in case.pieces))

    return buy


def review(
    stake: Stake, came: Sequence[int] = (), tell: Callable[[Case, Spare], None] | None = None
) -> Buyer:
    """Buys for open jobs, and the spare sticks that cost least at this stake.

    ``came`` are the days on which the whole shop's jobs come in; the season is told by those that
    have come. ``tell`` hears what each review says of its spare sticks.
    """
    days = [(FIRST_DAY + timedelta(day), day) for day in came]

    def buy(case: Case, _left: int) -> int:
        case = in_season(case, days)
        needed = sticks_opened(case, ())
        bought = with_order(case.profile, case.stick_length, needed)
        free = tuple(as_free(piece) for piece in bought)
        covered = replace(case, pieces=(*case.pieces, *free))
        spare = spare_sticks(outcomes(covered), stake, stretches_apart(covered))
        if tell is not None:
            tell(case, spare)
        return needed + spare.sticks

    return buy


def in_season(case: Case, came: Sequence[tuple[date, int]]) -> Case:
    """The case with its past at the pace of the days to come, where the shop has a season."""
    weeks = by_week([one for one in came if one[0] <= case.day], FIRST_DAY, case.day)
    season = season_of([len(week) for week in weeks])
    if season is None:
        return case
    asks, since = season.paced(case.past, case.since, case.day, case.days)
    paced = by_week([(ask.day, ask) for ask in asks], since, case.day)
    expected = forecast([len(week) for week in paced])
    return replace(case, past=asks, since=since, forecast=expected)


def foreseeing(
    demand: ShopDemand, seed: int, lead: int, days: int, course: Course,
    let_wait: Collection[str] = (),
) -> Buyer:  # fmt: skip
    """Buys for open jobs, and for what is due before the next review's order and will come in, but
    for the frames of these names, which are let wait."""
    orders = [order for order in asked_of(demand, seed, days, course)
              if order.frame.id not in let_wait]  # fmt: skip

    def buy(case: Case, _left: int) -> int:
        today = (case.day - FIRST_DAY).days
        coming = [replace(order.frame, due=FIRST_DAY + timedelta(order.due)) for order in orders
                  if today < order.day and order.due < today + lead + WEEK]  # fmt: skip
        return sticks_opened(case, coming)

    return buy


class _Shelf:
    """One profile's rack and the sticks on order, in a replay."""

    def __init__(self, demand: ShopDemand) -> None:
        self.demand, self.number = demand, 0
        self.rack: dict[str, Piece] = {}
        self.coming: Counter[int] = Counter()
        self.came = self.gone = 0

    def put(self, piece: Piece) -> None:
        """A piece more on the rack, under the next number."""
        self.number += 1
        self.rack[f"{self.number}"] = replace(piece, id=f"{self.number}")

    def deliver(self, day: int) -> int:
        """The sticks that come on this day, of one batch; their length."""
        length = sum(self.demand.sticks) // 2
        sticks = self.coming.pop(day, 0)
        for _ in range(sticks):
            self.put(Piece("", self.demand.profile, f"D{day}", "stick", length))
        self.came += sticks * length
        return sticks * length

    def cut(self, due: Sequence[Frame]) -> set[str]:
        """Cuts what of these frames the rack yields; gives their ids."""
        if not due:
            return set()
        plan = hand_plan(Problem(self.demand.rules, tuple(self.rack.values()), tuple(due)))
        for cut in plan.cuts:
            piece = self.rack.pop(cut.piece)
            kept = cut.leftover if cut.kept else 0
            self.gone += piece.length - kept
            if kept:
                self.put(offcut_left(piece, self.demand.rules, cut))
        return {rail.frame for cut in plan.cuts for rail in cut.rails}

    def case(self, day: int, waiting: Sequence[Order], past: Sequence[Order], lead: int) -> Case:
        """The review's question on this day."""
        rules, length = self.demand.rules, sum(self.demand.sticks) // 2
        ordered = [Piece(f"coming-{due}-{n}", self.demand.profile, f"D{due}", "stick", length)
                   for due, sticks in self.coming.items() for n in range(sticks)]  # fmt: skip
        today = FIRST_DAY + timedelta(day)
        asked = [(FIRST_DAY + timedelta(order.day), order.frame.rails[:2]) for order in past]
        weeks = by_week(asked, FIRST_DAY, today)
        return Case(
            self.demand.profile, rules, length,
            tuple(as_free(piece) for piece in (*self.rack.values(), *ordered)),
            tuple(order.frame for order in waiting),
            tuple(Asking(on, (pair,)) for on, pair in asked),  # type: ignore[arg-type]
            FIRST_DAY, self.demand.matched, forecast([len(week) for week in weeks]), today,
            max(0, lead + WEEK - self.demand.lead), max(0, lead - self.demand.lead),
        )  # fmt: skip

    def whole_left(self, case: Case) -> int:
        """Whole sticks, on the rack and on order, that the open jobs leave."""
        laid = hand_laid(Problem(case.rules, case.pieces, case.known))
        opened = {piece for piece, _ in laid}
        sticks = {piece.id for piece in self.rack.values() if piece.kind == "stick"}
        return (
            len(sticks - opened)
            + sum(self.coming.values())
            - len([name for name in opened if name.startswith("coming-")])
        )


def asked_of(demand: ShopDemand, seed: int, days: int, course: Course) -> list[Order]:
    """The frames of a year of history and of the days after it, as demand goes."""
    busiest = replace(demand, pace=demand.pace * course.busiest)
    luck = Random(f"kept {seed} {demand.profile}")
    return [
        order
        for order in orders_of(busiest, seed, YEAR + days)
        if luck.random() < course.on(order.day) / course.busiest
    ]


def last_years_windows(
    demand: ShopDemand, seed: int, days: int, course: Course = STEADY
) -> list[int]:
    """Sticks, by length, that the frames of each window of so many days of the history took.

    It is all that a shop without this program can know when it sets a minimum.
    """
    orders = [order for order in asked_of(demand, seed, 1, course) if order.day < YEAR]
    rules, stick = demand.rules, sum(demand.sticks) // 2
    usable = stick - 2 * rules.end_trim
    found = []
    for start in range(0, YEAR - days + 1, WEEK):
        rails = [rail + rules.cut_allowance for order in orders
                 if start <= order.day < start + days for rail in order.frame.rails]  # fmt: skip
        found.append(-(-sum(rails) // usable))
    return found


def replay_buying(
    demand: ShopDemand, buyer: Buyer, seed: int, lead: int, days: int = YEAR,
    course: Course = STEADY,
) -> Year:  # fmt: skip
    """A year of one profile after a year of history, ordered for weekly by this buyer."""
    start = YEAR - WARM_UP
    orders = asked_of(demand, seed, days, course)
    shelf, waiting, waited = _Shelf(demand), dict[str, Order](), set[str]()
    frames = bought = tied = offcuts = 0
    for day in range(start, YEAR + days):
        counts = day >= YEAR
        bought += shelf.deliver(day) * counts
        waiting |= {order.frame.id: order for order in orders if order.day == day}
        if day % WEEK == 0:
            past = [order for order in orders if order.day <= day]
            case = shelf.case(day, list(waiting.values()), past, lead)
            shelf.coming[day + max(1, lead)] += buyer(case, shelf.whole_left(case))
        due = [order for order in waiting.values() if order.due <= day]
        done = shelf.cut([order.frame for order in due])
        late = {order.frame.id for order in due if order.due == day} - done
        waited |= late if counts else set()
        frames += len(done) * counts
        waiting = {name: order for name, order in waiting.items() if name not in done}
        tied += sum(piece.length for piece in shelf.rack.values()) * counts
        offcuts += sum(piece.length for piece in shelf.rack.values()
                       if piece.kind == "offcut") * counts  # fmt: skip
    held = sum(piece.length for piece in shelf.rack.values())
    return Year(frames, frozenset(waited), tied // days, bought,
                shelf.came - shelf.gone - held, offcuts // days)  # fmt: skip

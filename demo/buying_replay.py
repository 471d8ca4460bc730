"""A year of buying replayed: the review, a fixed minimum, and open jobs alone.

``python -m demo.buying_replay`` prints stock-outs, the length tied up, and the length bought, for
invented profiles of every pace, after a year of history. Frames are cut on their due day by the
hand rule; a stock-out is a frame that cannot be cut on it.
"""

import sys
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from planner.hand import hand_laid, hand_plan
from planner.values import Frame, Piece, Problem
from stockroom.buying import SERVICE, Case, as_free, cover, sticks_opened
from stockroom.demand import forecast, weekly
from stockroom.replay import Demand, Order, ReplayFault, invented_shop, orders_of
from stockroom.replay.demand import FIRST_DAY

__all__ = ["Year", "fixed_minimum", "open_jobs", "replay_buying", "review"]

YEAR, WARM_UP, WEEK = 364, 91, 7
MOST_STICKS, SEED = 60, 1
SHAPES, FUTURES = 200, 100


@dataclass(frozen=True, slots=True)
class Year:
    """A year of one profile, or of several added up: frames, and lengths in micrometres.

    ``tied`` is the mean length on the rack at the end of a day; ``balance`` is what came less what
    was cut, lost, scrapped and is left: nothing, or the replay is wrong.
    """

    frames: int
    stock_outs: int
    tied: int
    bought: int
    balance: int


Buyer = Callable[[Case, int], int]
"""How many sticks to order: of a case, and the whole sticks that its open jobs leave."""


def open_jobs(case: Case, _left: int) -> int:
    """Buys for open jobs alone."""
    return sticks_opened(case, ())


def fixed_minimum(sticks: int) -> Buyer:
    """Buys for open jobs, and keeps so many whole sticks beside them."""
    return lambda case, left: sticks_opened(case, ()) + max(0, sticks - left)


def review(service: float) -> Buyer:
    """Buys for open jobs, and covers this share of the futures."""

    def buy(case: Case, _left: int) -> int:
        needed = sticks_opened(case, ())
        usable = case.stick_length - 2 * case.rules.end_trim
        bought = tuple(
            Piece(f"bought-{number}", case.profile, "bought", "offcut", usable)
            for number in range(needed)
        )
        return needed + cover(replace(case, pieces=(*case.pieces, *bought)), service, FUTURES)

    return buy


class _Shelf:
    """One profile's rack and the sticks on order, in a replay."""

    def __init__(self, demand: Demand) -> None:
        self.demand, self.number = demand, 0
        self.rack: dict[str, Piece] = {}
        self.coming: Counter[int] = Counter()
        self.came = self.gone = 0

    def put(self, kind: str, batch: str, length: int) -> None:
        """A piece more on the rack."""
        self.number += 1
        name = str(self.number)
        self.rack[name] = Piece(name, self.demand.profile, batch, kind, length)  # type: ignore[arg-type]

    def deliver(self, day: int) -> int:
        """The sticks that come on this day, of one batch; their length."""
        length = sum(self.demand.sticks) // 2
        sticks = self.coming.pop(day, 0)
        for _ in range(sticks):
            self.put("stick", f"D{day}", length)
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
                self.put("offcut", piece.batch, kept)
        return {rail.frame for cut in plan.cuts for rail in cut.rails}

    def case(self, day: int, waiting: Sequence[Order], past: Sequence[Order], lead: int) -> Case:
        """The review's question on this day."""
        rules, length = self.demand.rules, sum(self.demand.sticks) // 2
        ordered = [Piece(f"coming-{n}", self.demand.profile, "coming", "stick", length)
                   for n in range(sum(self.coming.values()))]  # fmt: skip
        days = Counter(FIRST_DAY + timedelta(order.day) for order in past)
        today = FIRST_DAY + timedelta(day)
        return Case(
            self.demand.profile, rules, length,
            tuple(as_free(piece, rules) for piece in (*self.rack.values(), *ordered)),
            tuple(order.frame for order in waiting),
            tuple(order.frame.rails[:2] for order in past[-SHAPES:]),  # type: ignore[misc]
            self.demand.matched, forecast(weekly(days, FIRST_DAY, today)), today,
            -(-(lead + WEEK) // WEEK),
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


def replay_buying(demand: Demand, buyer: Buyer, seed: int, lead: int, days: int = YEAR) -> Year:
    """A year of one profile after a year of history, ordered for weekly by this buyer."""
    start = YEAR - WARM_UP
    orders = orders_of(demand, seed, YEAR + days)
    shelf, waiting, tied = _Shelf(demand), dict[str, Order](), 0
    frames = late = bought = 0
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
        late += sum(order.due == day and order.frame.id not in done for order in due) * counts
        frames += len(done) * counts
        waiting = {name: order for name, order in waiting.items() if name not in done}
        tied += sum(piece.length for piece in shelf.rack.values()) * counts
    held = sum(piece.length for piece in shelf.rack.values())
    return Year(frames, late, tied // days, bought, shelf.came - shelf.gone - held)


def added(years: Sequence[Year]) -> Year:
    """Several profiles' years as one shop's."""
    return Year(*(sum(getattr(year, name) for year in years) for name in Year.__slots__))


def equal_minimum(demand: Demand, year: Year, lead: int) -> Year:
    """The year of this profile's least fixed minimum with no more stock-outs than in this one.

    It is found in hindsight, which no shop has: the hardest fixed minimum to beat.
    """
    for sticks in range(MOST_STICKS):
        found = replay_buying(demand, fixed_minimum(sticks), SEED, lead)
        if found.stock_outs <= year.stock_outs:
            return found
    raise ReplayFault(f"{demand.profile}: no minimum below {MOST_STICKS} sticks does as well")


def show(name: str, year: Year) -> None:
    """One line of the table."""
    print(f"{name:<26}{year.frames:>7}{year.stock_outs:>11}{year.tied / 1e6:>12.1f}"
          f"{year.bought / 1e6:>12.1f}", flush=True)  # fmt: skip


def main(words: Sequence[str]) -> None:
    """The comparison, for a lead time in days and a demand multiplied, as typed: ``7 1``."""
    lead, times = int(words[0]) if words else 7, float(words[1]) if len(words) > 1 else 1.0
    notice = int(words[2]) if len(words) > 2 else 3
    demands = [replace(demand, pace=demand.pace * times, lead=notice)
               for demand in invented_shop(5, 6)]  # fmt: skip
    print(f"lead {lead} days, demand x {times}, jobs due {notice} days after they come in")
    print(f"{'buyer':<26}{'frames':>7}{'stock-outs':>11}{'metres tied':>12}{'bought':>12}")
    years = {
        "open jobs alone": [replay_buying(demand, open_jobs, SEED, lead) for demand in demands]
    }
    for sticks in (3, 6, 12):
        years[f"minimum of {sticks} each"] = [
            replay_buying(demand, fixed_minimum(sticks), SEED, lead) for demand in demands
        ]
    for service in sorted(SERVICE.values()):
        found = [replay_buying(demand, review(service), SEED, lead) for demand in demands]
        years[f"review at {service:.2f}"] = found
        years["  minimum as good, each"] = [
            equal_minimum(demand, year, lead) for demand, year in zip(demands, found, strict=True)
        ]
        for name, each in years.items():
            show(name, added(each))
        years = {}


if __name__ == "__main__":
    main(sys.argv[1:])

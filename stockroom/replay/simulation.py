"""One profile replayed day by day under a policy, with every micrometre accounted for."""

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

from planner.judge import faults
from planner.score import offcut_left
from planner.stretches import stretches
from planner.values import Cut, Frame, Piece, Plan, Problem
from stockroom.replay.asked_frames import FIRST_DAY, Order, ShopDemand
from stockroom.replay.deliveries import Invented, Supply
from stockroom.replay.policies import Policy

__all__ = ["Day", "ReplayFault", "Run", "replay"]


class ReplayFault(Exception):
    """A policy gave a plan with a fault, or length was lost: a fault of the program."""


@dataclass(slots=True)
class Day:
    """What one day moved, micrometres, and the offcuts on the rack at its end.

    ``opened`` and ``rails`` count what was cut; ``allowances`` is one cut allowance for each rail.
    ``ages`` are the days each offcut on the rack has lain there; ``late`` counts the frames that
    were cut after the day they were due.
    """

    opened: int = 0
    trims: int = 0
    rails: int = 0
    allowances: int = 0
    saw: int = 0
    scrap: int = 0
    frames: int = 0
    handled: int = 0
    late: int = 0
    offcuts: tuple[int, ...] = ()
    ages: tuple[int, ...] = ()
    plans: list[float] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Run:
    """A profile's replay: its days in order, and how many frames due by the last stay uncut."""

    demand: ShopDemand
    policy: str
    seed: int
    days: tuple[Day, ...]
    uncut: int = 0


def replay(
    demand: ShopDemand, orders: Sequence[Order], policy: Policy, seed: int, days: int,
    supply: Supply | None = None,
) -> Run:  # fmt: skip
    """The days of one profile under a policy, from an empty rack unless ``supply`` has one.

    Frames due by a day are cut on it, or on the first day on which the rack yields them. Those
    that fall due within the policy's look-ahead are planned with them, and cut only where the
    policy picks them, or they share a piece with a frame that must be cut.

    Raises:
        ReplayFault: the judge found a fault in a plan, or a day lost length.
    """
    shop = _Shop(demand, Invented(demand, seed) if supply is None else supply)
    waiting: dict[str, Order] = {}
    coming = sorted(orders, key=lambda order: order.day)
    told, found = 0, []
    for day in range(days):
        while told < len(coming) and coming[told].day <= day:
            waiting[coming[told].frame.id] = coming[told]
            told += 1
        due = [order.frame for order in waiting.values() if order.due <= day]
        seen = [o.frame for o in waiting.values() if day < o.due <= day + policy.ahead]
        result = shop.work(day, due, seen if due else [], policy)
        result.day.late = sum(waiting.pop(name).due < day for name in result.done)
        found.append(result.day)
    uncut = sum(order.due < days for order in waiting.values())
    return Run(demand, policy.name, seed, tuple(found), uncut)


@dataclass(frozen=True, slots=True)
class _Worked:
    day: Day
    done: frozenset[str]


class _Shop:
    """The rack of one profile, its deliveries, and the saw."""

    def __init__(self, demand: ShopDemand, supply: Supply) -> None:
        self.demand, self.supply = demand, supply
        self.rack: dict[str, Piece] = {}
        self.pieces = self.came = 0

    def work(self, day: int, due: list[Frame], seen: list[Frame], policy: Policy) -> _Worked:
        """A day: sticks come where they run low, frames are planned and cut."""
        self.deliver(day, self.demand.minimum)
        record, done = Day(), frozenset[str]()
        before = sum(piece.length for piece in self.rack.values())
        if due:
            plan = self.plan(day, due, seen, policy, record)
            cuts = plan.cuts if policy.pick else committed(plan, {frame.id for frame in due})
            done = frozenset(rail.frame for cut in cuts for rail in cut.rails)
            self.cut(day, cuts, record)
            before += self.came
            self.clear(policy, record)
        self.account(before, record)
        record.frames = len(done)
        offcuts = [piece for piece in self.rack.values() if piece.kind == "offcut"]
        record.offcuts = tuple(piece.length for piece in offcuts)
        record.ages = tuple(
            day - (piece.since - FIRST_DAY).days for piece in offcuts if piece.since
        )
        return _Worked(record, done)

    def plan(
        self, day: int, due: list[Frame], seen: list[Frame], policy: Policy, record: Day
    ) -> Plan:
        """The policy's plan, with sticks fetched in a hurry until every frame due is in it."""
        self.came = 0
        for _ in range(20):
            problem = Problem(self.demand.rules, tuple(self.rack.values()), (*due, *seen))
            started = time.perf_counter()
            plan = policy.plan(problem, {frame.id for frame in due})
            record.plans.append(time.perf_counter() - started)
            if broken := faults(problem, plan):
                raise ReplayFault(f"{policy.name}, day {day}: {broken[0]}")
            late = {short.frame for short in plan.short} & {frame.id for frame in due}
            if not late or not (came := self.deliver(day, self.whole() + 1)):
                return plan
            self.came += came
        raise ReplayFault(f"{policy.name}, day {day}: {sorted(late)} stay without sticks")

    def whole(self) -> int:
        """How many whole sticks lie on the rack."""
        return sum(piece.kind == "stick" for piece in self.rack.values())

    def deliver(self, day: int, minimum: int) -> int:
        """What comes on a day on which so many whole sticks are wanted; its length."""
        came = list(self.supply.come(day, self.whole(), minimum))
        for piece in came:
            self.put(piece)
        return sum(piece.length for piece in came)

    def put(self, piece: Piece) -> None:
        """A piece onto the rack, under the next number."""
        self.pieces += 1
        self.rack[f"{self.pieces}"] = replace(piece, id=f"{self.pieces}")

    def cut(self, day: int, cuts: Sequence[Cut], record: Day) -> None:
        """The cuts at the saw: rails, losses, leftovers to the rack or to scrap."""
        for number in dict.fromkeys(cut.piece for cut in cuts):
            self.cut_piece(day, self.rack.pop(number), [c for c in cuts if c.piece == number],
                           record)  # fmt: skip

    def cut_piece(self, day: int, piece: Piece, cuts: Sequence[Cut], record: Day) -> None:
        """One piece cut: flaws, trims and what is too short to keep are scrap."""
        rules = self.demand.rules
        runs, lengths = stretches(piece, rules), [[r.length for r in c.rails] for c in cuts]
        lost = [runs[cut.stretch].lost(rails)
                for cut, rails in zip(cuts, lengths, strict=True)]  # fmt: skip
        trims = sum(one.trim + one.far_trim for one in lost)
        rest = piece.length - sum(run.tape for run in runs) + sum(one.scrap for one in lost)
        record.opened += piece.length if piece.kind == "stick" else 0
        record.trims += trims
        record.rails += sum(map(sum, lengths))
        record.allowances += rules.cut_allowance * sum(map(len, lengths))
        record.saw += sum(one.saw for one in lost)
        record.scrap += trims + rest + sum(c.leftover for c in cuts if not c.kept)
        record.handled += 1
        for cut in cuts:
            if cut.kept:
                self.put(replace(offcut_left(piece, rules, cut),
                                 since=FIRST_DAY + timedelta(day)))  # fmt: skip

    def clear(self, policy: Policy, record: Day) -> None:
        """The offcuts that the policy gives up go to scrap."""
        if policy.clear is None:
            return
        for name in policy.clear(tuple(self.rack.values())):
            if self.rack[name].kind == "stick":
                raise ReplayFault(f"{policy.name}: it threw out stick {name}")
            record.scrap += self.rack.pop(name).length

    def account(self, before: int, record: Day) -> None:
        """Nothing was lost: the rack before is rails, saw loss, scrap and the rack after.

        Raises:
            ReplayFault: it is not.
        """
        after = sum(piece.length for piece in self.rack.values())
        if before != after + record.rails + record.saw + record.scrap:
            raise ReplayFault(f"{self.demand.profile}: a day lost length")


def committed(plan: Plan, due: Iterable[str]) -> tuple[Cut, ...]:
    """The cuts of the frames that must be cut, and of all that share a piece with them."""
    frames, pieces = set(due), set[str]()
    while True:
        pieces = {cut.piece for cut in plan.cuts if frames & {rail.frame for rail in cut.rails}}
        more = {rail.frame for cut in plan.cuts if cut.piece in pieces for rail in cut.rails}
        if more <= frames:
            return tuple(cut for cut in plan.cuts if cut.piece in pieces)
        frames |= more

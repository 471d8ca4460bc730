"""What truth at the saw costs a year's buying: rails in steps, trims where ends are cut, a margin.

Run it from the source: ``python -m demo.truth_costs``. Every way is replayed on the same orders,
their rails drawn to the micrometre, and cut as eyes pick; measured is stick opened, its trims and
all, above those rails with a cut allowance each. ``--days 20`` plans so many of the benchmark's
days instead, by what is kept back on each offcut.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random
from statistics import fmean
from typing import Annotated

import typer

import planner
from demo.bench import sizes
from planner.heuristics.best_fit import hand_plan
from planner.stretches import stretches
from planner.values import Piece
from stockroom.replay import Order, Policy, ShopDemand, invented_shop, orders_of, replay
from stockroom.replay.deliveries import Invented

__all__ = ["WAYS", "TruthKept", "cost", "day_cost", "main"]

YEAR = 365
MM, INCH = 1_000, 25_400
TAPE = INCH // 16
"""A tape is read to 1/16 in."""
EYES = Policy("picked by eye", hand_plan)


@dataclass(frozen=True, slots=True)
class TruthKept:
    """How true a shop is: rails rounded up to a step (um; 1 is exact), a margin kept back on each
    offcut (um), and whether both trims of a stick are lost as soon as it is opened."""

    name: str
    step: Fraction = Fraction(1)
    margin: int = 0
    at_once: bool = False

    def __post_init__(self) -> None:
        if self.step <= 0 or self.margin < 0:
            raise ValueError(f"{self.name}: a step of {self.step} um, a margin of {self.margin} um")


WAYS = (
    TruthKept("rails exact, both trims lost at once", at_once=True),
    TruthKept("rails exact, a trim lost where its end is cut"),
    TruthKept("rails in steps of 0.5 mm", Fraction(MM, 2)),
    TruthKept("rails in steps of 1/32 in", Fraction(INCH, 32)),
    TruthKept("rails in steps of 1 mm", Fraction(MM)),
    TruthKept("rails in steps of 1/16 in", Fraction(INCH, 16)),
    TruthKept("1.5 mm kept back on each offcut", margin=1_500),
    TruthKept("3 mm kept back on each offcut", margin=3 * MM),
    TruthKept("5 mm kept back on each offcut", margin=5 * MM),
    TruthKept("steps of 1/16 in and 1/8 in kept back", Fraction(INCH, 16), INCH // 8),
)
"""Below the second each changes one thing, and the last is what a new shop in inches is set to."""


class Sticks(Invented):
    """Deliveries of which is counted how many sticks were opened by each day's morning."""

    def __init__(self, demand: ShopDemand, seed: int, *, trimmed: bool) -> None:
        super().__init__(demand, seed)
        self.trimmed, self.came, self.opened = trimmed, 0, dict[int, int]()

    def come(self, day: int, whole: int, minimum: int) -> Iterable[Piece]:
        """What is delivered, where told so without its ends."""
        self.opened.setdefault(day, self.came - whole)
        pieces = list(super().come(day, whole, minimum))
        self.came += len(pieces)
        if not self.trimmed:
            return pieces
        both = 2 * self.demand.rules.end_trim
        return [replace(one, length=one.length - both, ends=("cut", "cut")) for one in pieces]


def exact(orders: Sequence[Order], seed: int) -> list[Order]:
    """The orders with rails to the micrometre, up to a millimetre more than they were drawn."""
    found = []
    for order in orders:
        luck = Random(f"rails {seed} {order.frame.id}")
        across, upright = (rail + luck.randrange(MM) for rail in order.frame.rails[:2])
        found.append(replace(order, frame=replace(order.frame, rails=(across, upright) * 2)))
    return found


def settable(orders: Sequence[Order], step: Fraction) -> list[Order]:
    """The orders with each rail rounded up to the step, a whole micrometre more at most."""

    def up(rail: int) -> int:
        return -int(-(-(-rail // step) * step) // 1)

    return [replace(o, frame=replace(o.frame, rails=tuple(map(up, o.frame.rails))))
            for o in orders]  # fmt: skip


def year(demand: ShopDemand, seed: int, way: TruthKept, days: int) -> tuple[int, int, float]:
    """After a first year: stick opened, what exact rails need (um), offcuts on the rack a day."""
    asked = exact(orders_of(demand, seed, days), seed)
    rules = replace(demand.rules, margin=way.margin)
    sticks = Sticks(demand, seed, trimmed=way.at_once)
    run = replay(replace(demand, rules=rules), settable(asked, way.step), EYES, seed, days, sticks)
    opened = sum(day.opened for day in run.days[YEAR : days - 1])
    if way.at_once:
        opened += 2 * rules.end_trim * (sticks.opened[days - 1] - sticks.opened[YEAR])
    needed = sum(rail + rules.cut_allowance for order in asked if YEAR <= order.due < days - 1
                 for rail in order.frame.rails)  # fmt: skip
    return opened, needed, fmean(len(day.offcuts) for day in run.days[YEAR:])


def cost(way: TruthKept, shops: Sequence[tuple[int, ShopDemand]], days: int) -> tuple[float, float]:
    """Per cent opened above what exact rails need, and offcuts on a profile's rack."""
    found = [year(demand, seed, way, days) for seed, demand in shops]
    opened, needed = (sum(one[at] for one in found) for at in (0, 1))
    return 100 * (opened / needed - 1), fmean(one[2] for one in found)


def day_cost(seed: int, margin: int) -> tuple[int, int, int]:
    """A benchmark's day with so much kept back on each offcut (um): frames cut, stick opened (um),
    and the frames with a rail on an offcut that fits by less than a tape is sure of."""
    day = sizes.day(seed)
    rules = replace(day.rules, margin=margin)
    plan = planner.plan(replace(day, rules=rules))
    pieces = {piece.id: piece for piece in day.pieces}
    tight = set[str]()
    for cut in plan.cuts:
        run = stretches(pieces[cut.piece], day.rules)[cut.stretch]
        taken = sum(rail.length for rail in cut.rails) + rules.cut_allowance * (len(cut.rails) - 1)
        if pieces[cut.piece].kind == "offcut" and run.length - taken < TAPE:
            tight |= {rail.frame for rail in cut.rails}
    return plan.reached.frames_cut, plan.reached.stick_opened, len(tight)


def show_days(days: int) -> None:
    """What so many days come to, margin by margin."""
    typer.echo("| kept back on offcuts, mm | frames cut | stick opened, m | on a tight offcut |")
    typer.echo("| --- | --- | --- | --- |")
    for margin in (0, 1_500, 3_000, 5_000):
        found = [day_cost(seed, margin) for seed in range(days)]
        frames, opened, tight = (sum(one[at] for one in found) for at in range(3))
        typer.echo(f"| {margin / MM:g} | {frames} | {opened / 1e6:.3f} | {tight} |")


def main(
    seeds: Annotated[int, typer.Option(min=1, help="Invented shops.")] = 3,
    profiles: Annotated[int, typer.Option(min=1, help="Profiles of each.")] = 12,
    days: Annotated[int, typer.Option(min=0, help="Plan so many days instead.")] = 0,
) -> None:
    """Replays each way and shows what it opened."""
    if days:
        show_days(days)
        return
    shops = [(seed, demand) for seed in range(1, seeds + 1)
             for demand in invented_shop(seed, profiles)]  # fmt: skip
    typer.echo("| what is true | opened above exact rails, % | offcuts on a profile's rack |")
    typer.echo("| --- | --- | --- |")
    for way in WAYS:
        opened, offcuts = cost(way, shops, 2 * YEAR)
        typer.echo(f"| {way.name} | {opened:.2f} | {offcuts:.2f} |")


if __name__ == "__main__":
    typer.run(main)

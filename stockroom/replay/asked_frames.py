"""What customers ask of a profile, and how its sticks come: a history, or an invented one."""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from planner.values import Frame, Rules

__all__ = ["FIRST_DAY", "Order", "ShopDemand", "invented_shop", "orders_of", "stick_lengths"]

FIRST_DAY = date(2025, 1, 1)
STEP_UM = 500
PACES = {"busy": 1.6, "middling": 0.4, "slow": 0.1}
# Invented outside sizes in mm, as a counter might see them; half of all frames are of other sizes.
USUAL_MM = ((330, 280), (381, 305), (432, 330), (483, 381), (585, 485), (686, 533), (780, 580))


@dataclass(frozen=True, slots=True)
class ShopDemand:
    """How one profile is asked for and supplied; lengths in micrometres.

    ``pace`` is the mean of frames a day, ``matched`` says that a frame must come from one batch.
    ``sticks`` are the shortest and longest stick, ``delivery`` how many come at once (one batch),
    ``minimum`` how many whole sticks the shop wants on the rack, ``lead`` the days from order to
    due date.
    """

    profile: str
    kind: str
    pace: float
    rules: Rules
    matched: bool = False
    sizes: tuple[tuple[int, int], ...] = ()
    usual: float = 0.5
    sides: tuple[int, int] = (250_000, 1_000_000)
    sticks: tuple[int, int] = (2_900_000, 3_100_000)
    delivery: int = 6
    minimum: int = 3
    lead: int = 10

    def __post_init__(self) -> None:
        if self.pace <= 0 or self.delivery < 1 or self.minimum < 1 or self.lead < 0:
            raise ValueError(f"{self.profile}: pace, delivery and minimum must be positive")
        if not 0 < self.sides[0] <= self.sides[1]:
            raise ValueError(f"{self.profile}: sides {self.sides} um are no range")
        longest = max(self.sides[1], *(side for size in self.sizes for side in size), 0)
        if not longest <= self.sticks[0] - 2 * self.rules.end_trim <= self.sticks[1]:
            raise ValueError(f"{self.profile}: a rail of {longest} um fits no stick {self.sticks}")


@dataclass(frozen=True, slots=True)
class Order:
    """A frame, and the day on which the shop learns of it, counted from 0."""

    day: int
    due: int
    frame: Frame


def invented_shop(seed: int, profiles: int = 12) -> list[ShopDemand]:
    """Profiles of every pace, free and batch-matched in turn, each with its own mix of sizes.

    Raises:
        ValueError: there is to be no profile.
    """
    if profiles < 1:
        raise ValueError(f"{profiles} profiles; at least 1 is needed")
    kinds = [(pace, matched) for matched in (False, True) for pace in PACES]
    found = []
    for number in range(profiles):
        pace, matched = kinds[number % len(kinds)]
        luck = Random(f"shop {seed} {number}")
        sizes = tuple((a * 1000, b * 1000) for a, b in luck.sample(USUAL_MM, 4))
        found.append(
            ShopDemand(
                f"P{number + 1:02d}", f"{pace}, {'matched' if matched else 'free'}",
                PACES[pace] * luck.uniform(0.8, 1.25), Rules(5_000, 10_000, 300_000), matched,
                sizes, delivery={"busy": 20, "middling": 10, "slow": 5}[pace],
                minimum=5 if pace == "busy" else 3,
            )
        )  # fmt: skip
    return found


def orders_of(demand: ShopDemand, seed: int, days: int) -> list[Order]:
    """The frames that come in over these days, by day; the same seed gives the same orders."""
    luck = Random(f"orders {seed} {demand.profile}")
    found: list[Order] = []
    for day in range(days):
        for _ in range(_poisson(luck, demand.pace)):
            across, upright = _size(luck, demand)
            due = day + demand.lead
            frame = Frame(
                f"{demand.profile}-{len(found) + 1}", demand.profile, (across, upright) * 2,
                FIRST_DAY + timedelta(due), one_batch=demand.matched,
            )  # fmt: skip
            found.append(Order(day, due, frame))
    return found


def _size(luck: Random, demand: ShopDemand) -> tuple[int, int]:
    if demand.sizes and luck.random() < demand.usual:
        return luck.choice(demand.sizes)
    low, high = (side // STEP_UM for side in demand.sides)
    # Small frames are the commoner: the lesser of two throws.
    sides = [min(luck.randint(low, high), luck.randint(low, high)) * STEP_UM for _ in range(2)]
    return max(sides), min(sides)


def _poisson(luck: Random, mean: float) -> int:
    """A Poisson count by the product of uniforms; Knuth, The Art of Computer Programming, vol. 2,
    section 3.4.1 (from memory)."""
    count, product, floor = 0, luck.random(), math.exp(-mean)
    while product > floor:
        count, product = count + 1, product * luck.random()
    return count


def stick_lengths(demand: ShopDemand, seed: int) -> "Random":
    """The luck that makes this profile's sticks, the same for every policy."""
    return Random(f"sticks {seed} {demand.profile}")

"""A stick, rails cut to size by the supplier, or a stick shared with another job: what each costs.

Lengths are whole micrometres, money whole minor units.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.values import Curve
from planner.worth import Worth
from stockroom.units.lengths import Micrometres, rounded
from stockroom.units.money import Price

__all__ = [
    "BoughtStick",
    "Cutting",
    "Supplied",
    "Way",
    "cut_price",
    "net_cost",
    "used_share",
    "ways",
    "ways_together",
]

WEEKS_A_YEAR = 52


@dataclass(frozen=True, slots=True)
class Supplied:
    """A supplier's rule for rails cut to size: surcharge in percent, fee a cut, least a frame."""

    price: Price
    percent: int
    cut_fee: int = 0
    minimum: int = 0

    def __post_init__(self) -> None:
        if min(self.percent, self.cut_fee, self.minimum) < 0:
            raise ValueError(f"a rule below nothing: {self}")


@dataclass(frozen=True, slots=True)
class BoughtStick:
    """A profile as it is bought by the stick; ``used`` is the share of a year's leftovers used.

    ``points`` are the worth of a leftover as the shop has learned it; the default where None.
    """

    stick_length: Micrometres
    stick_price: int
    keep: Micrometres
    used: Fraction
    points: Curve | None = None

    def __post_init__(self) -> None:
        if self.stick_length <= 0 or self.stick_price < 0 or not 0 <= self.used <= 1:
            raise ValueError(f"no stick is like that: {self}")

    @property
    def price(self) -> Price:
        """What it costs by its length."""
        return Price(self.stick_price, self.stick_length)


@dataclass(frozen=True, slots=True)
class Cutting:
    """What some frames take of new sticks: how many, and the leftovers (um)."""

    sticks: int
    leftovers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to come by a job's rails: its cost in minor units, and how that is reckoned."""

    name: str
    cost: int
    paid: int
    worth_left: int


def cut_price(rails: Sequence[Micrometres], rule: Supplied) -> int:
    """What a frame's rails cost cut to size: their long-point length at the supplier's rule.

    Length x metre price x (1 + percent / 100) + fee x rails, and no less than the minimum.
    """
    price = rule.price.of(sum(rails), rule.percent)
    return max(rule.minimum, price + rule.cut_fee * len(rails))


def used_share(chance: float) -> Fraction:
    """The share of a year's leftovers that another frame takes: 1 - (1 - chance)^52.

    ``chance`` is that of any demand in a week; a profile that nobody asks for leaves firewood.
    """
    return Fraction(1 - (1 - min(1.0, max(0.0, chance))) ** WEEKS_A_YEAR).limit_denominator(10**6)


def left_worth(leftovers: Sequence[int], stock: BoughtStick) -> int:
    """What leftovers are worth in money: their worth to the rack at the stick's price, if used."""
    worth = sum(map(Worth(stock.keep, stock.points), leftovers))
    return rounded(stock.price.exact(worth) * stock.used, "down")


def net_cost(cutting: Cutting, stock: BoughtStick) -> int:
    """What a cutting really costs: its sticks less the worth of what is left."""
    return cutting.sticks * stock.stick_price - left_worth(cutting.leftovers, stock)


def ways(
    alone: Cutting,
    frames: Sequence[Sequence[int]],
    stock: BoughtStick,
    rule: Supplied | None = None,
    shared: tuple[Cutting, Cutting] | None = None,
) -> list[Way]:
    """The ways to come by a job's rails, cheapest first; a stick of its own before a tie.

    ``shared`` is what another job takes without this one, and both together: this job then pays
    what it adds. Without a ``rule`` the supplier does not cut to size.
    """
    left = left_worth(alone.leftovers, stock)
    paid = alone.sticks * stock.stick_price
    found = [Way("stick", paid - left, paid, left)]
    if shared is not None:
        without, both = shared
        paid = (both.sticks - without.sticks) * stock.stick_price
        left = left_worth(both.leftovers, stock) - left_worth(without.leftovers, stock)
        found.append(Way("shared stick", paid - left, paid, left))
    if rule is not None:
        price = sum(cut_price(rails, rule) for rails in frames)
        found.append(Way("cut to size (chop)", price, price, 0))
    return sorted(found, key=lambda way: way.cost)


def ways_together(each: Sequence[Sequence[Way]]) -> list[Way]:
    """The ways to come by several mouldings of one job, cheapest first: each way that all of them
    have, added up; and each in its own cheapest way, where that is another."""
    by_name = [{way.name: way for way in found} for found in each]
    found = [summed(name, [ways[name] for ways in by_name])
             for name in by_name[0] if all(name in ways for ways in by_name)]  # fmt: skip
    best = [min(ways, key=lambda way: way.cost) for ways in each]
    if len({way.name for way in best}) > 1:
        found.append(summed(" + ".join(way.name for way in best), best))
    return sorted(found, key=lambda way: way.cost)


def summed(name: str, each: Sequence[Way]) -> Way:
    """Several ways as one."""
    return Way(name, sum(way.cost for way in each), sum(way.paid for way in each),
               sum(way.worth_left for way in each))  # fmt: skip

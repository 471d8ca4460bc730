"""The price of a moulding at the counter: what it really costs, beside the rule of the shop."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockroom.buying.cut_to_size import BoughtStick, Cutting, net_cost
from stockroom.units.lengths import INCH_UM, Micrometres
from stockroom.units.money import Price
from stockroom.units.price_rule import PriceRule

__all__ = ["MouldingPrice", "added_up", "moulding_price", "rule_of_thumb", "united_inches"]


@dataclass(frozen=True, slots=True)
class MouldingPrice:
    """A job's moulding: real cost and the rule's, minor units, and how much of it is lost.

    ``rails`` and ``saw`` are lengths (um): what is in the frames, what the blade takes. ``quoted``
    is what was said to the customer, where the job was a quote: that price stays.
    """

    cost: int
    rule: int
    rails: int
    saw: int
    quoted: int | None = None

    @property
    def said(self) -> int:
        """What is said at the counter: as it was quoted, else by the rule."""
        return self.rule if self.quoted is None else self.quoted

    @property
    def gain(self) -> int:
        """The price that is said less the real cost; below nothing where the job loses money."""
        return self.said - self.cost


def added_up(prices: Sequence[MouldingPrice]) -> MouldingPrice:
    """The price of several mouldings together."""
    return MouldingPrice(*(sum(parts) for parts in zip(
        *((one.cost, one.rule, one.rails, one.saw) for one in prices), strict=True
    )))  # fmt: skip


def united_inches(width: Micrometres, height: Micrometres) -> Fraction:
    """Width and height added up, in inches, as the trade sizes a frame."""
    return Fraction(width + height, INCH_UM)


def rule_of_thumb(
    rails: Sequence[Micrometres], price: Price, rule: PriceRule, cost: Fraction = Fraction(0)
) -> int:
    """What the counter asks for a frame: the long points of all its ``rails`` at the stick's price
    by length, or what it really costs, by the shop's rule.
    """
    return rule.of(sum(rails), price, cost)


def moulding_price(
    frames: Sequence[Sequence[int]],
    cutting: Cutting,
    stock: BoughtStick,
    allowance: Micrometres,
    rule: PriceRule,
) -> MouldingPrice:
    """What a job's frames really cost in moulding, and what the shop's rule asks for them.

    The real cost is the new sticks less the worth of what is left at this profile's demand, so
    saw loss, trims and ends too short to keep are in it; ``allowance`` is lost at each rail.
    """
    cost = net_cost(cutting, stock)
    each = Fraction(cost, len(frames))
    return MouldingPrice(
        cost,
        sum(rule_of_thumb(rails, stock.price, rule, each) for rails in frames),
        sum(sum(rails) for rails in frames),
        allowance * sum(len(rails) for rails in frames),
    )

"""The price of a moulding that the counter says: the shop's own rule, as it is set."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from stockroom.refusals import Unreadable
from stockroom.units.decimals import parse_number
from stockroom.units.lengths import UNITS, Micrometres, rounded
from stockroom.units.money import Price, parse_money

__all__ = ["PriceRule", "read_price_rule"]

STARTED = {name: Micrometres(UNITS[name]) for name in ("in", "ft", "cm", "m")}
"""What moulding is charged by: each unit that is begun counts."""
MOST_PERCENT = 1_000
REAL = "real"


@dataclass(frozen=True, slots=True)
class PriceRule:
    """Length with so many percent for waste, by started units (um) where there are any, at the
    stick's price, or what the moulding ``real``ly costs; with a mark-up (percent), at least so
    much, rounded up (minor units)."""

    waste: int = 0
    mark_up: int = 0
    started: Micrometres = 0
    least: int = 0
    up_to: int = 1
    real: bool = False

    def __post_init__(self) -> None:
        if min(self.waste, self.mark_up, self.started, self.least, self.up_to - 1) < 0:
            raise ValueError(f"no price rule is like that: {self}")
        if self.real and (self.waste or self.started):
            raise ValueError(f"what it really costs has its waste in it: {self}")

    def of(self, length: Micrometres, price: Price, cost: Fraction = Fraction(0)) -> int:
        """What is asked for a frame whose rails come to this length, minor units; by what it really
        ``cost``s where that is the rule."""
        charged = Fraction(length * (100 + self.waste), 100)
        if self.started:
            charged = Fraction(ceil(charged / self.started) * self.started)
        base = cost if self.real else charged * price.minor / price.per_um
        asked = max(base * (100 + self.mark_up) / 100, Fraction(self.least))
        return (
            ceil(asked / self.up_to) * self.up_to if self.up_to > 1 else rounded(asked, "nearest")
        )


def read_price_rule(typed: str) -> PriceRule:
    """A rule as typed: ``waste 20 %; mark-up 150 %; by ft; least 25; up to 0.50``, each once;
    ``real`` in place of waste and unit.

    Raises:
        Unreadable: a part is none of these.
    """
    told: dict[str, int] = {}
    parts = [" ".join(part.split()) for part in typed.lower().split(";")]
    real = REAL in parts
    for part in filter(None, parts):
        if part == REAL and parts.count(REAL) == 1:
            continue
        word = next((word for word in READ if part.startswith(f"{word} ")), "")
        if not word or NAMED[word] in told:
            raise Unreadable(typed, "of_price_rule")
        told[NAMED[word]] = READ[word](part.removeprefix(word).strip(), typed)
    if real and {"waste", "started"} & told.keys():
        raise Unreadable(typed, "of_price_rule")
    return PriceRule(**told, real=real)


def percent(part: str, typed: str) -> int:
    """A whole percentage."""
    number = parse_number(part.removesuffix("%").strip())
    if number != int(number) or not 0 <= number <= MOST_PERCENT:
        raise Unreadable(typed, "of_price_rule")
    return int(number)


def unit(part: str, typed: str) -> int:
    """What is charged as soon as it is begun, um."""
    if part not in STARTED:
        raise Unreadable(typed, "of_price_rule")
    return STARTED[part]


def money(part: str, typed: str) -> int:
    """An amount above nothing, minor units."""
    if not (amount := parse_money(part)):
        raise Unreadable(typed, "of_price_rule")
    return amount


READ = {"waste": percent, "mark-up": percent, "by": unit, "least": money, "up to": money}
NAMED = {"waste": "waste", "mark-up": "mark_up", "by": "started", "least": "least",
         "up to": "up_to"}  # fmt: skip

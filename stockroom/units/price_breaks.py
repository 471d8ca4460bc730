"""What a stick costs where many are bought together: a supplier's price breaks, as typed."""

from dataclasses import dataclass
from itertools import pairwise

from stockroom.refusals import Unreadable
from stockroom.units.money import format_money, parse_money

__all__ = ["PriceBreaks", "read_breaks"]

MOST_BREAKS, MOST_STICKS = 9, 99_999


@dataclass(frozen=True, slots=True)
class PriceBreaks:
    """From so many sticks on each costs so much (minor units): counts rise, prices fall."""

    steps: tuple[tuple[int, int], ...] = ()

    @property
    def typed(self) -> str:
        """The breaks as they are typed and kept."""
        return "; ".join(f"{sticks}: {format_money(price)}" for sticks, price in self.steps)

    def each(self, usual: int, sticks: int) -> int:
        """What each of so many sticks costs, where one alone costs what is usual; minor units."""
        return min([usual, *(price for least, price in self.steps if sticks >= least)])

    def cheaper(self, usual: int, sticks: int) -> int | None:
        """More sticks than these that cost less than these do, all together; None where none do."""
        paid = sticks * self.each(usual, sticks)
        more = [(least * price, least) for least, price in self.steps if least > sticks]
        cost, least = min(more, default=(paid, 0))
        return least if cost < paid else None


def read_breaks(typed: str) -> PriceBreaks:
    """Breaks as typed: ``10: 19.80; 50: 18.40``.

    Raises:
        Unreadable: they are no counts and prices, counts do not rise, or prices do not fall.
    """
    steps = []
    for part in filter(str.strip, typed.split(";")):
        count, _, price = part.partition(":")
        if not (count.strip().isascii() and count.strip().isdecimal() and len(count) < 8):
            raise Unreadable(typed, "of_price_breaks")
        steps.append((int(count), parse_money(price)))
    counts, prices = [1, *(n for n, _ in steps)], [price for _, price in steps]
    rises = all(one < two for one, two in pairwise(counts))
    falls = all(one > two for one, two in pairwise(prices))
    if not (steps and rises and falls and len(steps) <= MOST_BREAKS and counts[-1] <= MOST_STICKS):
        raise Unreadable(typed, "of_price_breaks")
    return PriceBreaks(tuple(steps))

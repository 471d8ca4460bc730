"""What a frame that waits for its stick costs the shop: as it is set, and in money."""

from dataclasses import dataclass

from stockroom.refusals import Unreadable
from stockroom.units.decimals import parse_number
from stockroom.units.money import parse_money

__all__ = ["USUALLY", "WaitCost", "read_wait"]

USUALLY = "usual"
USUAL_SHARE = 1 / 3
"""A tenth off a price of three to four times the moulding's: common practice."""
MOST_PERCENT = 10_000


@dataclass(frozen=True, slots=True)
class WaitCost:
    """An amount (minor units), or a share of the moulding in the frame, or what is usual; as it
    is kept."""

    typed: str
    money: int | None = None
    share: float | None = None

    def of(self, moulding: float) -> float:
        """What a wait costs, minor units: of a frame with so much moulding in it."""
        if self.money is not None:
            return self.money
        return (USUAL_SHARE if self.share is None else self.share) * moulding

    def besides(self, carriage: int) -> float:
        """What it costs besides, however many frames wait: a small order's carriage where nothing
        else is told, minor units."""
        return carriage if self.typed == USUALLY else 0.0


def read_wait(typed: str) -> WaitCost:
    """What a wait costs, as typed.

    Raises:
        Unreadable: it is neither an amount, nor a percentage, nor usual.
    """
    text = " ".join(typed.split()).lower()
    if text == USUALLY:
        return WaitCost(USUALLY)
    if text.endswith("%"):
        percent = parse_number(text[:-1].strip())
        if not 0 <= percent <= MOST_PERCENT:
            raise Unreadable(typed, "of_percent", most=MOST_PERCENT)
        return WaitCost(f"{float(percent):g} %", share=float(percent) / 100)
    return WaitCost(text, money=parse_money(text))

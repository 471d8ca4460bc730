"""What a supplier's terms and a profile's end make of an order. Money is whole minor units."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stockroom.facts import Fact

__all__ = ["HOLDING_PERCENT", "REVIEW_DAYS", "TopUp", "economic_order", "last_buy", "top_up"]

REVIEW_DAYS, QUARTER, SOON_WEEKS = 7, 13, 1.5
HOLDING_PERCENT = 25
"""What a year of money tied up costs, of the money: common practice."""


def last_buy(last_order: date | None, last_sticks: int | None, today: date, review: int) -> bool:
    """True where today's order is the last chance to buy what a supplier gives up.

    That is so where no review follows before the last day of orders, and where only so many sticks
    are left that anybody may take.
    """
    if last_order is None:
        return last_sticks is not None
    return today <= last_order < today + timedelta(review)


@dataclass(frozen=True, slots=True)
class TopUp:
    """A stick, or a box, that could fill an order up: its price, the weeks until it is needed."""

    profile: str
    price: int
    weeks: float
    sticks: int = 1


def top_up(gap: int, saved: int, candidates: Sequence[TopUp]) -> tuple[tuple[TopUp, ...], Fact]:
    """What fills an order up to a threshold, and the reason for it or against it.

    ``gap`` is what the order lacks, ``saved`` what reaching it saves. The sticks needed soonest
    are taken; it is worth it where none waits longer than a quarter, and where the money that
    they tie up until then (25 % a year) costs less than is saved. ``saved`` 0 stands for a
    supplier who does not deliver less, whom only the wait can make not worth it.
    """
    chosen: list[TopUp] = []
    for stick in sorted(candidates, key=lambda stick: (stick.weeks, stick.profile)):
        if sum(one.price for one in chosen) >= gap:
            break
        chosen.append(stick)
    if sum(one.price for one in chosen) < gap:
        return (), Fact("nothing_fills_it")
    longest = max((one.weeks for one in chosen), default=0.0)
    tied = sum(one.price * one.weeks for one in chosen) * HOLDING_PERCENT / 100 / 52
    if longest > QUARTER:
        return (), Fact("fill_would_lie", {"weeks": round(longest)})
    if saved and tied >= saved:
        return (), Fact("tied_up_costs_more")
    soon = longest < SOON_WEEKS
    return tuple(chosen), (Fact("needed_soon") if soon else
                           Fact("needed_within", {"weeks": round(longest)}))  # fmt: skip


def economic_order(
    yearly: float, per_order: float, holding: float = HOLDING_PERCENT / 100
) -> float:
    """The order that costs least in fees and money tied up: sqrt(2 D K / h).

    ``yearly`` D is what a year takes, ``per_order`` K the fee of an order, ``holding`` h what a
    unit kept for a year costs. In money, h is a share. Source: F. W. Harris, "How many parts to
    make at once", Factory 10 (1913), from memory.

    Raises:
        ValueError: one of them is below nothing, or holding costs nothing.
    """
    if min(yearly, per_order) < 0 or holding <= 0:
        raise ValueError(f"a year's {yearly}, {per_order} an order, holding {holding}")
    return float((2 * yearly * per_order / holding) ** 0.5)

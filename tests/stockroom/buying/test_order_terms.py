"""A supplier's terms and a profile's end: orders filled up, order sizes as published, last buys."""

from datetime import date, timedelta

import pytest
from scipy.optimize import minimize_scalar

from stockroom.buying.order_terms import TopUp, economic_order, last_buy, top_up
from tests.stockroom.conftest import told

DAY = date(2026, 11, 23)


def test_an_order_is_filled_up_with_what_is_needed_soonest() -> None:
    sticks = (TopUp("ASH-22", 1_850, 9.0), TopUp("PINE-20", 900, 2.0), TopUp("PINE-20", 900, 4.0))
    chosen, why = top_up(1_500, 1_200, sticks)
    assert [one.profile for one in chosen] == ["PINE-20", "PINE-20"]
    assert told(why) == "filled up with what is needed within 4 weeks"


@pytest.mark.parametrize(
    ("gap", "saved", "sticks", "why"),
    [
        (5_000, 1_200, (TopUp("ASH-22", 1_850, 2.0),), "nothing else will be needed"),
        (1_500, 1_200, (TopUp("ASH-22", 1_850, 30.0),), "would lie 30 weeks"),
        (50_000, 500, (TopUp("ASH-22", 90_000, 10.0),), "costs more than the carriage saved"),
    ],
)
def test_filling_up_is_left_where_it_is_not_worth_it(
    gap: int, saved: int, sticks: tuple[TopUp, ...], why: str
) -> None:
    chosen, said = top_up(gap, saved, sticks)
    assert chosen == ()
    assert why in told(said)


@pytest.mark.parametrize(
    ("yearly", "per_order", "holding", "order"),
    [(1_000, 10, 0.50, 200), (1_200, 10, 0.50, 219), (1_300, 8, 0.225, 304.0468)],
)
def test_the_order_size_as_published(
    yearly: float, per_order: float, holding: float, order: float
) -> None:
    # J. Heizer and B. Render, Operations Management, Ex. 12.3 (the first two); Snyder and Shen.
    assert economic_order(yearly, per_order, holding) == pytest.approx(order, abs=0.1)
    least = minimize_scalar(
        lambda one: yearly * per_order / one + holding * one / 2, bounds=(1, yearly),
        options={"xatol": 1e-5},
    )  # fmt: skip
    assert economic_order(yearly, per_order, holding) == pytest.approx(least.x, rel=1e-5)


def test_no_other_order_size_costs_less() -> None:
    def cost(order: float) -> float:
        return 1_300 * 8 / order + 0.225 * order / 2

    best = economic_order(1_300, 8, 0.225)
    assert cost(best) == pytest.approx(68.4105, abs=1e-4)
    assert all(cost(best) <= cost(best * share) for share in (0.8, 0.99, 1.01, 1.3))


def test_an_order_size_from_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="holding 0"):
        economic_order(1_000, 10, 0)


@pytest.mark.parametrize(
    ("last", "left", "is_last"),
    [
        (None, None, False), (DAY, None, True), (DAY + timedelta(6), None, True),
        (DAY + timedelta(7), None, False), (DAY - timedelta(1), None, False), (None, 4, True),
    ],
)  # fmt: skip
def test_the_last_buy_is_the_last_review_before_orders_end(
    last: date | None, left: int | None, is_last: bool
) -> None:
    assert last_buy(last, left, DAY, 7) is is_last

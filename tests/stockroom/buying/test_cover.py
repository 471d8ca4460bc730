"""What to buy: the cover that simulated futures ask for, against the textbooks where they hold."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import nbinom, poisson
from stockpyl.eoq import economic_order_quantity
from stockpyl.newsvendor import newsvendor_normal, newsvendor_poisson

from stockroom.buying.cover import classes, covering, economic_order

MANY = 20_001


def normal(mean: float, spread: float) -> list[float]:
    """Futures spread evenly over a normal demand."""
    return [NormalDist(mean, spread).inv_cdf((i + 0.5) / MANY) for i in range(MANY)]


def test_the_reorder_point_of_a_normal_lead_time_demand() -> None:
    # W. J. Stevenson, Operations Management, Ex. 8: N(50, 5), 3 % risk: 59.40.
    assert covering(normal(50, 5), 0.97) == pytest.approx(59.40, abs=0.01)


def test_safety_over_a_lead_time_of_ten_days() -> None:
    # The same: d 20, s 4 a day, L 10, 95 %: safety 21, rounded up there.
    assert covering(normal(200, 4 * 10**0.5), 0.95) - 200 == pytest.approx(21, abs=0.25)


def test_the_newsvendors_quantity_is_the_cover_at_the_ratio_of_costs() -> None:
    # L. V. Snyder and Z.-J. M. Shen: h 0.18, p 0.70, N(50, 8): 56.6040, cost 1.9976.
    ratio = 0.70 / (0.18 + 0.70)
    assert covering(normal(50, 8), ratio) == pytest.approx(56.6040, abs=0.01)
    assert covering(normal(50, 8), ratio) == pytest.approx(
        newsvendor_normal(0.18, 0.70, 50, 8)[0], abs=0.01
    )


def test_a_periodic_review_orders_up_to_the_cover_of_review_and_lead_time() -> None:
    # As published: 50 a day, s 30, T 5, L 10, 99 %, 60 on hand: 961, with z rounded to 2.33.
    assert covering(normal(750, 30 * 15**0.5), 0.99) - 60 == pytest.approx(961, abs=1)
    # N(20, 4) a day, 7 + 3 days, 98 %: 225.98, computed for the data of MIT 15.762 (2011).
    assert covering(normal(200, 4 * 10**0.5), 0.98) == pytest.approx(225.98, abs=0.02)


@pytest.mark.parametrize("rate", [0.3, 2.0, 11.0])
@pytest.mark.parametrize("service", [0.90, 0.95, 0.98])
def test_counts_are_covered_as_two_packages_say(rate: float, service: float) -> None:
    futures = poisson.ppf((np.arange(MANY) + 0.5) / MANY, rate).astype(int).tolist()
    assert covering(futures, service) == poisson.ppf(service, rate)
    if rate >= 1:
        assert covering(futures, service) == newsvendor_poisson(1 - service, service, rate)[0]


def test_uneven_counts_are_covered_as_scipy_says() -> None:
    futures = nbinom.ppf((np.arange(MANY) + 0.5) / MANY, 1.5, 0.3).astype(int).tolist()
    assert covering(futures, 0.95) == nbinom.ppf(0.95, 1.5, 0.3)


@given(st.lists(st.integers(0, 50), min_size=1), st.floats(0.01, 0.99))
def test_the_cover_is_enough_and_one_less_is_not(futures: list[int], service: float) -> None:
    cover = covering(futures, service)
    assert sum(future <= cover for future in futures) >= service * len(futures) - 1e-6
    assert sum(future < cover for future in futures) < service * len(futures) + 1e-6


def test_cover_without_a_future_is_refused() -> None:
    with pytest.raises(ValueError, match="0 futures"):
        covering([], 0.9)


def test_the_classes_of_ten_published_items() -> None:
    # J. Heizer and B. Render, Operations Management, Ex. 12.1: total 232,057; A 72 %, B 23 %,
    # C 5 %. The total and the shares are published; the ten values are from memory and sum to it.
    values = {
        "10286": 90_000, "11526": 77_000, "12760": 26_350, "10867": 15_001, "10500": 12_500,
        "12572": 8_502, "14075": 1_200, "01036": 850, "01307": 504, "10572": 150,
    }  # fmt: skip
    found = classes(values)
    total = sum(values.values())
    shares = {
        letter: round(100 * sum(v for k, v in values.items() if found[k] == letter) / total)
        for letter in "ABC"
    }
    assert (total, shares) == (232_057, {"A": 72, "B": 23, "C": 5})


def test_profiles_without_any_demand_are_all_in_the_last_class() -> None:
    assert classes({"A": 0, "B": 0}) == {"A": "C", "B": "C"}


@pytest.mark.parametrize(
    ("yearly", "per_order", "holding", "order"),
    [(1_000, 10, 0.50, 200), (1_200, 10, 0.50, 219), (1_300, 8, 0.225, 304.0468)],
)
def test_the_order_size_as_published(
    yearly: float, per_order: float, holding: float, order: float
) -> None:
    # J. Heizer and B. Render, Operations Management, Ex. 12.3 (the first two); Snyder and Shen.
    assert economic_order(yearly, per_order, holding) == pytest.approx(order, abs=0.1)
    theirs, cost = economic_order_quantity(per_order, holding, yearly)
    assert economic_order(yearly, per_order, holding) == pytest.approx(theirs)
    assert cost == pytest.approx(yearly * per_order / theirs + holding * theirs / 2)


def test_no_other_order_size_costs_less() -> None:
    def cost(order: float) -> float:
        return 1_300 * 8 / order + 0.225 * order / 2

    best = economic_order(1_300, 8, 0.225)
    assert cost(best) == pytest.approx(68.4105, abs=1e-4)
    assert all(cost(best) <= cost(best * share) for share in (0.8, 0.99, 1.01, 1.3))


def test_an_order_size_from_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="holding 0"):
        economic_order(1_000, 10, 0)

"""A season is told by the year before, once the newest weeks have followed it."""

from datetime import date, timedelta
from math import pi, sin
from random import Random

import pytest
from numpy.random import default_rng

from stockroom.buying.season import Season, season_of
from stockroom.buying.windows import Asking

TODAY = date(2026, 11, 23)


def busy(week: int, swing: float) -> float:
    """How busy a week is, beside the mean of all."""
    return 1 + swing * sin(2 * pi * (week + 0.5) / 52)


def shop(weeks: int, swing: float, times: float = 1.0, seed: int = 1, jobs: int = 28) -> list[int]:
    """A shop's jobs by week, so many in the mean; multiplied from the second year on."""
    luck = default_rng(seed)
    rates = [jobs * busy(week, swing) * (times if week >= 52 else 1) for week in range(weeks)]
    return [int(count) for count in luck.poisson(rates)]


@pytest.mark.parametrize("times", [1.0, 2.0])
def test_a_season_is_told_whatever_the_level_became(times: float) -> None:
    for weeks in (70, 80, 90, 104):
        season = season_of(shop(weeks, 0.6, times))
        assert season is not None
        assert season.coming(14) == pytest.approx(busy(weeks, 0.6), abs=0.22)
        assert season.ago(6) == pytest.approx(busy(weeks - 1, 0.6), abs=0.22)
        assert sum(season.index) / 52 == pytest.approx(1, abs=0.02)


def test_chance_and_a_change_of_level_are_no_season() -> None:
    found = [season_of(shop(weeks, 0.0, times, seed)) for weeks in range(52, 105, 6)
             for times in (1.0, 2.0, 0.5) for seed in range(6)]  # fmt: skip
    told = [season for season in found if season]
    # In one of these six shops chance makes a weak one.
    assert len(told) < len(found) / 5
    assert all(0.8 < week < 1.2 for season in told for week in season.index)


def test_one_year_tells_a_season_where_it_ends_as_it_began() -> None:
    quarter = shop(65, 0.6)[13:]
    season = season_of(quarter)
    assert season is not None
    assert season.coming(7) == pytest.approx(busy(13, 0.6), abs=0.2)
    grown = [count + 28 * (week >= 26) for week, count in enumerate(shop(52, 0.0))]
    assert season_of(grown) is None
    assert season_of(shop(51, 0.6)) is None
    assert season_of([]) is None
    assert season_of([0] * 80) is None


def test_a_year_that_went_otherwise_is_not_followed() -> None:
    # A rise in the first year, and an even one after it: the second year denies the season.
    assert season_of([20 if week < 26 else 40 for week in range(52)] + [40] * 30) is None


def test_days_that_were_twice_as_busy_as_those_to_come_become_two() -> None:
    # The newest 26 weeks were twice as busy as those that come.
    season = Season((2 / 3,) * 26 + (4 / 3,) * 26)
    luck = Random(1)
    since = TODAY - timedelta(363)
    days = [TODAY - timedelta(luck.randrange(182)) for _ in range(400)]
    days += [TODAY - timedelta(182 + luck.randrange(182)) for _ in range(200)]
    asks = [Asking(day, ((500_000, 400_000),)) for day in sorted(days)]
    paced, begun = season.paced(asks, since, TODAY, 14)
    assert (TODAY - begun).days + 1 == pytest.approx(2 * 182 + 182, abs=2)
    assert [ask.pairs for ask in paced] == [ask.pairs for ask in asks]
    assert all(begun <= ask.day <= TODAY for ask in paced)
    assert [ask.day for ask in paced] == sorted(ask.day for ask in paced)
    # As many a day over all of it.
    newer = sum(ask.day > TODAY - timedelta(364) for ask in paced)
    assert newer == pytest.approx(400, abs=3)
    assert abs((season.paced(asks, since, TODAY, 364)[1] - since).days) <= 1

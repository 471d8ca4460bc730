"""How odds came out: by bands, with what chance alone may do, and scored."""

from random import Random

import pytest
from scipy.stats import binom

from stockroom.buying.odds import FEWEST, KeptOdds, banded, brier_score


def lines(short: float, count: int, fell: int, days: int = 7) -> list[KeptOdds]:
    """So many lines of the same odds, of which so many fell short."""
    return [KeptOdds(short, days, at < fell) for at in range(count)]


def test_rare_and_frequent_lines_do_not_hide_each_others_faults() -> None:
    # 40 that said one in 20 and fell short eight times, 20 that said one in two and fell three
    # times: 12 were told in all and 11 came, and yet both are wrong.
    few, many = banded([*lines(0.05, 40, 8), *lines(0.5, 20, 3)])
    assert (few.lines, few.fell, few.off, many.lines, many.fell, many.off) == (40, 8, 1, 20, 3, -1)
    assert [few.said, many.said] == pytest.approx([0.05, 0.5])


def test_too_few_lines_of_a_band_are_told_with_all_or_not_at_all() -> None:
    assert banded(lines(0.05, FEWEST - 1, 1)) == []
    (both,) = banded([*lines(0.05, 6, 1), *lines(0.2, 6, 1)])
    assert both.lines == 12
    assert both.expected == pytest.approx(1.5)
    (one,) = banded([*lines(0.05, FEWEST, 1), *lines(0.2, 6, 1)])
    assert one.lines == FEWEST


@pytest.mark.parametrize(("short", "count"), [(0.05, 60), (0.2, 40), (0.5, 30)])
def test_what_chance_does_seldom_is_called_too_many(short: float, count: int) -> None:
    off = [fell for fell in range(count + 1) if banded(lines(short, count, fell))[0].off]
    # By the exact binomial law true odds are called wrong less than one time in 25.
    assert sum(binom.pmf(off, count, short)) < 0.04
    assert count in off
    # Lines of two weeks share half of their days: chance may do more.
    assert set(off) > {n for n in off if banded(lines(short, count, n, 14))[0].off}


def test_true_odds_score_best() -> None:
    luck = Random(1)
    truth = [luck.choice((0.05, 0.2, 0.6)) for _ in range(4_000)]
    came = [luck.random() < share for share in truth]

    def score(told: list[float]) -> float:
        return brier_score(zip(told, came, strict=True))

    assert score(truth) < score([min(1.0, 2 * share) for share in truth])
    assert score(truth) < score([sum(truth) / len(truth)] * len(truth))
    assert brier_score([(0.7, True), (0.2, False)]) == pytest.approx((0.09 + 0.04) / 2)
    with pytest.raises(ValueError, match="no odds"):
        brier_score([])

"""The odds that a year's reviews tell, beside what came: how many of each band fell short.

``python -m demo.buyers.odds_replay`` buys for a year of invented profiles at several costs of a
wait, so that odds of every size are told, and prints each band's lines, how many of them fell short
and how many should have, and the score of the odds beside that of always saying their mean.
"""

import sys
from collections.abc import Iterable, Sequence
from dataclasses import replace

from demo.buyers.buyingyear import STEADY, YEAR, Course, asked_of, replay_buying, review
from demo.buying_replay import REVIEW_DAYS, STICK_PRICES
from stockroom.buying.odds import KeptOdds, banded, brier_score
from stockroom.buying.spare import Spare, Stake
from stockroom.buying.windows import Case
from stockroom.replay import ShopDemand, invented_shop
from stockroom.replay.asked_frames import FIRST_DAY

__all__ = ["scores", "told_in_a_year"]

LEAD, NOTICE, WAITS = 7, 3, (5, 20, 80)


def told_in_a_year(
    demand: ShopDemand, wait: float, seed: int, days: int = YEAR, course: Course = STEADY
) -> list[KeptOdds]:
    """What each review of the year told of one profile, and whether a frame that came in during
    its days was cut too late."""
    told: list[tuple[int, float, int]] = []

    def tell(case: Case, spare: Spare) -> None:
        told.append(((case.day - FIRST_DAY).days, spare.falls_short(spare.sticks), case.days))

    stake = Stake.until_review(wait, STICK_PRICES[demand.kind], REVIEW_DAYS)
    year = replay_buying(demand, review(stake, (), tell), seed, LEAD, days, course)
    came = {order.frame.id: order.day for order in asked_of(demand, seed, days, course)}
    late = [came[name] for name in year.waited]
    return [
        KeptOdds(short, covers, any(day < one <= day + covers for one in late))
        for day, short, covers in told
        if day >= YEAR and day + covers + demand.lead < YEAR + days
    ]


def scores(kept: Sequence[KeptOdds]) -> tuple[float, float]:
    """The score of the odds, and of saying each time the share that fell short in the end."""
    mean = sum(one.fell_short for one in kept) / len(kept)
    return (brier_score((one.short, one.fell_short) for one in kept),
            brier_score((mean, one.fell_short) for one in kept))  # fmt: skip


def show(kept: Sequence[KeptOdds]) -> None:
    """The bands, and the scores."""
    print(f"{'lines':>6}{'said':>8}{'fell short':>12}{'should have':>13}{'give or take':>14}")
    for band in banded(kept):
        print(f"{band.lines:>6}{band.said:>8.3f}{band.fell:>12}{band.expected:>13.1f}"
              f"{band.spread:>14.1f}")  # fmt: skip
    print("score {:.4f}; always the mean {:.4f}".format(*scores(kept)))


def main(words: Iterable[str]) -> None:
    """All profiles but the busiest two, at each cost of a wait; the seeds follow, 11 unless
    given."""
    seeds = [int(word) for word in words] or [11]
    demands = [replace(demand, lead=NOTICE) for demand in invented_shop(5, 6)
               if "busy" not in demand.kind]  # fmt: skip
    show([one for seed in seeds for demand in demands for wait in WAITS
          for one in told_in_a_year(demand, wait, seed)])  # fmt: skip


if __name__ == "__main__":
    main(sys.argv[1:])

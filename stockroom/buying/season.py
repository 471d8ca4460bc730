"""The year's season: how many jobs come in at this time of the year, told by the year before.

A season is the shop's, not a profile's, since one profile's jobs are too few to tell. It counts
only where the newest weeks have followed the same weeks a year before, or where a year ended as it
began: else it cannot be told from a change. The past is then put at the pace of the days to come: a
day that was twice as busy becomes two, so that every stretch of it is as likely to come as another.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import log, sqrt
from statistics import fmean, pvariance

from stockroom.buying.windows import Asking

__all__ = ["Season", "season_of"]

WEEK, YEAR = 7, 52
AROUND, ENDS = 3, 3
"""A week is as busy as it and so many on either side of it are in the mean; a year's ends have so
many weeks."""
CLEAR, LIKELIER, FAR, QUIETEST = 0.6, log(4), 2.0, 0.05


@dataclass(frozen=True, slots=True)
class Season:
    """How busy each week of the year is, as a multiple of all; the first begins tomorrow."""

    index: tuple[float, ...]

    def coming(self, days: int) -> float:
        """That of so many days from tomorrow on, in the mean."""
        return fmean(self.index[day // WEEK % YEAR] for day in range(max(1, days)))

    def ago(self, days: int) -> float:
        """That of the day so many days ago; today is none ago."""
        return self.index[(-1 - days // WEEK) % YEAR]

    def paced(
        self, asks: Sequence[Asking], since: date, today: date, days: int
    ) -> tuple[tuple[Asking, ...], date]:
        """The jobs of a past, and its first day, at the pace of so many days to come."""
        coming, back = self.coming(days), [0.0]
        for ago in range((today - since).days + 1):
            back.append(back[-1] + self.ago(ago) / coming)

        def moved(day: date) -> date:
            ago = (today - day).days
            return today - timedelta(int((back[ago] + back[ago + 1]) / 2))

        return (tuple(replace(ask, day=moved(ask.day)) for ask in asks),
                today - timedelta(max(0, int(back[-1]) - 1)))  # fmt: skip


def season_of(weeks: Sequence[int]) -> Season | None:
    """The season of a shop, from its jobs by week with the newest last; None where none is told.

    The oldest year gives its shape; where chance alone would make two fifths of its spread, it has
    none. It is believed where it makes the weeks since then four times as likely as an even year
    does, the level of both left free; or no less likely, where that year ended as busy as it began,
    which a shop that has grown does not do.
    """
    known = weeks[-2 * YEAR :]
    before, again = known[:YEAR], known[YEAR:]
    if len(before) < YEAR or not sum(before):
        return None
    shape, kept = shape_of(before, sum(before))
    likelier = told_again(shape, again)
    if kept < CLEAR or likelier < (0 if came_back(before) else LIKELIER):
        return None
    # Both years together, the newer at its own level.
    level = fmean(shape[: len(again)]) * len(again) * fmean(before) if again else 1.0
    more = sum(again) / level
    both = [(count + (again[at] if at < len(again) else 0)) / (1 + more * (at < len(again)))
            for at, count in enumerate(before)]  # fmt: skip
    shape, _ = shape_of(both, sum(known))
    first = len(again) % YEAR
    return Season((*shape[first:], *shape[:first]))


def told_again(shape: Sequence[float], again: Sequence[int]) -> float:
    """The logarithm of how many times likelier a year's shape makes these weeks than an even one
    does; 0 where nothing came."""
    level = fmean(shape[: len(again)]) if again else 1.0
    return sum(count * log(share / level) for count, share in zip(again, shape, strict=False))


def came_back(year: Sequence[int]) -> bool:
    """True where a year's last weeks were as busy as its first, but for what chance does."""
    first, last = sum(year[:ENDS]), sum(year[-ENDS:])
    return abs(first - last) <= FAR * sqrt(first + last)


def shape_of(counts: Sequence[float], jobs: int) -> tuple[tuple[float, ...], float]:
    """How busy each week of a year is, as a multiple of its mean, where so many jobs tell; and the
    share of its spread that is more than chance.

    Each week's is the mean of those around it, drawn towards the year's by as much of the spread as
    chance alone would make, a Poisson count's (W. James and C. Stein, 1961, from memory).
    """
    mean, wide = fmean(counts), 2 * AROUND + 1
    around = [fmean(counts[(at + step) % YEAR] for step in range(-AROUND, AROUND + 1)) / mean
              for at in range(YEAR)]  # fmt: skip
    spread = pvariance(around)
    kept = max(0.0, 1 - YEAR / (wide * jobs) / spread) if spread else 0.0
    return tuple(max(1 + kept * (share - 1), QUIETEST) for share in around), kept

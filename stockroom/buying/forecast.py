"""How much of a profile is asked for: frames by week, the zeros counted, and a method that fits.

Weekly counts are whole frames; rates are frames a week and may be fractions. No length is here.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from statistics import fmean, pvariance
from typing import Literal, TypeVar

from stockroom.facts import Fact

__all__ = ["Forecast", "Pattern", "by_week", "croston", "forecast", "pattern_of", "sba", "tsb"]

Thing = TypeVar("Thing")
Pattern = Literal["none", "smooth", "erratic", "intermittent", "lumpy", "stopped"]

SMOOTHING = 0.1
INTERVAL_CUT, SPREAD_CUT = Fraction(132, 100), Fraction(49, 100)
STOPPED_AFTER = 3
"""Silent this many usual intervals, and a quarter of a year, a demand is taken to fade."""
BUSY = ("smooth", "erratic")
CHANGED, FEWEST_AFTER, FEWEST_BEFORE = 3.5, 4, 13
QUARTER = 13
LONG_AGO, FEW = 4, 6
SELDOM = 1 / 9
YEAR = 52


@dataclass(frozen=True, slots=True)
class Forecast:
    """What one profile is expected to be asked for, and how thin the evidence is.

    ``rate`` is frames a week, ``weeks`` how many weeks were looked at, ``asked`` in how many of
    them at least one frame was wanted, ``silent`` how many have passed since the last of these.
    ``chance`` is that of any demand in a week, ``recent`` how many of the weeks those to come are
    taken to be like.
    """

    pattern: Pattern
    method: Fact
    rate: float
    chance: float
    weeks: int
    asked: int
    silent: int
    recent: int

    @property
    def seldom(self) -> bool:
        """True where less than one week in nine has demand: nothing is kept for that (common
        practice), and its jobs wait for their stick."""
        return self.chance < SELDOM

    @property
    def evidence(self) -> Fact:
        """How many weeks, how many of them with demand, how old, and whether that is thin."""
        if not self.asked:
            return Fact("asked_in_none", {"weeks": self.weeks})
        last = Fact("asked_last", {"weeks": self.silent}) if self.silent >= LONG_AGO else None
        thin = Fact("thin_evidence") if self.asked < FEW else None
        return Fact("asked_in", {"asked": self.asked, "weeks": self.weeks, "last": last,
                                 "thin": thin})  # fmt: skip


def by_week(
    asked: Iterable[tuple[date, Thing]], since: date, today: date
) -> list[tuple[Thing, ...]]:
    """What was asked for in each week of seven days that ends with today, oldest first.

    Weeks with nothing are kept. Weeks before ``since`` are left out; at least the last is there.
    """
    weeks: list[list[Thing]] = [[] for _ in range(max(1, (today - since).days // 7 + 1))]
    for day, thing in asked:
        back = (today - day).days // 7
        if 0 <= back < len(weeks):
            weeks[-1 - back].append(thing)
    return [tuple(week) for week in weeks]


def pattern_of(counts: Sequence[int]) -> Pattern:
    """How a demand comes: how far apart, and how much its sizes spread.

    The mean interval p is cut at 1.32 weeks, the squared coefficient of variation of the sizes at
    0.49. Source: A. A. Syntetos, J. E. Boylan and J. D. Croston, "On the categorization of demand
    patterns", Journal of the Operational Research Society 56 (2005), from memory.
    """
    sizes = [count for count in counts if count]
    if not sizes:
        return "none"
    interval = Fraction(len(counts), len(sizes))
    silent = silent_weeks(counts)
    if silent >= QUARTER and silent > STOPPED_AFTER * interval_before(counts):
        return "stopped"
    spread = Fraction(pvariance(sizes)) / Fraction(fmean(sizes)) ** 2
    if interval <= INTERVAL_CUT:
        return "smooth" if spread <= SPREAD_CUT else "erratic"
    return "intermittent" if spread <= SPREAD_CUT else "lumpy"


def silent_weeks(counts: Sequence[int]) -> int:
    """Weeks since the last one with demand."""
    return next((back for back, count in enumerate(reversed(counts)) if count), len(counts))


def interval_before(counts: Sequence[int]) -> Fraction:
    """The mean interval between weeks with demand while there was one."""
    asked = [at for at, count in enumerate(counts) if count]
    return Fraction(asked[-1] - asked[0], max(1, len(asked) - 1)) or Fraction(1)


def lately(counts: Sequence[int]) -> int:
    """How many of the last weeks go on as the newest do: all of them unless demand has changed.

    Each split into weeks before and at least four after it is tried: the difference of their means
    over its standard error. It is reckoned with the roots of the counts, so that one large job
    makes no change; their spread inside both parts counts, and no less than a Poisson count's, 1/4
    (M. S. Bartlett, 1936, from memory). The clearest split counts where that is more than 3.5:
    chance alone seldom makes one.
    """
    weeks, total, squares = len(counts), sum(count**0.5 for count in counts), sum(counts)
    clearest, found, newest = CHANGED, weeks, 0.0
    for after in range(1, weeks - FEWEST_BEFORE + 1):
        newest += counts[-after] ** 0.5
        if after >= FEWEST_AFTER:
            before, oldest = weeks - after, total - newest
            # The squares of roots are counts, so what spreads inside is known from two sums.
            inside = (squares - oldest**2 / before - newest**2 / after) / weeks
            error = (max(inside, 0.25) * (1 / before + 1 / after)) ** 0.5
            if abs(newest / after - oldest / before) / error > clearest:
                clearest, found = abs(newest / after - oldest / before) / error, after
    return found


def forecast(counts: Sequence[int]) -> Forecast:
    """What to expect of a profile, by the method that its weeks call for.

    Busy: the last year's weeks themselves, or those since demand changed. Rare: Croston's method
    with the correction of Syntetos and Boylan. Stopped: that of Teunter, Syntetos and Babai, whose
    chance fades with each week. The last two begin at the means of all weeks, since a shop's weeks
    are few and the first is no better
    than another.
    """
    pattern = pattern_of(counts)
    recent = counts[-YEAR:] if pattern in BUSY else counts
    if pattern in BUSY:
        recent = recent[-lately(recent) :]
    sizes = tuple(count for count in recent if count)
    if pattern == "none":
        rate, method = 0.0, Fact("open_jobs_only")
    elif pattern in BUSY:
        rate, method = fmean(recent), Fact("busy_demand")
        if len(recent) < min(YEAR, len(counts)):
            method = Fact("demand_changed", {"weeks": len(recent)})
    elif pattern == "stopped":
        rate, method = tsb(counts, chance=len(sizes) / len(counts)), Fact("fading_demand")
    else:
        means = fmean(sizes), len(counts) / len(sizes)
        rate, method = sba(counts, start=means), Fact("now_and_then")
    chance = min(1.0, rate / fmean(sizes)) if sizes else 0.0
    return Forecast(pattern, method, rate, chance, len(counts), sum(map(bool, counts)),
                    silent_weeks(counts), len(recent))  # fmt: skip


def smoothed(values: Sequence[float], weight: float, start: float) -> float:
    """The last level of simple exponential smoothing that begins at ``start``."""
    level = start
    for value in values:
        level += weight * (value - level)
    return level


def croston(
    counts: Sequence[float],
    alpha: float = SMOOTHING,
    beta: float = SMOOTHING,
    start: tuple[float, float] | None = None,
) -> float:
    """Demand a week by Croston's method: the smoothed size over the smoothed interval.

    ``alpha`` smooths the sizes, ``beta`` the intervals; both begin at their first value, or at
    ``start``. Source: J. D. Croston, Operational Research Quarterly 23 (1972), from memory.
    """
    asked = [at for at, count in enumerate(counts, 1) if count]
    if not asked:
        return 0.0
    sizes = [counts[at - 1] for at in asked]
    gaps = [now - before for before, now in zip([0, *asked], asked, strict=False)]
    if start is None:
        start = sizes.pop(0), gaps.pop(0)
    return smoothed(sizes, alpha, start[0]) / smoothed(gaps, beta, start[1])


def sba(
    counts: Sequence[float],
    alpha: float = SMOOTHING,
    beta: float = SMOOTHING,
    start: tuple[float, float] | None = None,
) -> float:
    """Croston's method less its known bias, a share of beta / 2.

    Source: A. A. Syntetos and J. E. Boylan, International Journal of Forecasting 21 (2005), from
    memory.
    """
    return croston(counts, alpha, beta, start) * (1 - beta / 2)


def tsb(
    counts: Sequence[float],
    alpha: float = SMOOTHING,
    beta: float = SMOOTHING,
    chance: float | None = None,
) -> float:
    """Demand a week that fades while nothing is asked for: smoothed size times smoothed chance.

    ``chance`` is where the chance of a week with demand begins: at the first week's own unless
    given. Source: R. H. Teunter, A. A. Syntetos and M. Z. Babai, European Journal of Operational
    Research 214 (2011), from memory.
    """
    sizes = [count for count in counts if count]
    if not sizes:
        return 0.0
    weeks = [1.0 if count else 0.0 for count in counts]
    first = weeks.pop(0) if chance is None else chance
    return smoothed(sizes[1:], alpha, sizes[0]) * smoothed(weeks, beta, first)

"""What a replay comes to: figures over a span of days, of one run or of many together."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median

from stockroom.replay.simulation import Day, Run

__all__ = ["Figures", "figures", "pooled"]


@dataclass(frozen=True, slots=True)
class Figures:
    """Sums over a span of days (um), and the offcuts that lay on the rack over it.

    ``bought`` is stick opened, its end trims aside; ``needed`` the rails with one cut allowance
    each; ``grown`` what the offcuts on the rack gained in length. ``offcuts`` is the mean over
    the days and profiles, ``most`` and ``oldest`` (days) the largest of them all.
    """

    bought: int
    needed: int
    grown: int
    scrap: int
    frames: int
    handled: int
    offcuts: float
    most: int
    oldest: int
    seconds: float

    @property
    def gross(self) -> float:
        """Per cent bought above what the rails need, no credit for the rack."""
        return 100 * (self.bought / self.needed - 1) if self.needed else 0.0

    @property
    def net(self) -> float:
        """The same, less what the offcuts on the rack gained in length."""
        return 100 * ((self.bought - self.grown) / self.needed - 1) if self.needed else 0.0

    @property
    def scrapped(self) -> float:
        """Per cent of what was bought that went to scrap, end trims aside."""
        return 100 * self.scrap / self.bought if self.bought else 0.0

    @property
    def fetched(self) -> float:
        """Pieces handled for each frame."""
        return self.handled / self.frames if self.frames else 0.0


def figures(run: Run, start: int, end: int) -> Figures:
    """The figures of one run from one day up to, not including, another.

    Raises:
        ValueError: the days are not within the run.
    """
    if not 0 <= start < end <= len(run.days):
        raise ValueError(f"days {start} to {end} are not within a run of {len(run.days)}")
    days = run.days[start:end]
    before = sum(run.days[start - 1].offcuts) if start else 0
    return Figures(
        bought=sum(day.opened - day.trims for day in days),
        needed=sum(day.rails + day.allowances for day in days),
        grown=sum(days[-1].offcuts) - before,
        scrap=sum(day.scrap - day.trims for day in days),
        frames=sum(day.frames for day in days),
        handled=sum(day.handled for day in days),
        offcuts=fmean(len(day.offcuts) for day in days),
        most=max(len(day.offcuts) for day in days),
        oldest=max((age for day in days for age in day.ages), default=0),
        seconds=_middle(days),
    )


def _middle(days: Sequence[Day]) -> float:
    taken = [seconds for day in days for seconds in day.plans]
    return median(taken) if taken else 0.0


def pooled(found: Sequence[Figures]) -> Figures:
    """Many runs together: sums, the mean of offcuts a profile, the largest of the largest.

    Raises:
        ValueError: there are no runs.
    """
    if not found:
        raise ValueError("there are no figures to pool")

    def total(name: str) -> int:
        return sum(int(getattr(one, name)) for one in found)

    return Figures(
        total("bought"), total("needed"), total("grown"), total("scrap"), total("frames"),
        total("handled"), fmean(one.offcuts for one in found), max(one.most for one in found),
        max(one.oldest for one in found), median(one.seconds for one in found),
    )  # fmt: skip

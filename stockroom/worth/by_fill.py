"""What a leftover is worth to this shop, learned from the frames it was asked for."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from planner.values import Curve, Micrometres, Rules
from planner.worth import Worth

__all__ = ["ENOUGH", "Evidence", "blended", "fill_worth", "learn_worth"]

STEP_UM = 1_000
WINDOWS = 60
ENOUGH = 40
"""Frames at which history and default weigh the same in the blend."""
KEPT = 0.99
RACKED_UM = 20_000
TOLERANCE = 2.0
Rails = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """A learned curve and what it stands on: frames seen, and the share of them in it."""

    points: Curve
    frames: int
    share: float


def learn_worth(
    frames: Sequence[Rails], rules: Rules, longest: Micrometres, *, whole: bool, ahead: int = 4
) -> Evidence:
    """What leftovers up to ``longest`` (um) are worth by these frames, oldest first.

    The worth of a length is 0.99 times the most that the next ``ahead`` frames would cut from
    it, mean over the windows of the history, less 20 mm for the room it takes; ``whole`` says
    that frames must come from one batch, so that only whole frames count. Blended with the
    default: of n frames, the history counts n / (n + 40).

    Raises:
        ValueError: the span of lengths or ``ahead`` is nonsense.
    """
    if longest <= rules.keep or ahead < 1:
        raise ValueError(f"no worth from {rules.keep} to {longest} um with {ahead} frames ahead")
    share = len(frames) / (len(frames) + ENOUGH)
    own = fill_worth(frames, rules, longest, whole=whole, ahead=ahead)
    racked = RACKED_UM / STEP_UM
    values = blended([max(0.0, KEPT * fill - racked) for fill in own], rules, share)
    return Evidence(simplified(values, rules.keep), len(frames), share)


def fill_worth(
    frames: Sequence[Rails], rules: Rules, longest: Micrometres, *, whole: bool, ahead: int
) -> list[float]:
    """The mean best fill, in mm, of a leftover of each whole millimetre from 0 to ``longest``."""
    size = longest // STEP_UM + 1
    windows = windows_of(frames, ahead)
    total = [0.0] * size
    for window in windows:
        sums = reachable(window, rules, size - 1, whole=whole)
        for at, fill in enumerate(sums):
            total[at] += fill
    return [value / len(windows) for value in total] if windows else total


def windows_of(
    frames: Sequence[Rails], ahead: int, most: int = WINDOWS
) -> list[Sequence[Rails]]:  # fmt: skip
    """Runs of frames that follow each other, spread evenly over the history."""
    last = len(frames) - ahead
    if last < 0:
        return [frames] if frames else []
    starts = sorted({last * turn // max(1, most - 1) for turn in range(most)})
    return [frames[start : start + ahead] for start in starts]


def reachable(window: Sequence[Rails], rules: Rules, room: int, *, whole: bool) -> list[int]:
    """The most of each room, mm, that these frames' rails fill, each rail cut once at most.

    All reachable sums at once, as the bits of a whole number. A rail counts with its allowance,
    rounded up; the last cut needs none where it runs off the end.
    """
    end = -(-rules.cut_allowance // STEP_UM)
    bits = 1
    for rails in window:
        sizes = [-(-(rail + rules.cut_allowance) // STEP_UM) for rail in rails]
        for size in [sum(sizes)] if whole else sizes:
            bits |= bits << size
    found = bin(bits & ((1 << (room + end + 1)) - 1))[:1:-1].ljust(room + end + 1, "0")
    best = list(accumulate((at if bit == "1" else 0 for at, bit in enumerate(found)), max))
    return [min(at, best[at + end]) for at in range(room + 1)]


def blended(own: Sequence[float], rules: Rules, share: float) -> list[float]:
    """History and default, mm by mm: so much of the one as its share says, the rest the other."""
    default = Worth(rules.keep, None)
    return [share * worth + (1 - share) * default(at * STEP_UM) / STEP_UM
            for at, worth in enumerate(own)]  # fmt: skip


def simplified(values: Sequence[float], keep: Micrometres) -> Curve:
    """Points between which straight lines stay within 2 mm of the values, whole micrometres.

    From each point the line reaches as far as one slope serves all between (the swinging door).
    """
    first = max(1, -(-keep // STEP_UM))
    points, at = [first], first
    while at < len(values) - 1:
        low, high, end = -1e18, 1e18, at + 1
        for there in range(at + 1, len(values)):
            slope = (values[there] - values[at]) / (there - at)
            if low - 1e-12 <= slope <= high + 1e-12:
                end = there
            low = max(low, (values[there] - TOLERANCE - values[at]) / (there - at))
            high = min(high, (values[there] + TOLERANCE - values[at]) / (there - at))
            if low > high:
                break
        points.append(end)
        at = end
    return tuple((at * STEP_UM, round(values[at] * STEP_UM)) for at in points)

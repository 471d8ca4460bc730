"""What a leftover is worth if it may wait on the rack for the frames that suit it."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from planner.values import Micrometres, Rules
from stockroom.worth.by_fill import STEP_UM, Evidence, blended, simplified, windows_of

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]
    Ints = npt.NDArray[np.int64]

__all__ = ["ENOUGH", "learn_waiting", "waiting_worth"]

WINDOWS = 120
ENOUGH = 10
"""Frames at which history and default weigh the same in the blend."""
WAIT_UM = 10_000
KNOWN = 2
Rails = tuple[int, ...]


def learn_waiting(frames: Sequence[Rails], rules: Rules, longest: Micrometres) -> Evidence:
    """What leftovers up to ``longest`` (um) are worth by these frames, oldest first.

    Blended with the default: of n frames, the history counts n / (n + 10).

    Raises:
        ValueError: the span of lengths is nonsense.
    """
    if longest <= rules.keep:
        raise ValueError(f"no worth from {rules.keep} to {longest} um")
    share = len(frames) / (len(frames) + ENOUGH)
    own = waiting_worth(frames, rules, longest)
    return Evidence(simplified(blended(own, rules, share), rules.keep), len(frames), share)


def waiting_worth(
    frames: Sequence[Rails],
    rules: Rules,
    longest: Micrometres,
    wait: int = WAIT_UM,
    known: int = KNOWN,
) -> list[float]:
    """The worth, in mm, of a leftover of each whole millimetre from 0 to ``longest``.

    A leftover waits until frames come of which some rails suit it: what they take counts at their
    length with allowances, what stays at its own worth. Each time that ``known`` frames come, it
    is cut or waits on, and waiting costs ``wait`` (um). So its worth is the price at which cutting
    now is as good as waiting: what the frames offer above it comes, in the mean, to what a wait
    costs. A patient shop keeps more offcuts, and fills them better.

    Source: the reservation price of optimal search, Weitzman (1979), from memory.
    """
    import numpy as np

    size, keep = longest // STEP_UM + 1, max(1, -(-rules.keep // STEP_UM))
    worths = np.zeros(size)
    offers = [sums_of(window, rules, size) for window in windows_of(frames, known, WINDOWS)]
    if not offers:
        return worths.tolist()
    shortest = min(int(sums[0]) for sums in offers)
    start = keep
    while start < size:
        # What stays is shorter by a rail at least, so its worth is known already.
        rooms = np.arange(start, min(size, start + shortest))
        best = np.array([best_offers(rooms, sums, worths, rules) for sums in offers])
        worths[rooms] = np.maximum(0.0, reserved(best, wait / STEP_UM))
        start += shortest
    return worths.tolist()


def sums_of(window: Iterable[Rails], rules: Rules, most: int) -> "Ints":
    """All lengths, mm, that some of these rails take with their allowances, rounded up, rising."""
    import numpy as np

    found = {0}
    for rails in window:
        for rail in rails:
            size = -(-(rail + rules.cut_allowance) // STEP_UM)
            found |= {had + size for had in found
                      if had + size <= most + rules.cut_allowance // STEP_UM}  # fmt: skip
    return np.array(sorted(found - {0}) or [most], np.int64)


def best_offers(rooms: "Ints", sums: "Ints", worths: "Floats", rules: Rules) -> "Floats":
    """The most that one window's rails and what they leave come to, for leftovers so long."""
    import numpy as np

    left = rooms[:, None] - sums[None, :]
    taken = np.minimum(sums[None, :], rooms[:, None]) + worths[np.maximum(left, 0)]
    offers = np.where(left >= -(rules.cut_allowance // STEP_UM), taken, 0.0)
    return np.asarray(offers.max(axis=1), np.float64)


def reserved(offers: "Floats", wait: float) -> "Floats":
    """For each column the price w at which the mean of max(0, offer - w) is what a wait costs.

    If the k highest offers lie above w, w is their sum, less the wait of all, over k; the k that
    is right gives the highest w.
    """
    import numpy as np

    falling = -np.sort(-offers, axis=0)
    above = np.arange(1, len(offers) + 1)[:, None]
    prices = (np.cumsum(falling, axis=0) - wait * len(offers)) / above
    return np.asarray(prices.max(axis=0), np.float64)

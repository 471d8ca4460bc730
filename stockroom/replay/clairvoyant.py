"""The clairvoyant bound: no way of cutting these rails, all known at once, opens less stick."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from planner.lp.highs import LinearProgram
from planner.stop import Stop
from planner.values import Frame, Rules

if TYPE_CHECKING:
    from planner.lp.highs import Floats, Ints

__all__ = ["least_bought"]

STEP_UM = 1_000
ROUNDS = 80


def least_bought(
    frames: Iterable[Frame], rules: Rules, sticks: tuple[int, int], rounds: int = ROUNDS
) -> int:
    """Stick length, trims aside (um), that no plan of all these rails at once can go below.

    The linear bound of the cutting-stock problem over every whole millimetre of stick length
    from the shortest to the longest, batches left aside: columns are generated, and in each round
    the rails' worths over the best fill of any stick are a bound. Rails are rounded down and
    sticks' room up, so that rounding never raises it.

    Source: Gilmore and Gomory (1961) for the columns; Farley (1990) for the bound (from memory).
    """
    import numpy as np

    wanted: dict[int, int] = {}
    for frame in frames:
        for rail in frame.rails:
            size = (rail + rules.cut_allowance) // STEP_UM
            wanted[size] = wanted.get(size, 0) + 1
    if not wanted:
        return 0
    sizes = np.array(sorted(wanted), np.int64)
    counts = np.array([wanted[size] for size in sorted(wanted)], np.float64)
    usable = [(end - 2 * rules.end_trim) // STEP_UM for end in sticks]
    costs = np.arange(usable[0], usable[1] + 1)
    rooms = costs + -(-rules.cut_allowance // STEP_UM) + 1
    worths, best = sizes.astype(np.float64), 0.0
    program = LinearProgram(counts, np.full(len(counts), np.inf), growing=True)
    alone = np.diag((rooms[-1] // sizes).astype(np.int64))
    program.add(np.full(len(sizes), -float(costs[-1])), np.full(len(sizes), np.inf), alone)
    for turn in range(rounds):
        fills = best_fills(sizes, worths, int(rooms[-1]))
        ratios = fills[rooms] / costs
        top = int(ratios.argmax())
        best = max(best, float(worths @ counts) / float(ratios[top]))
        column = fill_of(sizes, worths, fills, int(rooms[top]))
        program.add([-float(costs[top])], [np.inf], column[:, None])
        found = program.solve(Stop(60.0))
        if found.status != "optimal" or (turn and ratios[top] <= 1 + 1e-9):
            break
        worths = np.maximum(-found.duals, 0.0)
    return int(best * STEP_UM)


def best_fills(sizes: "Ints", worths: "Floats", room: int) -> "Floats":
    """The most worth of rails in every room up to this one, each rail as often as it likes."""
    import numpy as np

    best = np.zeros(room + 1)
    for at in range(int(sizes[0]), room + 1):
        fit = int(np.searchsorted(sizes, at, side="right"))
        best[at] = max(best[at - 1], float((worths[:fit] + best[at - sizes[:fit]]).max()))
    return best


def fill_of(sizes: "Ints", worths: "Floats", fills: "Floats", room: int) -> "Ints":
    """How often each rail stands in the best fill of this room."""
    import numpy as np

    counts = np.zeros(len(sizes), np.int64)
    while fills[room] > 0:
        while room and fills[room - 1] == fills[room]:
            room -= 1
        fit = int(np.searchsorted(sizes, room, side="right"))
        rail = int((worths[:fit] + fills[room - sizes[:fit]]).argmax())
        counts[rail] += 1
        room -= int(sizes[rail])
    return counts

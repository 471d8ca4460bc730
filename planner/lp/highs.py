"""HiGHS, the floating solver of linear programs. The only module that has it.

What it finds is a proposal: values are rounded and checked in whole numbers, and bounds are
proven again in whole numbers from its duals, by those who call it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.stop import Stop

__all__ = ["Found", "LinearProgram"]

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Found:
    """What a solve gave: ``status`` is "optimal", "infeasible", "limit" or "failed".

    ``duals`` are per row, in the sense of a maximum (a row's worth for one more unit of room).
    """

    status: str
    value: float
    values: Floats
    duals: Floats


def _entries(table: npt.NDArray[Any]) -> tuple[int, npt.NDArray[Any], npt.NDArray[Any], Floats]:
    """How many entries lines have, where those of each start, their places in it and values."""
    lines, places = np.nonzero(table)
    starts = np.searchsorted(lines, np.arange(len(table))).astype(np.int32)
    return len(places), starts, places.astype(np.int32), table[lines, places].astype(np.float64)


def _quiet() -> Any:
    import highspy

    class Quiet(highspy.Highs):  # type: ignore[misc, unused-ignore]
        """HiGHS that prints nothing, not even its name, on standard output."""

        def enableCallbacks(self) -> None:
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call, unused-ignore]

    return Quiet()  # type: ignore[no-untyped-call, unused-ignore]


class LinearProgram:
    """The most of a sum under rows ``low <= A x <= high``; columns may be added, bounds moved."""

    def __init__(
        self, low: npt.ArrayLike, high: npt.ArrayLike, growing: bool = False, seed: int = 0
    ) -> None:
        """Rows between ``low`` and ``high``; ``growing`` suits many solves with columns between.

        Where several optima are as good, another ``seed`` may end at another one.
        """
        self._solver: Any = _quiet()
        # The old optimum stays feasible when columns are added: the primal simplex goes on (0 takes
        # the dual one where it is not).
        options = {"threads": 1, "random_seed": seed, "presolve": "off",
                   "simplex_strategy": 0 if growing else 1}  # fmt: skip
        for option, value in options.items():
            self._solver.setOptionValue(option, value)
        lows, highs = np.asarray(low, np.float64), np.asarray(high, np.float64)
        none = np.zeros(0, np.int32)
        self._solver.addRows(len(lows), lows, highs, 0, np.zeros(len(lows), np.int32), none,
                             np.zeros(0))  # fmt: skip

    def add(self, gains: npt.ArrayLike, highs: npt.ArrayLike, columns: npt.NDArray[Any]) -> None:
        """Add the columns of a table between 0 and ``highs``, with what each adds to the sum."""
        cost, top = -np.asarray(gains, np.float64), np.asarray(highs, np.float64)
        self._solver.addCols(len(cost), cost, np.zeros(len(cost)), top, *_entries(columns.T))

    def add_rows(self, rows: npt.NDArray[Any], highs: npt.ArrayLike) -> None:
        """Add rows of at most ``highs`` over all columns."""
        top = np.asarray(highs, np.float64)
        self._solver.addRows(len(top), np.full(len(top), -np.inf), top, *_entries(rows))

    def keep_rows(self, kept: npt.NDArray[np.bool_]) -> None:
        """Take the other rows away."""
        gone = np.flatnonzero(~kept).astype(np.int32)
        self._solver.deleteRows(len(gone), gone)

    def keep_columns(self, kept: npt.NDArray[np.bool_]) -> None:
        """Take the other columns away."""
        gone = np.flatnonzero(~kept).astype(np.int32)
        self._solver.deleteCols(len(gone), gone)

    def bound_columns(self, lows: Floats, highs: Floats) -> None:
        """Move the bounds of all columns."""
        count = len(lows)
        self._solver.changeColsBounds(count, np.arange(count, dtype=np.int32), lows, highs)

    def bound_rows(self, lows: Floats, highs: Floats) -> None:
        """Move the bounds of all rows."""
        count = len(lows)
        self._solver.changeRowsBounds(count, np.arange(count, dtype=np.int32), lows, highs)

    def ray(self) -> Floats | None:
        """After "infeasible": prices of the rows at which no solution can be, if there are some."""
        found = self._solver.getDualRay()
        return -np.array(found[2]) if found[1] else None

    def basis(self) -> Any:
        """After a solve: where it ended, to go on from there later; columns may be added since."""
        return self._solver.getBasis()

    def go_back(self, basis: Any) -> None:
        """Go on from where an earlier solve ended; columns added since stand at their least."""
        import highspy

        more = self._solver.getNumCol() - len(basis.col_status)
        if more:
            lowest = [highspy.HighsBasisStatus.kLower] * more
            basis.col_status = [*basis.col_status, *lowest]
        self._solver.setBasis(basis)

    def basic_columns(self) -> Ints:
        """After a solve: the columns that hold its place, some of them maybe at nothing."""
        basic = np.asarray(self._solver.getBasicVariables()[1])
        return np.asarray(basic[basic >= 0], np.int64)

    def fractional_rows(self, values: Floats, sums: Floats) -> Iterator[tuple[int, Floats]]:
        """After a solve: basic columns that are not whole (or rows, from -1 down), and the weights
        of the rows in each.

        ``values`` are those of the columns, ``sums`` those of the rows.
        """
        for place, basic in enumerate(self._solver.getBasicVariables()[1].tolist()):
            value = values[basic] if basic >= 0 else sums[-basic - 1]
            if abs(value - np.rint(value)) > 1e-4:
                yield basic, np.array(self._solver.getBasisInverseRow(place)[1])

    def solve(self, stop: Stop, afresh: bool = False) -> Found:
        """The best of the linear program; ``afresh`` forgets what was known from before."""
        import highspy

        if afresh:
            self._solver.clearSolver()
        self._solver.setOptionValue("time_limit", self._solver.getRunTime() + stop.left() + 0.001)
        self._solver.run()
        status = self._solver.getModelStatus()
        known = highspy.HighsModelStatus
        names = {
            known.kOptimal: "optimal", known.kInfeasible: "infeasible",
            known.kTimeLimit: "limit", known.kIterationLimit: "limit",
        }  # fmt: skip
        solution = self._solver.getSolution()
        return Found(
            names.get(status, "failed"),
            -self._solver.getInfo().objective_function_value,
            np.array(solution.col_value),
            -np.array(solution.row_dual),
        )

"""Choose from a list of fills, or show that none will do: by branching, proven in whole numbers.

Two pieces that the fractional optimum puts together in part are put together, and then apart; of
lengths that are wanted often a fill is used once more, or no more. A branch is closed by whole
worths of the lengths, never by the floating solver's word.

Source: Ryan and Foster, An integer programming approach to scheduling (1981); Farley (1990).
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.master import Floats
from planner.cuttingstock.set_cover import Choice
from planner.cuttingstock.values import Ints
from planner.lp.highs import LinearProgram
from planner.lp.sparse import sparse
from planner.stop import Stop

__all__ = ["branched"]

Mask = npt.NDArray[np.bool_]
SCALE = 2**30
# So many pairs are tried before one is branched on.
TRIED = 4


def branched(wanted: Ints, fills: Ints, stocks: int, stop: Stop, solves: int) -> Choice:
    """At most ``stocks`` of the fills that give all wanted, or that none do, in whole numbers.

    After so many ``solves`` of linear programs the question stays open.
    """
    tree = _Tree(wanted, fills, stop, solves)
    root = _Node(np.ones(len(tree.table), bool), wanted, stocks, (), np.zeros(0))
    stack = tree.solved(root)
    while stack and tree.found is None:
        sides = tree.sides(stack.pop())
        if tree.found is None and (sides is None or tree.over):
            return Choice("open")
        stack += sides or []
    return Choice("refuted" if tree.found is None else "found", tree.found)


@dataclass(frozen=True, slots=True, eq=False)
class _Node:
    """Fills that may be used for what is still wanted, the stocks left, and fills fixed by now.

    ``amounts`` is the fractional optimum.
    """

    open: Mask
    wanted: Ints
    stocks: int
    fixed: tuple[int, ...]
    amounts: Floats


class _Tree:
    """The fills, and copies of them with a piece left out; and the linear program over them."""

    def __init__(self, wanted: Ints, fills: Ints, stop: Stop, solves: int) -> None:
        # A piece alone in a stock is always allowed: no branch is without a solution.
        single = np.eye(len(wanted), dtype=np.int64)
        self.table = np.vstack([single, np.minimum(fills, wanted)])
        self.found: Ints | None = None
        self._stop, self._left = stop, solves
        self._known = {row.tobytes(): at for at, row in enumerate(self.table)}
        self._program = LinearProgram(wanted.astype(np.float64), np.full(len(wanted), np.inf))
        self._add(self.table)

    @property
    def over(self) -> bool:
        """The limits have run out."""
        return self._left <= 0 or self._stop.over()

    def _add(self, rows: Ints) -> None:
        count = len(rows)
        self._program.add(np.full(count, -1.0), np.full(count, np.inf), sparse(rows.T))

    def solved(self, node: _Node) -> list[_Node]:
        """The node with its optimum and fewer fills; none if it is shown that no plan is in it."""
        self._left -= 1
        open_ = self._wide(node.open)
        self._program.bound_columns(np.zeros(len(open_)), np.where(open_, np.inf, 0.0))
        self._program.bound_rows(node.wanted.astype(np.float64), np.full(len(node.wanted), np.inf))
        found = self._program.solve(self._stop)
        if found.status != "optimal":
            return [replace(node, open=open_, amounts=np.zeros(len(open_)))]
        worths = np.floor(np.maximum(-found.duals, 0.0) * SCALE).astype(np.int64)
        each = self.table @ worths
        best = int(each[open_].max())
        spare = node.stocks * best - int(worths @ node.wanted)
        if spare < 0:
            return []
        open_ &= best - each <= spare
        open_[: len(worths)] = True
        node = replace(node, open=open_, amounts=found.values)
        self._look(node)
        return [node]

    def _wide(self, mask: Mask) -> Mask:
        return np.append(mask, np.zeros(len(self.table) - len(mask), bool))

    def _look(self, node: _Node) -> None:
        """Keep the optimum if it is a plan."""
        times = np.rint(node.amounts).astype(np.int64)
        if times.sum() <= node.stocks and (times @ self.table >= node.wanted).all():
            rest = np.repeat(self.table, times, axis=0)
            self.found = np.vstack([self.table[list(node.fixed)], rest])

    def sides(self, node: _Node) -> list[_Node] | None:
        """The branches of a node, the last to be looked at first; nothing if there is none."""
        best: list[_Node] | None = None
        for pair in self._pairs(node):
            sides = [
                side
                for mask in (self._apart(node.open, *pair), self._together(node.open, *pair))
                for side in self.solved(replace(node, open=mask))
            ]
            if len(sides) < 2 or self.found is not None or self.over:
                return sides
            if best is None or _size(sides) < _size(best):
                best = sides
        return self._by_fill(node) if best is None else best

    def _pairs(self, node: _Node) -> list[tuple[int, int]]:
        """Pieces wanted once that are together in part, those nearest to a half first."""
        shares: dict[tuple[int, int], float] = defaultdict(float)
        used = np.flatnonzero(node.amounts > 1e-9)
        has = self.table[used] * (node.wanted == 1)
        for row, amount in zip(has, node.amounts[used].tolist(), strict=True):
            for pair in combinations(np.flatnonzero(row).tolist(), 2):
                shares[pair] += amount
        far = sorted((abs(share - 0.5), pair) for pair, share in shares.items())
        return [pair for away, pair in far[:TRIED] if away < 0.5 - 1e-6]

    def _by_fill(self, node: _Node) -> list[_Node] | None:
        """A fill no more, or once more: the one used most of those not used in whole."""
        part = np.abs(node.amounts - np.rint(node.amounts)) > 1e-6
        if not part.any():
            return None
        at = int(np.argmax(np.where(part, node.amounts, -1.0)))
        without = node.open.copy()
        without[at] = False
        left = np.maximum(node.wanted - self.table[at], 0)
        over = (self.table > left).any(axis=1)
        open_ = self._instead(node.open, over, lambda rows: [np.minimum(rows, left)])
        more = _Node(open_, left, node.stocks - 1, (*node.fixed, at), node.amounts)
        return self.solved(replace(node, open=without)) + self.solved(more)

    def _apart(self, open_: Mask, one: int, other: int) -> Mask:
        """Open fills with both go; copies without either come in their place."""
        both = (self.table[:, one] > 0) & (self.table[:, other] > 0)
        return self._instead(open_, both, lambda rows: [_without(rows, one), _without(rows, other)])

    def _together(self, open_: Mask, one: int, other: int) -> Mask:
        """Open fills with one of the two lose it."""
        first, second = self.table[:, one] > 0, self.table[:, other] > 0
        open_ = self._instead(open_, first & ~second, lambda rows: [_without(rows, one)])
        return self._instead(open_, second & ~first, lambda rows: [_without(rows, other)])

    def _instead(self, open_: Mask, these: Mask, copies: Callable[[Ints], list[Ints]]) -> Mask:
        """Copies of the open ones of these in their place; a piece alone stays."""
        open_, gone = self._wide(open_), self._wide(these)
        gone &= open_
        gone[: len(self.table[0])] = False
        new: list[Ints] = []
        places: list[int] = []
        for row in (row for rows in copies(self.table[gone]) for row in rows):
            at = self._known.setdefault(row.tobytes(), len(self.table) + len(new))
            if at == len(self.table) + len(new):
                new.append(row)
            places.append(at)
        if new:
            self.table = np.vstack([self.table, new])
            self._add(np.array(new))
        open_ = self._wide(open_ & ~gone)
        open_[places] = True
        return open_


def _without(rows: Ints, item: int) -> Ints:
    """The same fills with nothing of one length."""
    fewer = rows.copy()
    fewer[:, item] = 0
    return fewer


def _size(sides: list[_Node]) -> int:
    """How much two branches leave open."""
    return int(np.prod([int(side.open.sum()) for side in sides]))

"""The neighbourhood search beside the exact one: a better solution for the aim that is open."""

from dataclasses import replace

import numpy as np

from planner.columns.pricing import holding
from planner.heuristics.whole_pieces import WholePieces
from planner.model.subproblem import Chosen, Stage
from planner.model.translate import chosen_of, laid_of
from planner.search.gap_loop import too_large
from planner.stop import Stop

__all__ = ["Improver"]

# Sums of one look at what is open: at first, and where the exact search left it open; in parts.
QUICK, THOROUGH, SLICE = 400_000_000, 40_000_000_000, 40_000_000
# With so few columns the exact search is quicker.
FEW = 20_000
# So much of the time that is left is for one look.
PART = 0.4


class Improver:
    """Goes on from where it was, or from a solution that is better than its own."""

    def __init__(self) -> None:
        self._search: WholePieces | None = None
        self._known: Chosen | None = None

    def quickly(
        self, stage: Stage, chosen: Chosen, best: int | None, stop: Stop
    ) -> tuple[Stage, Chosen]:
        """A short look, before anything is proven."""
        work = QUICK if too_large(stage.rows.model) else QUICK // 4
        return self.better(stage, chosen, best, work, stop)

    def thoroughly(
        self, stage: Stage, chosen: Chosen, best: int, stop: Stop
    ) -> tuple[Stage, Chosen]:
        """A long look, for what the exact search left open."""
        return self.better(stage, chosen, best, THOROUGH, stop)

    def better(
        self, stage: Stage, chosen: Chosen, best: int | None, work: int, stop: Stop
    ) -> tuple[Stage, Chosen]:
        """A solution no worse, and the stage with its columns; ends where ``best`` is reached."""
        if stage.pool.complete and len(stage.pool) <= FEW:
            return stage, chosen
        part, search = stop.within(PART * stop.left()), self._from(stage, chosen)
        for _ in range(work // SLICE):
            if (best is not None and stage.value(chosen) >= best) or part.over():
                break
            if search.improve(SLICE, part):
                stage, chosen = self._taken(stage, chosen, search)
        return stage, chosen

    def _from(self, stage: Stage, chosen: Chosen) -> WholePieces:
        if self._search is None or chosen is not self._known:
            laid = laid_of(stage.rows, stage.pool, chosen)
            self._search, self._known = WholePieces(stage.rows.model, laid), chosen
        return self._search

    def _taken(self, stage: Stage, chosen: Chosen, search: WholePieces) -> tuple[Stage, Chosen]:
        """What was found, if it is better in this aim and keeps those before."""
        found = chosen_of(stage.rows, search.laid())
        wider = replace(stage, pool=holding(stage.rows, stage.pool, found), added=None)
        columns = wider.pool.numbers(found.uses)
        uses = np.array(list(found.uses.values()), np.int64)
        fits = wider.fits(np.array(columns, np.int64), uses, found.extras)
        if not fits or wider.value(found) <= stage.value(chosen):
            return stage, chosen
        self._known = found
        return wider, found

"""The neighbourhood search beside the exact one: a better solution for the aim that is open."""

import math
from dataclasses import replace

import numpy as np

from planner.columns.pricing import holding
from planner.heuristics.whole_pieces import WholePieces
from planner.model.profile_model import Model
from planner.model.subproblem import Chosen, Stage
from planner.model.translate import chosen_of, laid_of
from planner.score import Laid
from planner.stop import Stop

__all__ = ["Improver", "filled_anew", "of_many"]

# Sums of a look at the hand rule's plan, and of one at what the exact search left open; in parts.
QUICK, THOROUGH, SLICE = 400_000_000, 40_000_000_000, 40_000_000
# Sets of rails that may be asked for, above which the exact search leaves time for neighbours.
MANY = 2**45
# With so few columns the exact search is quicker.
FEW = 20_000
# So much of the time that is left is for one look.
PART = 0.4


def of_many(model: Model) -> bool:
    """Whether so many sets of rails may be asked that neighbours are worth a look at once."""
    return math.prod(asked + 1 for asked in model.item_asked) > MANY


def filled_anew(model: Model, hand: Laid, stop: Stop) -> Laid:
    """A better plan than by hand at once, where so many sets of rails may be asked."""
    if not of_many(model):
        return hand
    search = WholePieces(model, hand)
    search.improve(QUICK, stop.within(PART * stop.left()))
    return search.laid()


class Improver:
    """Goes on from where it was, or from a solution that is better than its own."""

    def __init__(self) -> None:
        self._search: WholePieces | None = None
        self._known: Chosen | None = None

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

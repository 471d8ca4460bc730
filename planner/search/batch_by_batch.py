"""The least of sticks where frames are tied to batches: which frames each batch cuts comes first.

Which batch a frame is cut from is a program of few variables; what its frames then open of a batch
is a problem of that batch alone, which the same search solves. Where that is more than the program
took it for, a row is added: so many rails as long as these, or more, open no less. So the least of
the program is a bound all the time, and its batches' plans together are a plan.

Source: Hooker and Ottosson, Logic-based Benders decomposition, Mathematical Programming 96 (2003).
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace

from planner.columns.pricing import Priced
from planner.lp.cp_sat import Answer
from planner.model.profile_model import Model
from planner.model.rows import Rows
from planner.score import Laid
from planner.search.batch_master import NEVER, BatchMaster, Items
from planner.stop import Stop
from planner.values import Frame, Micrometres, Problem

__all__ = ["BatchPlan", "fewest_by_batch"]

# Shares of the time: for a batch's problem, and for one that is asked to make a row stronger.
PART, SMALLER = 0.25, 0.05


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """A batch's plan: what it opens, the least it can (NEVER where not all is cut), and where."""

    opened: Micrometres
    least: Micrometres
    laid: Laid


Solve = Callable[[Problem, Stop], BatchPlan]


def fewest_by_batch(
    rows: Rows, best: Micrometres, priced: Priced | None, stop: Stop, solve: Solve
) -> tuple[Laid, Micrometres]:
    """A plan that cuts all frames and opens little, and the least that any opens (um).

    ``best`` is the least that is proven before, ``priced`` what prices prove of the length opened;
    ``solve`` plans frames that are all to be cut. The plan is empty where none was found.
    """
    search = _ByBatch(rows, best, stop, solve)
    if priced is not None:
        search.master.priced(priced)
    search.run()
    return (search.laid if search.opened < NEVER else Laid()), search.least


class _ByBatch:
    def __init__(self, rows: Rows, best: Micrometres, stop: Stop, solve: Solve) -> None:
        self.rows, self.stop, self.least = rows, stop, best
        self.master, self.parts = BatchMaster(rows), _Parts(rows.model, solve)
        self.laid, self.opened = Laid(), NEVER

    def run(self) -> None:
        """Ask for batches and mend what the program believes, until it is right or time is over."""
        while self.opened > self.least and not self.stop.over():
            found = self.master.solved(self.least, self.stop)
            if found is None or not found.values:
                return
            self.least = max(self.least, found.bound)
            if not self._wiser(found):
                return

    def _wiser(self, found: Answer) -> bool:
        """Plan each batch as the program would; whether it learned from that."""
        plans, wiser = list[BatchPlan](), False
        for batch, name in enumerate(self.rows.batches):
            chunks = self.master.chunks(found, batch)
            part = self.parts.of(name, sum(chunks, Items()), self._within(PART))
            plans.append(part)
            if part.least > self.master.opened(found, batch):
                self.master.learn(batch, self._fewer(name, chunks, part.least), part.least)
                wiser = True
        opened = sum(part.opened for part in plans)
        if opened < self.opened:
            self.opened, self.laid = opened, _laid(self.rows, self.master, found, plans)
        return wiser

    def _within(self, share: float) -> Stop:
        return self.stop.within(share * self.stop.left())

    def _fewer(self, batch: str, chunks: list[Items], least: Micrometres) -> Items:
        """As few of some chunks of items as open no less, short ones left out before others."""
        sizes, items = self.rows.model.item_sizes, sum(chunks, Items())
        chunks = sorted(chunks, key=lambda chunk: sum(sizes[i] * n for i, n in chunk.items()))
        at, step = 0, max(1, len(chunks) // 4)
        while at < len(chunks):
            some = items - sum(chunks[at : at + step], Items())
            if self.parts.of(batch, some, self._within(SMALLER)).least >= least:
                items, at = some, at + step
            elif step > 1:
                step //= 2
            else:
                at += 1
        return items


class _Parts:
    """The plans of batches' own problems, each asked for once."""

    def __init__(self, model: Model, solve: Solve) -> None:
        self._model, self._solve = model, solve
        self._known: dict[tuple[str, frozenset[tuple[int, int]]], BatchPlan] = {}

    def of(self, batch: str, items: Items, stop: Stop) -> BatchPlan:
        """The plan of so many items cut from a batch."""
        key = batch, frozenset(items.items())
        if key not in self._known:
            part = (
                self._solve(self._problem(batch, items), stop) if items else BatchPlan(0, 0, Laid())
            )
            if part.opened > part.least:
                return part
            self._known[key] = part
        return self._known[key]

    def _problem(self, batch: str, items: Items) -> Problem:
        """A frame for each item, by the item's name: each rail alone, and those of one piece."""
        model, count = self._model, len(self._model.lengths)
        problem, of = model.problem, {frame.id: frame for frame in model.problem.frames}
        first = problem.frames[0]
        asked = []
        for item, times in sorted(items.items()):
            if item < count:
                rail, takes = model.lengths[item], model.takes[item]
                frame = Frame("", first.profile, (rail,), first.due, takes=takes)
            else:
                group = model.groups[model.bundles[item - count]]
                frame = replace(of[group.frames[0]], due=first.due, stands_for=1)
            asked += [replace(frame, id=f"{item}/{n}") for n in range(times)]
        pieces = tuple(piece for piece in problem.pieces if piece.batch == batch)
        return replace(problem, pieces=pieces, frames=tuple(asked))


def _laid(rows: Rows, master: BatchMaster, found: Answer, plans: list[BatchPlan]) -> Laid:
    """The plans of all batches as one, with the names of the frames."""
    model, laid = rows.model, Laid()
    frames = {frame.id: frame for frame in model.problem.frames}
    names = [iter(group.frames) for group in model.groups]
    places = [defaultdict[int, list[tuple[str, int]]](list) for _ in plans]
    for part, own in zip(plans, places, strict=True):
        whole: dict[str, str] = {}
        for place, rails in part.laid.items():
            for name, rail in rails:
                item = int(name.partition("/")[0])
                if item < len(model.lengths):
                    own[item].append(place)
                else:
                    if name not in whole:
                        whole[name] = next(names[model.bundles[item - len(model.lengths)]])
                    laid.setdefault(place, []).append((whole[name], rail))

    def lay(group: int, some: list[defaultdict[int, list[tuple[str, int]]]]) -> None:
        frame = frames[next(names[group])]
        for rail in range(len(frame.rails)):
            length = model.length_of(frame, rail)
            place = next(own[length] for own in some if own[length]).pop()
            laid.setdefault(place, []).append((frame.id, rail))

    for (g, batch), variable in master.frames.items():
        for _ in range(found.values[variable] if model.groups[g].link == "batch" else 0):
            lay(g, [places[batch]])
    for g, group in enumerate(model.groups):
        for _ in group.frames if group.link == "free" else ():
            lay(g, places)
    return laid

"""Between laid-out rails and the choice of columns, both ways."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from planner.model.profile_model import Counts, Model, Way
from planner.model.rows import Rows
from planner.model.subproblem import Chosen
from planner.score import Laid
from planner.sorting import by_age

__all__ = ["chosen_of", "laid_of"]

Ints = npt.NDArray[np.int64]
# By length the stretches that a rail of it is cut from.
Places = dict[int, list[tuple[str, int]]]


def chosen_of(rows: Rows, laid: Laid) -> Chosen:
    """The columns and extras of rails laid out by hand."""
    model = rows.model
    owner = {name: t for t, kind in enumerate(model.types) for name in kind.pieces}
    group_of = {name: g for g, group in enumerate(model.groups) for name in group.frames}
    held: dict[str, set[str]] = defaultdict(set)
    for (piece, _), rails in laid.items():
        held[piece] |= {name for name, _ in rails}
    uses: Counter[Way] = Counter()
    cut: dict[str, int] = {}
    for piece in sorted(held):
        kind, parts = owner[piece], _parts(model, piece, owner[piece], laid)
        cut |= dict.fromkeys(held[piece], kind)
        bundles = Counter(group_of[name] for name in held[piece])
        whole = tuple(bundles[g] for g in model.bundles)
        loose = np.sum(parts, axis=0) - np.array(whole, int) @ model.contents[len(model.lengths) :]
        key = kind, (*loose.tolist(), *whole)
        uses[key] += 1
        if len(parts) > 1:
            model.told(key, parts)
    return Chosen(dict(uses), _extras(rows, uses, cut, group_of))


def _parts(model: Model, piece: str, kind: int, laid: Laid) -> tuple[Counts, ...]:
    """Rails by length on each stretch of a piece."""
    frames = {f.id: f for f in model.problem.frames}
    found = []
    for number in range(len(model.types[kind].stretches)):
        rails = laid.get((piece, number), ())
        held = Counter(model.length_of(frames[name], rail) for name, rail in rails)
        found.append(tuple(held[i] for i in range(len(model.lengths))))
    return tuple(found)


def _extras(
    rows: Rows,
    uses: Mapping[Way, int],
    cut: Mapping[str, int],
    group_of: Mapping[str, int],
) -> Ints:
    """The extras that go with uses of columns and frames cut, each from a type of piece."""
    model, extras = rows.model, np.zeros(len(rows.most), np.int64)
    for name, kind in cut.items():
        tied = model.groups[group_of[name]].link == "batch"
        extras[rows.frames[group_of[name], model.types[kind].batch if tied else ""]] += 1
    made = rows.extras @ extras
    for (kind, counts), times in uses.items():
        made[rows.item_rows(int(rows.batch_of[kind]))] += times * np.array(counts)
    # What a batch yields beyond the frames tied to it goes to frames tied to nothing.
    for (length, batch), extra in rows.spares.items():
        extras[extra] = made[length * len(rows.batches) + batch]
    return extras


def laid_of(rows: Rows, chosen: Chosen) -> Laid:
    """Which rail of which frame lies on which stretch, for these uses of columns."""
    model, laid = rows.model, Laid()
    frames = {f.id: f for f in model.problem.frames}
    names = [iter(group.frames) for group in model.groups]
    pieces = [iter(kind.pieces) for kind in model.types]

    def lay(group: int, places: Sequence[Places]) -> None:
        frame = frames[next(names[group])]
        for rail in range(len(frame.rails)):
            length = model.length_of(frame, rail)
            place = next(some[length] for some in places if some[length]).pop(0)
            laid.setdefault(place, []).append((frame.id, rail))

    spare: dict[str, Places] = {batch: defaultdict(list) for batch in rows.batches}
    for (t, counts), times in sorted(chosen.uses.items()):
        for _ in range(times):
            slots = _slots(rows, (t, counts), next(pieces[t]))
            for g, count in zip(model.bundles, counts[len(model.lengths) :], strict=True):
                for _ in range(count):
                    lay(g, [slots])
            for length, places in slots.items():
                spare[model.types[t].batch][length] += places
    ages = {p.id: by_age(p) for p in model.problem.pieces}
    for places in (places for some in spare.values() for places in some.values()):
        places.sort(key=lambda place: (ages[place[0]], place[1]))
    # Frames tied to nothing take what is left, so they come last.
    for link in ("batch", "free"):
        for (g, batch), extra in rows.frames.items():
            if model.groups[g].link == link:
                for _ in range(chosen.extras[extra]):
                    lay(g, [spare[batch]] if batch in spare else [*spare.values()])
    return laid


def _slots(rows: Rows, way: Way, piece: str) -> Places:
    """The places on a piece for rails of each length."""
    slots: Places = defaultdict(list)
    for number, part in enumerate(rows.model.parts(way)):
        for length, times in enumerate(part):
            slots[length] += [(piece, number)] * times
    return slots

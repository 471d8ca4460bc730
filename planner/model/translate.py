"""Between laid-out rails and the choice of columns, both ways."""

from collections import Counter, defaultdict
from collections.abc import Iterator

import numpy as np

from planner.model.pool import Pool
from planner.model.rows import Rows
from planner.model.subproblem import Chosen, Counts
from planner.score import Laid
from planner.sorting import by_age
from planner.stretches import stretches

__all__ = ["chosen_of", "laid_of"]

Place = tuple[str, int]


def chosen_of(rows: Rows, laid: Laid) -> Chosen:
    """The columns and extras of rails laid out by hand."""
    model = rows.model
    owner = {name: t for t, kind in enumerate(model.types) for name in kind.pieces}
    group_of = {name: g for g, group in enumerate(model.groups) for name in group.frames}
    frames = {f.id: f for f in model.problem.frames}
    loose: dict[str, Counter[int]] = defaultdict(Counter)
    whole: dict[str, set[str]] = defaultdict(set)
    batch_of: dict[str, str] = {}
    for (piece, _), rails in laid.items():
        for name, rail in rails:
            batch_of[name] = model.types[owner[piece]].batch
            if model.groups[group_of[name]].link == "piece":
                whole[piece].add(name)
            else:
                loose[piece][model.length_of(frames[name], rail)] += 1
    uses: Counter[tuple[int, Counts]] = Counter()
    splits: dict[tuple[int, Counts], tuple[Counts, ...]] = {}
    for piece in sorted(set(loose) | set(whole)):
        bundles = Counter(group_of[name] for name in whole[piece])
        counts = [loose[piece][i] for i in range(len(model.lengths))]
        key = owner[piece], (*counts, *(bundles[g] for g in model.bundles))
        uses[key] += 1
        parts = _parts(rows, piece, laid)
        if len(parts) > 1:
            splits[key] = max(splits.get(key, parts), parts, key=lambda s: _left(rows, key[0], s))
    cut: Counter[tuple[int, str]] = Counter()
    for name, batch in batch_of.items():
        g = group_of[name]
        cut[g, batch if model.groups[g].link == "batch" else ""] += 1
    return Chosen(dict(uses), extras_of(rows, uses, cut), splits)


def _parts(rows: Rows, piece: str, laid: Laid) -> tuple[Counts, ...]:
    """Rails by length on each stretch of a piece, longest stretch first."""
    model = rows.model
    frames = {f.id: f for f in model.problem.frames}
    found = []
    for number in _order(rows, piece):
        rails = laid.get((piece, number), ())
        held = Counter(model.length_of(frames[name], rail) for name, rail in rails)
        found.append(tuple(held[i] for i in range(len(model.lengths))))
    return tuple(found)


def _left(rows: Rows, kind: int, parts: tuple[Counts, ...]) -> int:
    """What is left on the stretches of a kind is worth."""
    model, total = rows.model, 0
    for stretch, counts in zip(model.types[kind].stretches, parts, strict=True):
        taken = sum(n * size for n, size in zip(counts, model.item_sizes, strict=False))
        total += model.worth_left(kind)(max(0, stretch - taken))
    return total


def _order(rows: Rows, piece: str) -> list[int]:
    """The stretches of a piece by their numbers, longest first."""
    problem = rows.model.problem
    whole = next(p for p in problem.pieces if p.id == piece)
    usable = stretches(whole, problem.rules_of(whole.profile))
    return sorted(range(len(usable)), key=lambda n: (-usable[n].length, n))


def extras_of(
    rows: Rows, uses: Counter[tuple[int, Counts]], cut: Counter[tuple[int, str]]
) -> "np.ndarray[tuple[int], np.dtype[np.int64]]":
    """The extras that go with uses of columns and frames cut."""
    model, extras = rows.model, np.zeros(len(rows.most), np.int64)
    for key, times in cut.items():
        extras[rows.frames[key]] = times
    if len(rows.batches) == 1:
        return extras
    # What a batch yields beyond the frames tied to it goes to frames tied to nothing.
    for (i, b), extra in rows.spares.items():
        batch = rows.batches[b]
        made = sum(
            n * counts[i] for (t, counts), n in uses.items() if model.types[t].batch == batch
        )
        for (g, name), times in cut.items():
            if name == batch and model.groups[g].link == "batch":
                made -= times * model.groups[g].rails[i]
        extras[extra] = made
    return extras


def laid_of(rows: Rows, pool: Pool, chosen: Chosen) -> Laid:
    """Which rail of which frame lies on which stretch, for these uses of columns."""
    model = rows.model
    spare: dict[tuple[str, int], list[Place]] = defaultdict(list)
    whole: dict[int, list[dict[int, list[Place]]]] = defaultdict(list)
    pieces = [iter(kind.pieces) for kind in model.types]
    for (t, counts), times in sorted(chosen.uses.items()):
        for _ in range(times):
            slots = _slots(rows, pool, t, counts, next(pieces[t]))
            loose, bundles = counts[: len(model.lengths)], counts[len(model.lengths) :]
            for g, count in zip(model.bundles, bundles, strict=True):
                whole[g] += [slots] * count
            for i, count in enumerate(loose):
                keep = len(slots[i]) - count
                spare[model.types[t].batch, i] += slots[i][keep:]
                slots[i] = slots[i][:keep]
    return _dealt(rows, chosen, spare, whole)


def _slots(rows: Rows, pool: Pool, kind: int, counts: Counts, piece: str) -> dict[int, list[Place]]:
    """The places on a piece for rails of each length."""
    model = rows.model
    count = len(model.lengths)
    rails = np.array(counts[:count])
    for g, times in zip(model.bundles, counts[count:], strict=True):
        rails = rails + times * np.array(model.groups[g].rails)
    split = pool.splits.get((kind, counts), (tuple(rails.tolist()),))
    slots: dict[int, list[Place]] = defaultdict(list)
    for number, part in zip(_order(rows, piece), split, strict=True):
        for i, times in enumerate(part):
            slots[i] += [(piece, number)] * times
    return slots


def _turns(
    rows: Rows, chosen: Chosen, whole: dict[int, list[dict[int, list[Place]]]]
) -> Iterator[tuple[str, str, dict[int, list[Place]] | None]]:
    """Frames to be given their rails: (frame, batch, places); "*" may take from any batch."""
    groups = rows.model.groups
    for g, group in enumerate(groups):
        names = iter(group.frames)
        if group.link == "piece":
            yield from ((next(names), "", slots) for slots in whole[g])
        elif group.link == "batch":
            for batch in group.batches:
                times = int(chosen.extras[rows.frames[g, batch]])
                yield from ((next(names), batch, None) for _ in range(times))
    # Frames tied to nothing take what is left, so they come last.
    for g, group in enumerate(groups):
        if group.link == "free":
            times = int(chosen.extras[rows.frames[g, ""]])
            yield from ((name, "*", None) for name in group.frames[:times])


def _dealt(
    rows: Rows,
    chosen: Chosen,
    spare: dict[tuple[str, int], list[Place]],
    whole: dict[int, list[dict[int, list[Place]]]],
) -> Laid:
    """Hand the rails cut to the frames, in the order of due dates and ids."""
    model, laid = rows.model, Laid()
    ages = {p.id: by_age(p) for p in model.problem.pieces}
    pools = {key: sorted(s, key=lambda p: (ages[p[0]], p[1])) for key, s in spare.items()}
    frames = {f.id: f for f in model.problem.frames}
    for name, batch, slots in _turns(rows, chosen, whole):
        names = rows.batches if batch == "*" else (batch,)
        for rail in range(len(frames[name].rails)):
            i = model.length_of(frames[name], rail)
            pool = (
                slots[i]
                if slots is not None
                else next(pools[b, i] for b in names if pools.get((b, i)))
            )
            laid.setdefault(pool.pop(0), []).append((name, rail))
    return laid

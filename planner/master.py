"""The choice among patterns as a program: sentences about pieces and frames, then rows."""

from collections import defaultdict
from dataclasses import dataclass

from planner.model import Model
from planner.patterns import Pattern
from planner.program import Aim, Program, Terms

__all__ = ["Master", "master_of"]


@dataclass(slots=True)
class Master:
    """A program with the meaning of its variables.

    ``uses[j]``: pieces cut by pattern j. ``frames[g, batch]``: frames of group g cut (from that
    batch; "" where batches don't matter). ``fetched[t]``: one variable for each piece of type t.
    """

    program: Program
    uses: list[int]
    frames: dict[tuple[int, str], int]
    fetched: list[list[int]]


def master_of(model: Model, patterns: list[Pattern], aims: str) -> Master:
    """All rows and aims for choosing among these patterns."""
    program = Program()
    uses = [program.variable(len(model.types[p.kind].pieces)) for p in patterns]
    frames = {
        (number, batch): program.variable(len(group.frames))
        for number, group in enumerate(model.groups)
        for batch in (group.batches if group.link == "batch" else ("",))
    }
    fetched = [[program.variable(1) for _ in kind.pieces] for kind in model.types]
    master = Master(program, uses, frames, fetched)
    _pieces(model, patterns, master)
    _supply(model, patterns, master)
    _groups(model, patterns, master)
    _aims(model, patterns, master, aims)
    return master


def _pieces(model: Model, patterns: list[Pattern], master: Master) -> None:
    by_type: dict[int, Terms] = defaultdict(dict)
    for use, pattern in zip(master.uses, patterns, strict=True):
        by_type[pattern.kind][use] = 1
    for number, kind in enumerate(model.types):
        # A piece cut by a pattern is fetched; no piece is cut twice.
        master.program.row({**by_type[number], **dict.fromkeys(master.fetched[number], -1)}, 0, 0)
        # Of pieces alike, the older is fetched first.
        for older, newer in zip(master.fetched[number], master.fetched[number][1:], strict=False):
            master.program.row({older: 1, newer: -1}, 0, 1)
        del kind


def _supply(model: Model, patterns: list[Pattern], master: Master) -> None:
    batches = sorted({kind.batch for kind in model.types})
    for index in range(len(model.lengths)):
        free: Terms = {}
        for number, group in enumerate(model.groups):
            if group.link == "free" and group.rails[index]:
                free[master.frames[number, ""]] = -group.rails[index]
        for batch in batches:
            # Loose rails cut from a batch serve frames tied to it, or frames tied to nothing.
            terms: Terms = {
                use: pattern.loose[index]
                for use, pattern in zip(master.uses, patterns, strict=True)
                if pattern.loose[index] and model.types[pattern.kind].batch == batch
            }
            for number, group in enumerate(model.groups):
                if group.link == "batch" and group.rails[index] and batch in group.batches:
                    terms[master.frames[number, batch]] = -group.rails[index]
            rest = master.program.variable(model.loose[index])
            master.program.row({**terms, rest: -1}, 0, 0)
            free[rest] = 1
        # Rails for frames tied to nothing: as many as those frames take, from any batch.
        master.program.row(free, 0, 0)


def _groups(model: Model, patterns: list[Pattern], master: Master) -> None:
    for order, number in enumerate(model.bundles):
        # A frame tied to one piece is cut by a pattern that holds it whole.
        terms: Terms = {
            use: pattern.bundles[order]
            for use, pattern in zip(master.uses, patterns, strict=True)
            if pattern.bundles[order]
        }
        master.program.row({**terms, master.frames[number, ""]: -1}, 0, 0)
    for number, group in enumerate(model.groups):
        # No frame is cut twice, whatever the batch.
        master.program.row(
            {v: 1 for (g, _), v in master.frames.items() if g == number}, 0, len(group.frames)
        )


def _aims(model: Model, patterns: list[Pattern], master: Master, aims: str) -> None:
    program = master.program
    for tier, count in enumerate(model.tiers):
        # As many frames as possible of the earliest due date, then of the next.
        terms = {v: 1 for (g, _), v in master.frames.items() if model.groups[g].tier == tier}
        program.aims.append(Aim(f"frames {tier}", terms, count))
    opened: Terms = {
        use: -model.types[pattern.kind].opened
        for use, pattern in zip(master.uses, patterns, strict=True)
        if model.types[pattern.kind].opened
    }
    gained = {
        use: pattern.gain
        for use, pattern in zip(master.uses, patterns, strict=True)
        if pattern.gain
    }
    if aims == "weighed":
        both = {use: opened.get(use, 0) + gained.get(use, 0) for use in {**opened, **gained}}
        program.aims.append(Aim("weighed", both))
    else:
        # Offcuts before new sticks, then what stays on the rack worth the most.
        program.aims.append(Aim("opened", opened, 0))
        program.aims.append(Aim("worth", gained))
    # The fewest pieces, and of as few the oldest: the least sum of their places in age.
    count = sum(len(kind.pieces) for kind in model.types)
    most = count * (count + 1) // 2 + 1
    program.aims.append(Aim("fetched", {
        variable: -(most + rank)
        for kind, variables in zip(model.types, master.fetched, strict=True)
        for rank, variable in zip(kind.ranks, variables, strict=True)
    }))  # fmt: skip

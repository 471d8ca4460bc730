"""Where each cut falls on a piece: trims, flaws, rails, saw losses, leftovers, in their places."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from planner.stretches import Stretch, stretches
from planner.values import Cut, Piece, Rules
from stockroom.facts import Fact
from stockroom.views.sheet import Part, Tally

__all__ = ["marks_on", "parts_of", "tally"]


def parts_of(
    piece: Piece, cuts: Sequence[Cut], rules: Rules, hold_clear: int = 0
) -> tuple[Part, ...]:
    """The parts of a piece along its back edge, from its label's end on, without gap, um."""
    by_stretch = {cut.stretch: cut for cut in cuts}
    parts: list[Part] = []
    at = turn = 0
    for number, run in enumerate(stretches(piece, rules)):
        cut = by_stretch.get(number)
        own = stretch_parts(run, cut, rules, hold_clear, turn)
        turn += len(cut.rails) if cut else 0
        parts += [*between(piece, at, run.start), *(own[::-1] if run.from_last else own)]
        at = run.end
    return tuple(in_a_row([*parts, *between(piece, at, piece.length)]))


def in_a_row(parts: Sequence[Part]) -> Iterator[Part]:
    """The parts that have any length, each where the one before it ends."""
    at = 0
    for part in parts:
        if part.length:
            yield replace(part, start=at)
            at += part.length


def between(piece: Piece, start: int, end: int) -> Iterator[Part]:
    """What lies between two stretches: flaws, and runs too short to yield anything."""
    at = start
    for first, last in sorted(piece.flaws):
        if at < last and first < end:
            yield Part("scrap", at, max(0, first - at))
            yield Part("flaw", at, last - max(first, at))
            at = last
    yield Part("scrap", at, max(0, end - at))


def stretch_parts(
    run: Stretch, cut: Cut | None, rules: Rules, hold_clear: int, turn: int
) -> list[Part]:
    """The parts of one stretch as it is cut: trim, rails each with its saw loss, what is left."""
    lengths = [rail.length for rail in cut.rails] if cut else []
    lost = run.lost(lengths)
    left, clear = run.leftover(lengths)
    parts, saw = [Part("trim", 0, lost.trim)], lost.saw
    parts.append(Part("scrap", 0, run.lead if lengths else 0))
    for number, rail in enumerate(cut.rails if cut else (), turn + 1):
        parts.append(Part("rail", 0, rail.length, rail.frame, rail.rail,
                          rail.length < hold_clear, number, run.from_last))  # fmt: skip
        parts.append(Part("saw", 0, min(saw, rules.cut_allowance)))
        saw -= parts[-1].length
        if number - turn < len(lengths):
            parts.append(Part("scrap", 0, run.gap(rail.length)))
    kept = cut.kept if cut else clear >= max(1, rules.keep)
    return [*parts, Part("leftover" if kept else "scrap", 0, left),
            Part("scrap", 0, lost.scrap), Part("trim", 0, lost.far_trim)]  # fmt: skip


def marks_on(piece: Piece, rules: Rules) -> tuple[Fact, ...]:
    """What is to be known of a piece at the saw beside its flaws."""
    kept = Fact("mark_second" if piece.kept_for == "seconds" else "mark_own")
    return (
        *(Fact("mark_bowed", {"longest_um": um}) for um in [piece.longest] if um is not None),
        *[kept] * bool(piece.kept_for),
        *(Fact("mark_motif", {"motif_um": um}) for um in [piece.motif] if um is not None),
        *[Fact("mark_repeat")] * bool(rules.repeat),
    )


def tally(pieces: Mapping[str, Piece], cuts: Sequence[Cut], rules: Mapping[str, Rules]) -> Tally:
    """What a plan takes, in counts and micrometres."""
    used = {cut.piece: pieces[cut.piece] for cut in cuts if cut.rails}
    sticks = [piece.length for piece in used.values() if piece.kind == "stick"]
    offcuts = [piece.length for piece in used.values() if piece.kind == "offcut"]
    parts = [
        part
        for number, piece in used.items()
        for part in parts_of(
            piece, [cut for cut in cuts if cut.piece == number], rules[piece.profile]
        )
    ]
    sums = {kind: sum(part.length for part in parts if part.kind == kind)
            for kind in ("rail", "saw", "leftover", "scrap", "trim", "flaw")}  # fmt: skip
    rails = [rail for cut in cuts for rail in cut.rails]
    return Tally(
        frames=len({rail.frame for rail in rails}), rails=len(rails), pieces=len(used),
        sticks=len(sticks), offcuts=len(offcuts), stick_length=sum(sticks),
        offcut_length=sum(offcuts), rail_length=sums["rail"], saw=sums["saw"],
        scrap=sums["scrap"] + sums["trim"] + sums["flaw"], leftover=sums["leftover"],
        kept=sum(part.kind == "leftover" for part in parts),
    )  # fmt: skip

"""Where each cut falls on a piece: trims, flaws, rails, saw losses and leftovers, left to right."""

from collections.abc import Mapping, Sequence

from planner.values import Cut, Piece, Rules, stretches
from stockroom.views.sheet import Part, Tally

__all__ = ["parts_of", "saw_loss", "tally"]


def parts_of(
    piece: Piece, cuts: Sequence[Cut], rules: Rules, hold_clear: int = 0
) -> tuple[Part, ...]:
    """The parts of a piece along its back edge, without gap or overlap, micrometres."""
    by_stretch = {cut.stretch: cut for cut in cuts}
    parts: list[Part] = []
    at = 0
    for number, stretch in enumerate(stretches(piece, rules)):
        parts += between(piece, rules, at, stretch.start)
        parts += stretch_parts(stretch.start, stretch.length, by_stretch.get(number), rules,
                               hold_clear)  # fmt: skip
        at = stretch.end
    return tuple(part for part in parts + between(piece, rules, at, piece.length) if part.length)


def between(piece: Piece, rules: Rules, start: int, end: int) -> list[Part]:
    """What lies between two stretches: end trims of a stick, and flaws."""
    trim = rules.end_trim if piece.kind == "stick" else 0
    left = min(max(trim, start), end)
    right = max(min(piece.length - trim, end), left)
    return [
        Part("trim", start, left - start),
        Part("flaw", left, right - left),
        Part("trim", right, end - right),
    ]


def stretch_parts(
    start: int, length: int, cut: Cut | None, rules: Rules, hold_clear: int
) -> list[Part]:
    """The parts of one stretch: rails, each with its saw loss, then what is left."""
    parts: list[Part] = []
    at, end = start, start + length
    for rail in cut.rails if cut else ():
        parts.append(Part("rail", at, rail.length, rail.frame, rail.rail, rail.length < hold_clear))
        at += rail.length
        loss = min(rules.cut_allowance, end - at)
        parts.append(Part("saw", at, loss))
        at += loss
    kept = cut.kept if cut else length >= rules.keep
    parts.append(Part("leftover" if kept else "scrap", at, end - at))
    return parts


def saw_loss(length: int, rails: Sequence[int], allowance: int) -> int:
    """What the cuts of these rails take from a stretch, micrometres: the last may run off it."""
    return min(len(rails) * allowance, max(0, length - sum(rails)))


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

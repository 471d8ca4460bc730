"""A plan laid out for the bench: every piece to cut as a row of parts, in plain values.

Screens and paper draw from these alone; they know no database and no planner.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from planner.values import Reason
from stockroom.facts import Fact
from stockroom.frame.shapes import MITRED, Angles, beyond_ends
from stockroom.frame.sizes import Stop
from stockroom.units.lengths import Micrometres

__all__ = ["Because", "Part", "PartKind", "Sheet", "SheetFrame", "SheetPiece", "Tally"]

TOO_SHORT_UM = 25_000
"""An inch: no clamp or jig holds less beside a blade (common practice)."""
Because = tuple[str, Sequence[Reason]]
PartKind = Literal["trim", "flaw", "rail", "saw", "leftover", "scrap"]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a piece along its back edge, from ``start`` for ``length`` micrometres.

    A rail carries its frame's label (such as ``J12`` or ``J12.2``), its number from 0, and
    ``hard_to_hold`` where it is too short to be held clear of a blade, its ``turn`` at the saw,
    from 1, ``far`` where it is cut from the other end on, towards the label, and the ``angles`` of
    its ends, from square. ``leftover`` goes back to the rack, ``scrap`` does not.
    """

    kind: PartKind
    start: int
    length: Micrometres
    frame: str = ""
    rail: int = -1
    hard_to_hold: bool = False
    turn: int = 0
    far: bool = False
    angles: Angles = MITRED


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """A piece to fetch: where it is, and its parts from its label's end on, drawn left to right,
    without gap or overlap.

    ``machine`` cuts it (nothing said where the shop has but one) and its ``stop`` reads that
    measure of a rail; ``beyond`` is how much longer the long point of a frame's rail is than inside
    and than sight.
    Rails below ``shortest`` want a clamp or jig there. The frames of ``round`` lie on it in the
    order in which they are joined. ``marks`` are what else is to be known of it. Micrometres.
    """

    number: int
    profile: str
    batch: str
    kind: Literal["stick", "offcut"]
    spot: str
    length: Micrometres
    parts: tuple[Part, ...]
    why_opened: Reason | None = None
    machine: str = ""
    stop: Stop = "long point"
    beyond: tuple[int, int] = (0, 0)
    shortest: Micrometres = 150_000
    tight: bool = False
    round: tuple[str, ...] = ()
    marks: tuple[Fact, ...] = ()

    def __post_init__(self) -> None:
        at = 0
        for part in self.parts:
            if part.start != at or part.length < 0:
                raise ValueError(f"piece {self.number}: a part at {part.start}, expected {at}")
            at += part.length
        if at != self.length:
            raise ValueError(f"piece {self.number}: parts add up to {at}, not {self.length}")

    @property
    def rails(self) -> tuple[Part, ...]:
        """The rails in the order in which they are cut."""
        rails = (part for part in self.parts if part.kind == "rail")
        return tuple(sorted(rails, key=lambda rail: rail.turn))

    @property
    def backwards(self) -> tuple[Part, ...]:
        """The rails that are cut from the other end on, towards the label."""
        return tuple(rail for rail in self.rails if rail.far)

    def measures(self, rail: Part) -> tuple[tuple[str, int], ...]:
        """A rail's long point, inside and sight by name, first what the machine's stop reads.

        A float shows its whole opening: its sight is its inside.
        """
        inside, sight = (beyond_ends(both // 2, rail.angles) for both in self.beyond)
        every = {"long point": rail.length}
        if inside:
            every["inside"] = rail.length - inside
        if sight != inside:
            every["sight"] = rail.length - sight
        first = self.stop if self.stop in every else [*every][-1]
        return tuple(sorted(every.items(), key=lambda one: one[0] != first))

    def too_short(self, rail: Part) -> bool:
        """Whether a rail cannot be cut by hand or in a jig: its mitres meet, or hold nothing."""
        return rail.length <= max(TOO_SHORT_UM, beyond_ends(self.beyond[1] // 2, rail.angles))

    def total(self, kind: PartKind) -> int:
        """The length of all parts of a kind, micrometres."""
        return sum(part.length for part in self.parts if part.kind == kind)


@dataclass(frozen=True, slots=True)
class SheetFrame:
    """A frame on the sheet: its label, whose it is, when it is due and to be cut by, its two rail
    lengths, or all its rails where it has others."""

    label: str
    customer: str
    title: str
    profile: str
    due: date
    across: Micrometres
    upright: Micrometres
    cut_by: date | None = None
    rails: tuple[Micrometres, ...] = ()


@dataclass(frozen=True, slots=True)
class Tally:
    """What a plan takes: frames, pieces fetched, sticks opened, and lengths in micrometres."""

    frames: int = 0
    rails: int = 0
    pieces: int = 0
    sticks: int = 0
    offcuts: int = 0
    stick_length: Micrometres = 0
    offcut_length: int = 0
    rail_length: int = 0
    saw: int = 0
    scrap: int = 0
    leftover: Micrometres = 0
    kept: int = 0


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole plan for the bench.

    ``pieces`` are in the order of the walk along the rack; ``short`` holds (frame label, why and
    what would cure it), ``pinned`` (frame label, what its pin costs) and
    ``matched`` (what it costs that its set is of one batch); ``hand`` is what the hand
    rule would have taken, for comparison; ``proof`` how sure it is, and what might be better.
    """

    plan: int | None
    day: date
    until: date
    shop: str
    state: str
    pieces: tuple[SheetPiece, ...]
    frames: Mapping[str, SheetFrame]
    short: Sequence[Because]
    tally: Tally
    hand: Tally | None
    proof: Sequence[Reason]
    cut_allowance: int
    seconds: float = 0.0
    pinned: Sequence[Because] = ()
    matched: Sequence[Because] = ()

    @property
    def cut_ahead(self) -> list[SheetFrame]:
        """The frames that this plan cuts although that could wait beyond its day, by due date."""
        cut = {rail.frame for piece in self.pieces for rail in piece.rails}
        early = [f for f in self.frames.values()
                 if (f.cut_by or f.due) > self.until and f.label in cut]  # fmt: skip
        return sorted(early, key=lambda frame: (frame.due, frame.label))


STATES = {"drafted": "proposed"}
"""How far a plan is, in a framer's word where that is not the record's."""


def plan_state(state: str) -> str:
    """How far a plan is, as a framer says it."""
    return STATES.get(state, state)


CAUTIONS = ("guards_on", "clamp_short_rails", "protect_eyes", "manual_first")

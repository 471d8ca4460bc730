"""The runs of a piece between its flaws: what each can yield, what its cuts lose and leave."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.values import End, Micrometres, Piece, Rules

__all__ = ["Lost", "Stretch", "stretches"]

TURN = ("cut", "square", "factory")
"""Which kind of end is cut first: a mitred one keeps the factory end for another day."""


@dataclass(frozen=True, slots=True)
class Lost:
    """What cutting a stretch loses, micrometres.

    ``trim`` goes from the end that is cut first, ``saw`` is what the blade takes; ``far_trim`` and
    ``scrap`` fall off at the far end where no usable length is left, ``motifs`` before rails that
    begin where a motif does.
    """

    trim: Micrometres
    saw: int
    scrap: int
    far_trim: int
    motifs: Micrometres = 0


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of a piece free of flaws: ``start`` to ``end`` from the piece's first end.

    ``ends`` are the kinds of its two ends, cut where it ends at a flaw; each factory end wants the
    trim of ``rules``, and ``margin`` is kept back. It is cut from a mitred end first, then from a
    square one, and from its first end where both are alike. ``motif`` is where some motif of its
    ornament begins, from the piece's first end.
    """

    start: int
    end: int
    ends: tuple[End, ...]
    rules: Rules
    margin: Micrometres = 0
    motif: Micrometres | None = None

    @property
    def trim(self) -> int:
        """What a factory end loses when it is cut from."""
        return self.rules.end_trim

    @property
    def tape(self) -> int:
        """What the tape says of it, from end to end."""
        return self.end - self.start

    @property
    def clear(self) -> int:
        """What the tape says less what its ends still lose: keeping and worth go by it."""
        trims = self.rules.end_trim * self.ends.count("factory")
        return self.end - self.start - trims - (self.lead if self.rules.repeat else 0)

    @property
    def length(self) -> int:
        """Usable length."""
        return self.clear - self.margin

    @property
    def from_last(self) -> bool:
        """True where it is cut from its last end on."""
        return TURN.index(self.ends[1]) < TURN.index(self.ends[0])

    @property
    def first_trim(self) -> int:
        """What the end that is cut first loses: nothing unless both are factory ends."""
        return self.trim if self.ends.count("factory") == 2 else 0

    @property
    def lead(self) -> int:
        """What lies before its first motif: as much as an ornament's repeat where nobody knows.

        So it is where it is cut from its last end on, since a rail begins at its motif.
        """
        if not self.rules.repeat or self.motif is None or self.from_last:
            return self.rules.repeat
        return (self.motif - self.start - self.first_trim) % self.rules.repeat

    @property
    def far_trim(self) -> int:
        """What the far end still wants after the cuts."""
        return self.trim if "factory" in self.ends else 0

    def usable_left(self, rails: Sequence[Micrometres]) -> int:
        """Usable length after these rails: the last cut needs nothing where it runs off the end."""
        return max(0, self.length - sum(map(self.rules.taken, rails)))

    def left_motif(self, rails: Sequence[Micrometres]) -> Micrometres | None:
        """Where the first motif of what is left begins, from the end that is cut next."""
        if self.from_last or not self.rules.repeat:
            return None
        if rails:
            return self.gap(rails[-1])
        return None if self.motif is None else (self.motif - self.start) % self.rules.repeat

    def gap(self, rail: Micrometres) -> int:
        """From a rail's cut to the next motif."""
        return self.rules.taken(rail) - rail - self.rules.cut_allowance

    def leftover(self, rails: Sequence[Micrometres]) -> tuple[int, int]:
        """What these rails leave: what the tape says of it, and what of that is clear.

        Nothing where no usable length is left; all of the stretch where no rail is cut.
        """
        if not rails:
            return self.tape, self.clear
        usable = self.usable_left(rails)
        clear = usable + self.margin if usable else 0
        return clear + self.far_trim + self.gap(rails[-1]) if usable else 0, clear

    def left_ends(self, rails: Sequence[Micrometres]) -> tuple[End, ...]:
        """The kinds of the leftover's ends, first the one that is cut next: its label is there."""
        first, far = self.ends[::-1] if self.from_last else self.ends
        return "cut" if rails else first, far

    def lost(self, rails: Sequence[Micrometres]) -> Lost:
        """What these rails lose, so that with them and the leftover all of the stretch is there."""
        if not rails:
            return Lost(0, 0, 0, 0)
        room = self.tape - self.first_trim - sum(rails)
        motifs = min(room, self.lead + sum(map(self.gap, rails[:-1])))
        saw = min(room - motifs, len(rails) * self.rules.cut_allowance)
        rest = room - saw - motifs - self.leftover(rails)[0]
        far = min(rest, self.far_trim)
        return Lost(self.first_trim, saw, rest - far, far, motifs)


def stretches(piece: Piece, rules: Rules) -> tuple[Stretch, ...]:
    """The stretches of a piece from its first end on; those of no usable length are left out."""
    margin = rules.margin if piece.kind == "offcut" else 0
    at, begins, found = 0, piece.ends[0], list[Stretch]()
    for start, end in sorted(piece.flaws):
        if start > at:
            found.append(Stretch(at, start, (begins, "cut"), rules, margin, piece.motif))
        if end > at:
            at, begins = end, "cut"
    if piece.length > at:
        ends = (begins, piece.ends[1])
        found.append(Stretch(at, piece.length, ends, rules, margin, piece.motif))
    return tuple(stretch for stretch in found if stretch.length > 0)

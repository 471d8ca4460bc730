"""What the planner is asked and what it answers, as frozen values that refuse nonsense when made.

Every length is a whole number of micrometres; no float touches one. A value that breaks a rule
raises ``ValueError`` with what was given. Values pickle, so a problem can be sent to any process.
How each is called and told in JSON follows from its field's name and type (``io/schema``).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Literal, TypeAlias

__all__ = [
    "Aims",
    "Cut",
    "End",
    "Frame",
    "Limits",
    "Micrometres",
    "Piece",
    "Plan",
    "Problem",
    "RailCut",
    "Reason",
    "Rules",
    "Score",
    "Short",
    "Unsaid",
]

Micrometres: TypeAlias = Annotated[int, "micrometres"]
Unsaid: TypeAlias = Annotated[str, "or nothing"]
Kind = Literal["stick", "offcut"]
End = Literal["factory", "cut", "square"]
Aims = Literal["ordered", "weighed"]
Proof = Literal["optimal", "feasible"]
Told = int | str | tuple[str, ...]
Curve = tuple[tuple[Micrometres, Micrometres], ...]
MOST_RAILS = 1000
"""Rails of one frame at most: no frame has as many."""


@dataclass(frozen=True, slots=True)
class Rules:
    """How the saw eats length: all in micrometres.

    ``cut_allowance`` is lost at each rail end cut, ``end_trim`` at each factory end that is cut
    from, ``keep`` is the shortest leftover, clear of trims, that goes back to the rack, ``margin``
    is kept back on each stretch of an offcut, since a tape is no caliper. An ornament comes again
    every ``repeat``, 0 where there is none: each rail then begins where a motif does.
    """

    cut_allowance: Micrometres
    end_trim: Micrometres
    keep: Micrometres
    margin: Micrometres = 0
    repeat: Micrometres = 0

    def __post_init__(self) -> None:
        for name in ("cut_allowance", "end_trim", "keep", "margin", "repeat"):
            if getattr(self, name) < 0:
                raise ValueError(f"{name} is {getattr(self, name)} um; it cannot be negative")

    def taken(self, rail: Micrometres) -> Micrometres:
        """What a rail takes of a run: itself and its cut, and what is left of the last motif."""
        cut = rail + self.cut_allowance
        return -(-cut // self.repeat) * self.repeat if self.repeat else cut


@dataclass(frozen=True, slots=True)
class Piece:
    """One stick or offcut on the rack; flaws are (start, end) from its first end, micrometres.

    ``ends`` are the kinds of its first end and its last: a factory end wants its trim before
    anything is cut from it, a cut one is mitred (its length is along the back edge). Not told, both
    of a stick are factory and both of an offcut cut. A batch that is not known ("") is no batch:
    the piece gets one of its own, which no other has. A bowed piece gives rails up to ``longest``
    alone. One that is ``kept_for`` something (a client's own, seconds) gives rails to frames that
    take it. ``motif`` is where the first motif of an ornament begins, None if nobody knows.
    """

    id: str
    profile: str
    batch: Unsaid
    kind: Kind
    length: Micrometres
    since: date | None = None
    flaws: tuple[tuple[Micrometres, Micrometres], ...] = ()
    ends: tuple[End, ...] = ()
    longest: Micrometres | None = None
    kept_for: Unsaid = ""
    motif: Micrometres | None = None

    def __post_init__(self) -> None:
        if not self.batch:
            object.__setattr__(self, "batch", f"?{self.id}")
        if not self.ends:
            implied: End = "factory" if self.kind == "stick" else "cut"
            object.__setattr__(self, "ends", (implied, implied))
        elif len(self.ends) != 2 or not set(self.ends) <= {"factory", "cut", "square"}:
            raise ValueError(
                f"piece {self.id}: its ends are {self.ends}; they are two of 'factory', 'cut' and "
                "'square'"
            )
        if self.kind not in ("stick", "offcut"):
            raise ValueError(f"piece {self.id}: kind is {self.kind!r}; it is 'stick' or 'offcut'")
        if self.length <= 0:
            raise ValueError(f"piece {self.id}: length is {self.length} um; it must be positive")
        for start, end in self.flaws:
            if not 0 <= start < end <= self.length:
                raise ValueError(
                    f"piece {self.id}: flaw {start}..{end} um is not inside its {self.length} um"
                )
        if self.longest is not None and self.longest <= 0:
            raise ValueError(
                f"piece {self.id}: its longest rail is {self.longest} um; it must be positive"
            )
        if self.motif is not None and not 0 <= self.motif <= self.length:
            raise ValueError(
                f"piece {self.id}: its first motif is at {self.motif} um, it has {self.length} um"
            )

    def serves(self, frame: "Frame") -> bool:
        """A frame may come from this piece by what both are tied to: pin, batch, what it takes."""
        tied = frame.pin in (None, self.id) and frame.batch in (None, self.batch)
        return tied and self.kept_for in frame.takes

    def gives(self, rail: Micrometres) -> bool:
        """It is straight enough for a rail of this length."""
        return self.longest is None or rail <= self.longest


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame still to be cut: the long-point lengths of its rails, micrometres.

    Four rails come as two equal pairs (0 = 2, 1 = 3) unless ``pairs`` is off: a strainer that
    still wants two rails and two bars has none. Any other number is allowed: a frame that waits for
    one rail after a miscut asks for that rail alone, with ``batch`` naming the batch it has to
    match.

    Frames of one ``link``, of any profiles, are cut all or none and count as due with the earliest
    of them; those among them of one profile that ask for ``one_batch`` share it. ``stands_for`` is
    how many frames it counts as: the planner's own, where it makes one of several. ``takes`` names
    what its pieces may be kept for: "" stands for those kept for nothing.
    """

    id: str
    profile: str
    rails: tuple[Micrometres, ...]
    due: date | None = None
    one_batch: bool = False
    one_piece: bool = False
    pin: str | None = None
    batch: str | None = None
    link: str | None = None
    stands_for: int = 1
    pairs: bool = True
    takes: tuple[Unsaid, ...] = ("",)

    def __post_init__(self) -> None:
        if not self.rails:
            raise ValueError(f"frame {self.id}: it has no rails")
        if len(self.rails) > MOST_RAILS * self.stands_for:
            raise ValueError(f"frame {self.id}: {len(self.rails)} rails; at most {MOST_RAILS}")
        for length in self.rails:
            if length <= 0:
                raise ValueError(f"frame {self.id}: a rail is {length} um; it must be positive")
        pairs = self.pairs and len(self.rails) == 4 and self.stands_for == 1
        if pairs and self.rails[:2] != self.rails[2:]:
            raise ValueError(f"frame {self.id}: opposite rails differ: {self.rails} um")


@dataclass(frozen=True, slots=True)
class Limits:
    """When to stop: ``seconds`` for the whole plan; how many ``workers`` may plan its profiles
    side by side, each a process, where that is quicker."""

    seconds: float = 10.0
    workers: int = 1

    def __post_init__(self) -> None:
        if not self.seconds > 0:
            raise ValueError(f"limits: {self.seconds} seconds; it must be positive")
        if self.workers < 1:
            raise ValueError(f"limits: {self.workers} workers; at least 1 is needed")


@dataclass(frozen=True, slots=True)
class Problem:
    """Today's frames, the rack, and the rules.

    ``profile_rules`` replaces ``rules`` for the profiles it names. ``worth`` gives, per profile,
    rising points (length, worth) in micrometres; a profile without any has the default curve.
    """

    rules: Rules
    pieces: tuple[Piece, ...]
    frames: tuple[Frame, ...]
    profile_rules: Mapping[str, Rules] = field(default_factory=dict)
    worth: Mapping[str, Curve] = field(default_factory=dict)
    aims: Aims = "ordered"
    limits: Limits = field(default_factory=Limits)

    def rules_of(self, profile: str) -> Rules:
        """The rules that hold for this profile."""
        return self.profile_rules.get(profile, self.rules)


@dataclass(frozen=True, slots=True)
class RailCut:
    """One rail to cut: which rail of which frame, and its long-point length, micrometres."""

    frame: str
    rail: int
    length: Micrometres


@dataclass(frozen=True, slots=True)
class Cut:
    """What is cut from one stretch of a piece, in order, and what it leaves.

    A used piece has a ``Cut`` for each of its stretches, an untouched stretch one without rails,
    so that the leftovers of a plan are all there. ``leftover`` is what the tape says; ``kept``
    says whether it goes back to the rack (clear of trims it is at least the keep length).
    """

    piece: str
    stretch: int
    rails: tuple[RailCut, ...]
    leftover: Micrometres
    kept: bool


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is so: a code, and what it is about by name; who shows it finds the words.

    What is named ``..._um`` is a length in micrometres.
    """

    code: str
    about: Mapping[str, Told] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Short:
    """A frame that this plan does not cut, why, and what would cure it."""

    frame: str
    why: Reason
    cure: Reason | None = None


@dataclass(frozen=True, slots=True)
class Score:
    """The first three aims of a plan: frames cut, stick length opened, worth gained (um)."""

    frames_cut: int
    stick_opened: Micrometres
    worth: Micrometres


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer: cuts, frames left out, what was reached, what is proven possible at best.

    ``proof`` is ``"optimal"`` only where ``reached`` meets ``bounds`` in all three aims.
    ``why_opened`` names, for each stick opened, the reason; ``why_pinned``, for each pinned frame,
    what its pin costs; ``why_matched``, for each link whose frames share a batch and are cut, what
    that costs in stick.
    """

    cuts: tuple[Cut, ...]
    short: tuple[Short, ...]
    reached: Score
    bounds: Score
    proof: Proof
    seconds: float
    why_opened: Mapping[str, Reason] = field(default_factory=dict)
    why_pinned: Mapping[str, Reason] = field(default_factory=dict)
    why_matched: Mapping[str, Reason] = field(default_factory=dict)

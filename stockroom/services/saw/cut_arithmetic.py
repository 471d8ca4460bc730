"""The arithmetic of a cut: what a report from the saw means in lines of the ledger."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Protocol

from planner.stretches import Stretch, stretches
from planner.values import End, Rules
from stockroom.record.ledger import Flow, RackPiece
from stockroom.refusals import Refused
from stockroom.services.planning import planner_piece
from stockroom.units.lengths import Micrometres

__all__ = ["CutOff", "Left", "Reckoned", "SawReport", "reckon"]

SLIP_UM = 3_000
"""What a cut may take beyond three times its allowance before the rest is named a difference."""


@dataclass(frozen=True, slots=True)
class SawReport:
    """What happened to one piece of a plan.

    ``instead`` is the piece that was taken in its place. ``miscut`` and ``uncut`` name rails by
    their position on the piece, from 1; ``remains`` are the long points (um) of miscut rails, 0
    where one is scrap. Those miscut that are in ``again`` were cut once more, well, from the same
    piece. ``leftovers`` are as measured along the
    back edge (um),
    one for each stretch from the label's end on; None means as planned. ``flaws`` were found on the
    one leftover that goes back, from its fresh cut, where its label goes. ``spot`` is where
    the new offcuts go.
    """

    plan: int
    piece: int
    instead: int | None = None
    miscut: frozenset[int] = frozenset()
    uncut: frozenset[int] = frozenset()
    again: frozenset[int] = frozenset()
    remains: Mapping[int, int] = field(default_factory=dict)
    leftovers: tuple[int, ...] | None = None
    flaws: tuple[tuple[int, int], ...] = ()
    spot: str = ""
    why: str = ""
    cut_at: datetime | None = None

    def __post_init__(self) -> None:
        if both := self.miscut & self.uncut:
            raise Refused("rail_miscut_and_uncut", rail=min(both), piece=self.piece)
        if whole := self.again - self.miscut:
            raise Refused("rail_not_miscut", rail=min(whole), piece=self.piece)
        if min((*(self.leftovers or ()), *self.remains.values()), default=0) < 0:
            raise Refused("leftover_below_nothing")

    @property
    def wanting(self) -> frozenset[int]:
        """The rails that are still to be cut, by their positions."""
        return (self.miscut - self.again) | self.uncut

    def through_saw(self, position: int, planned: int) -> int:
        """The length that went through the saw as the rail of a position, um."""
        return self.remains.get(position) or planned

    @property
    def moment(self) -> dict[str, str]:
        """When it was cut, for the entry's detail: the entry's own time is that of writing."""
        if self.cut_at is None:
            return {}
        return {"cut_at": self.cut_at.astimezone(UTC).isoformat(timespec="seconds")}


class CutOff(Protocol):
    """A length cut from a stretch of a piece; a rail's is its frame's."""

    length_um: int
    stretch: int
    frame_id: int
    rail: int


@dataclass(frozen=True, slots=True)
class Left:
    """What a stretch leaves: by the tape, clear of what its ends lose; its ends, its motif."""

    length: Micrometres
    clear: Micrometres
    ends: tuple[End, ...]
    motif: Micrometres | None = None


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A cut in lines of the ledger but for its leftovers, those, and the detail that is kept.

    ``spoilt`` are the miscut rails that are in hand, by their positions; they need a place as well.
    """

    flows: list[Flow]
    lefts: tuple[Left, ...]
    spoilt: dict[int, Flow]
    detail: dict[str, Any]


def reckon(report: SawReport, piece: RackPiece, rails: Sequence[CutOff], rules: Rules) -> Reckoned:
    """What a report from the saw comes to: a trim is lost where its end was cut, and not before."""
    asked = planner_piece(piece)
    runs, allowance = stretches(asked, rules), rules.cut_allowance
    cut = cut_by_stretch(report, rails, len(runs))
    planned = [run.leftover(lengths)[0]
               for run, lengths in zip(runs, cut, strict=True)]  # fmt: skip
    leftovers = list(report.leftovers) if report.leftovers is not None else planned
    check_leftovers(report, piece, runs, cut, leftovers)
    lost = [run.lost(lengths) for run, lengths in zip(runs, cut, strict=True)]
    # What falls off at the far end does so only where nothing is left there.
    off = [one for one, left in zip(lost, leftovers, strict=True) if not left]
    trim = sum(one.trim for one in lost) + sum(one.far_trim for one in off)
    flaw = sum(end - start for start, end in joined(piece.flaws))
    short = piece.length - flaw - sum(run.tape for run in runs) + sum(one.scrap for one in off)
    rest = piece.length - trim - flaw - short - sum(map(sum, cut)) - sum(leftovers)
    count = sum(map(len, cut))
    # Rails that begin at a motif lose what lies before it, if it is not there after all.
    motifs = max(0, min(sum(one.motifs for one in lost), rest - sum(one.saw for one in lost)))
    rest -= motifs
    saw = min(max(rest, 0), 3 * sum(one.saw for one in lost) + SLIP_UM * count)
    at = (piece.profile, piece.batch)
    flows = fixed_flows(report, piece, rails, {
        "end trim": trim, "flaw": flaw, "short end": short, "ornament": motifs,
    })  # fmt: skip
    flows.append(Flow("saw", saw, *at))
    if rest != saw:
        place = "missing" if rest > saw else "found"
        flows.append(Flow(place, rest - saw, *at, cause="measured at the saw"))
    detail = {
        "planned_um": planned, "measured_um": leftovers, "rails": count,
        "allowance_um": allowance, "difference_um": rest - saw, "trim_um": trim,
        "was_measured": int(report.leftovers is not None),
    }  # fmt: skip
    spoilt = spoilt_rails(report, piece, rails, allowance)
    flows += [Flow("scrap", rail.length_um - spoilt[position].length, *at, cause="miscut")
              for position, rail in enumerate(rails, 1)
              if position in spoilt and position not in report.remains]  # fmt: skip
    return Reckoned(flows, tuple(lefts_of(runs, cut, leftovers)), spoilt, detail)


def spoilt_rails(
    report: SawReport, piece: RackPiece, rails: Sequence[CutOff], allowance: Micrometres
) -> dict[int, Flow]:
    """The miscut rails in hand, by their positions, each as long as the longest rail it can give.

    One that nobody measured is taken to give what it was meant to be less the cut of a bad end.
    """
    found: dict[int, Flow] = {}
    for position in sorted(report.miscut):
        planned = rails[position - 1].length_um
        length = report.remains.get(position, max(1, planned - allowance))
        if length:
            found[position] = Flow("rails", length, piece.profile, piece.batch)
    return found


def lefts_of(
    runs: Sequence[Stretch], cut: Sequence[Sequence[int]], leftovers: Sequence[int]
) -> Iterator[Left]:
    """What each stretch leaves, as it is racked."""
    for run, lengths, left in zip(runs, cut, leftovers, strict=True):
        ends, motif = run.left_ends(lengths), run.left_motif(lengths)
        lead = run.rules.repeat if motif is None else motif
        yield Left(left, left - run.trim * ends.count("factory") - lead, ends, motif)


def joined(flaws: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Flaws from the label's end on, without what overlaps."""
    at = 0
    for start, end in sorted(flaws):
        if end > at:
            yield max(start, at), end
            at = end


def cut_by_stretch(report: SawReport, rails: Sequence[CutOff], count: int) -> list[list[int]]:
    """The lengths that went through the saw, miscut ones too, stretch by stretch."""
    cut: list[list[int]] = [[] for _ in range(count)]
    for position, rail in enumerate(rails, 1):
        lengths = cut[rail.stretch if report.instead in (None, report.piece) else 0]
        if position not in report.uncut:
            lengths.append(report.through_saw(position, rail.length_um))
        if position in report.again:
            lengths.append(rail.length_um)
    return cut


def check_leftovers(
    report: SawReport,
    piece: RackPiece,
    runs: Sequence[Stretch],
    cut: Sequence[Sequence[int]],
    leftovers: Sequence[int],
) -> None:
    """What was cut and what is left can come from the piece."""
    if len(leftovers) != len(runs):
        raise Refused(
            "leftovers_not_clear", piece=piece.id, stretches=len(runs), leftovers=len(leftovers)
        )
    for run, lengths, left in zip(runs, cut, leftovers, strict=True):
        room = run.tape - run.first_trim * bool(lengths)
        if report.leftovers is None and sum(lengths) > room:
            raise Refused("piece_too_short_for_cut", piece=piece.id)
        if sum(lengths) + left > room + max(SLIP_UM, room // 100):
            raise Refused(
                "more_than_piece_had", piece=piece.id, taken_um=(sum(lengths) + left), had_um=room
            )


def fixed_flows(
    report: SawReport, piece: RackPiece, rails: Sequence[CutOff], scrap: Mapping[str, int]
) -> list[Flow]:
    """The piece out of the rack, its rails, miscuts told as scrap, and what else is, by cause."""
    at = (piece.profile, piece.batch)
    flows = [Flow("rack", -piece.length, *at, piece=piece.id)]
    for position, rail in enumerate(rails, 1):
        if position in report.miscut and report.remains.get(position) == 0:
            flows.append(Flow("scrap", rail.length_um, *at, cause="miscut"))
        if position not in report.wanting:
            flows.append(Flow("rails", rail.length_um, *at, frame=rail.frame_id, rail=rail.rail))
    return [*flows, *(Flow("scrap", length, *at, cause=cause) for cause, length in scrap.items())]

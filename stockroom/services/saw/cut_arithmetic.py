"""The arithmetic of a cut: what a report from the saw means in lines of the ledger."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from planner.values import Rules, stretches
from stockroom.record.ledger import Flow, RackPiece
from stockroom.record.tables import PlanRail
from stockroom.refusals import Refused
from stockroom.services.morning.problem import planner_piece
from stockroom.views.piece_parts import saw_loss

__all__ = ["SawReport", "reckon"]

SLIP_UM = 3_000
"""What a cut may take beyond three times its allowance before the rest is named a difference."""


@dataclass(frozen=True, slots=True)
class SawReport:
    """What happened to one piece of a plan.

    ``instead`` is the piece that was taken in its place. ``miscut`` and ``uncut`` name rails by
    their position on the piece, from 1. ``leftovers`` are as measured along the back edge (um),
    one for each stretch; None means as planned. ``flaws`` were found on the one leftover that
    goes back, from its left end. ``spot`` is where the new offcuts go.
    """

    plan: int
    piece: int
    instead: int | None = None
    miscut: frozenset[int] = frozenset()
    uncut: frozenset[int] = frozenset()
    leftovers: tuple[int, ...] | None = None
    flaws: tuple[tuple[int, int], ...] = ()
    spot: str = ""
    why: str = ""

    def __post_init__(self) -> None:
        if both := self.miscut & self.uncut:
            raise Refused(f"rail {min(both)} of piece {self.piece} is named both miscut and uncut")
        if self.leftovers and min(self.leftovers) < 0:
            raise Refused("a leftover cannot be less than nothing", "0 means that none is left")


def reckon(
    report: SawReport, piece: RackPiece, rails: Sequence[PlanRail], rules: Rules
) -> tuple[list[Flow], list[int], dict[str, Any]]:
    """The lines of a cut but for the leftovers, what each stretch leaves, and the detail kept."""
    runs = [stretch.length for stretch in stretches(planner_piece(piece), rules)]
    cut = cut_by_stretch(report, rails, len(runs))
    losses = [saw_loss(run, lengths, rules.cut_allowance)
              for run, lengths in zip(runs, cut, strict=True)]  # fmt: skip
    planned = [run - sum(lengths) - loss
               for run, lengths, loss in zip(runs, cut, losses, strict=True)]  # fmt: skip
    leftovers = list(report.leftovers) if report.leftovers is not None else planned
    check_leftovers(report, piece, runs, cut, leftovers)
    trim = 2 * rules.end_trim if piece.kind == "stick" else 0
    flaw = piece.length - trim - sum(runs)
    rest = piece.length - trim - flaw - sum(map(sum, cut)) - sum(leftovers)
    count = sum(map(len, cut))
    saw = min(max(rest, 0), 3 * sum(losses) + SLIP_UM * count)
    flows = fixed_flows(report, piece, rails, trim, flaw)
    flows.append(Flow("saw", saw, piece.profile, piece.batch))
    if rest != saw:
        place = "missing" if rest > saw else "found"
        flows.append(
            Flow(place, rest - saw, piece.profile, piece.batch, cause="measured at the saw")
        )
    detail = {
        "planned_um": planned, "measured_um": leftovers, "rails": count,
        "allowance_um": rules.cut_allowance, "difference_um": rest - saw,
        "was_measured": int(report.leftovers is not None),
    }  # fmt: skip
    return flows, leftovers, detail


def cut_by_stretch(report: SawReport, rails: Sequence[PlanRail], count: int) -> list[list[int]]:
    """The lengths that went through the saw, miscut ones too, stretch by stretch."""
    cut: list[list[int]] = [[] for _ in range(count)]
    for position, rail in enumerate(rails, 1):
        if position not in report.uncut:
            cut[rail.stretch if report.instead in (None, report.piece) else 0].append(
                rail.length_um
            )
    return cut


def check_leftovers(
    report: SawReport,
    piece: RackPiece,
    runs: Sequence[int],
    cut: Sequence[Sequence[int]],
    leftovers: Sequence[int],
) -> None:
    """What was cut and what is left can come from the piece."""
    if len(leftovers) != len(runs):
        raise Refused(f"piece {piece.id} has {len(runs)} stretches between its flaws, "
                      f"and {len(leftovers)} leftovers were given",
                      "give one for each, left to right; 0 where none is left")  # fmt: skip
    for run, lengths, left in zip(runs, cut, leftovers, strict=True):
        if report.leftovers is None and left < 0:
            raise Refused(f"piece {piece.id} is too short for what was cut from it",
                          "measure what is left, or take a longer piece")  # fmt: skip
        if sum(lengths) + left > run + max(SLIP_UM, run // 100):
            raise Refused(
                f"piece {piece.id}: rails and leftover come to "
                f"{(sum(lengths) + left) / 1000:g} mm, and it had {run / 1000:g} mm",
                "measure the leftover again along its back edge",
            )


def fixed_flows(
    report: SawReport, piece: RackPiece, rails: Sequence[PlanRail], trim: int, flaw: int
) -> list[Flow]:
    """The piece out of the rack, its rails, miscuts, trims and flaws."""
    at = (piece.profile, piece.batch)
    flows = [Flow("rack", -piece.length, *at, piece=piece.id)]
    for position, rail in enumerate(rails, 1):
        if position in report.miscut:
            flows.append(Flow("scrap", rail.length_um, *at, cause="miscut"))
        elif position not in report.uncut:
            flows.append(Flow("rails", rail.length_um, *at, frame=rail.frame_id, rail=rail.rail))
    flows.append(Flow("scrap", trim, *at, cause="end trim"))
    flows.append(Flow("scrap", flaw, *at, cause="flaw"))
    return flows

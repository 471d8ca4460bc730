"""A leftover that is far from what its plan leaves is asked about before it is recorded."""

from stockroom.refusals import Unlikely
from stockroom.remedies import Do, Remedy
from stockroom.services.morning.sheets import sheet_of
from stockroom.services.rack.likely_length import far
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.shop import Shop

__all__ = ["check_leftover"]


def check_leftover(shop: Shop, report: SawReport) -> None:
    """What is left of a piece is about what its plan leaves.

    Pieces with flaws, rails left uncut and pieces taken instead are not expected to leave it.

    Raises:
        Unlikely: it is far from it.
    """
    if (
        not report.leftovers
        or report.uncut
        or report.again
        or report.instead not in (None, report.piece)
    ):
        return
    planned = next(
        (p for p in sheet_of(shop, report.plan).pieces if p.number == report.piece), None
    )
    if planned is None or len(report.leftovers) != 1 or planned.total("flaw"):
        return
    left = planned.total("leftover") or planned.total("scrap")
    if far(report.leftovers[0], left):
        raise Unlikely("leftover_far_from_plan", Remedy(Do.ODD_LENGTH), piece=report.piece,
                       planned_um=left, left_um=report.leftovers[0])  # fmt: skip

"""A file of cuts, recorded whole or not at all; its fault names the row."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from sqlmodel import Session

from stockroom.facts import Tellable
from stockroom.files.csv_rows import raise_faults
from stockroom.record.database import changing
from stockroom.refusals import StockroomError
from stockroom.services.saw.likely_leftover import check_leftover
from stockroom.services.saw.record_cut import CutDone, cut_held, left_held
from stockroom.services.saw.typed_cuts import read_reports, report_told
from stockroom.services.shop import Shop

__all__ = ["record_file"]

MEND = "mend_row_unrecorded"


def record_file(shop: Shop, plan: int, path: Path, *, odd: bool = False) -> list[CutDone]:
    """Records the pieces of a file of cuts; with ``odd`` leftovers far from the plan's too.

    Raises:
        BadFile: a row is not understood, or cannot be recorded; nothing was.
    """
    rows = read_reports(path, plan, shop)
    if not odd:
        check_odd(shop, plan, path, rows)
    done: list[CutDone] = []
    with changing(shop.engine, shop.waiting) as session:
        for row, typed in rows:
            try:
                done.append(recorded(session, shop, plan, typed))
            except StockroomError as error:
                raise_faults(path, [(row, error)], MEND)
    return done


def check_odd(
    shop: Shop, plan: int, path: Path, rows: Sequence[tuple[int, Mapping[str, Any]]]
) -> None:
    """No row's leftover is far from what its plan leaves."""
    faults: list[tuple[int, Tellable]] = []
    for row, typed in rows:
        try:
            check_leftover(shop, report_told(plan, typed, shop.settings))
        except StockroomError as error:
            faults.append((row, error))
    raise_faults(path, faults, "mend_or_confirm_rows")


def recorded(session: Session, shop: Shop, plan: int, typed: Mapping[str, Any]) -> CutDone:
    """One row recorded: cut, or left."""
    report = report_told(plan, typed, shop.settings)
    if typed.get("left") or typed.get("missing"):
        flaw = report.flaws[0] if report.flaws else None
        return left_held(session, shop, report, flaw, not_there=bool(typed.get("missing")))
    return cut_held(session, shop, report)

"""What was cut, as it is typed or written in a file, turned into reports for the saw's record."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.refusals import Refused, Unreadable
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import parse_length, parse_span

__all__ = ["read_reports", "report_told"]

COLUMNS = ("instead", "miscut", "uncut", "leftover", "flaw", "outcome", "at", "why")


def report_told(plan: int, typed: Mapping[str, Any], settings: Settings) -> SawReport:
    """A report as typed: rails by position, leftovers and flaws as texts.

    Raises:
        Unreadable: a length or a flaw is not understood.
    """
    leftovers = typed.get("leftover")
    return SawReport(
        plan=plan, piece=int(typed["piece"]), instead=typed.get("instead"),
        miscut=frozenset(typed.get("miscut") or ()), uncut=frozenset(typed.get("uncut") or ()),
        leftovers=None if not leftovers else tuple(
            parse_length(text, settings.unit, rounding="down") for text in leftovers
        ),
        flaws=tuple(parse_span(text, settings.unit) for text in typed.get("flaw") or ()),
        spot=str(typed.get("at") or ""), why=str(typed.get("why") or ""),
    )  # fmt: skip


def read_reports(path: Path, plan: int, settings: Settings) -> list[dict[str, Any]]:
    """The pieces of a file of cuts, each as typed; several values in a cell have ; between.

    Raises:
        BadFile: a row is not understood; nothing was recorded.
    """

    def typed(cells: Mapping[str, str]) -> dict[str, Any]:
        row = row_told(cells)
        report_told(plan, row, settings)
        return row

    parsed = parse_rows(read_rows(path, ("piece",), COLUMNS), typed)
    raise_faults(path, parsed.faults, "mend these rows; nothing was recorded")
    return [row for _, row in parsed.values]


def row_told(cells: Mapping[str, str]) -> dict[str, Any]:
    """A row of a file of cuts as if it had been typed."""
    outcome = cells.get("outcome", "cut")
    if outcome not in ("cut", "not today"):
        raise Unreadable(outcome, "cut or not today")

    def listed(name: str) -> list[str]:
        return [part.strip() for part in cells.get(name, "").split(";") if part.strip()]

    if "piece" not in cells:
        raise Refused("the piece is missing")
    return {
        "piece": number(cells["piece"]), "left": outcome == "not today",
        "instead": number(cells["instead"]) if "instead" in cells else None,
        "miscut": [number(text) for text in listed("miscut")],
        "uncut": [number(text) for text in listed("uncut")],
        "leftover": listed("leftover"), "flaw": listed("flaw"),
        "at": cells.get("at", ""), "why": cells.get("why", ""),
    }  # fmt: skip


def number(text: str) -> int:
    """A piece's or rail's number.

    Raises:
        Unreadable: it is none.
    """
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise Unreadable(text, "a number")
    return int(text)

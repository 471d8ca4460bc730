"""What was cut, as it is typed or written in a file, turned into reports for the saw's record."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.refusals import Unreadable
from stockroom.services.csv_columns import (
    NUMBER,
    TEXT,
    Cell,
    Field,
    count_of,
    names_of,
    needed,
    read_row,
)
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import parse_length, parse_span

__all__ = ["answer_told", "read_reports", "report_told"]

MARKED = re.compile(
    r"(m)([0-9]+(?:=\S+|\+))|([mui])([0-9,]+)|(f)(\S+\.\.\S+)", re.IGNORECASE | re.ASCII
)
WHOLE_WORDS = {"n": "left", "x": "missing"}


def outcome_told(text: str) -> str:
    """What became of a piece.

    Raises:
        Unreadable: it is none of the three.
    """
    if text not in ("cut", "not today", "not there"):
        raise Unreadable(text, "of_outcome")
    return text


def listed(read: Callable[[str], Any]) -> Cell:
    """Several values in a cell, with ; between."""
    return Cell(lambda text, _: [read(part.strip()) for part in text.split(";") if part.strip()],
                lambda values, _: "; ".join(map(str, values)))  # fmt: skip


def report_told(plan: int, typed: Mapping[str, Any], settings: Settings) -> SawReport:
    """A report as typed: rails by position, leftovers and flaws as texts.

    A miscut rail may be told with what remains of it, as in 2=440.

    Raises:
        Unreadable: a length or a flaw is not understood.
    """
    leftovers = typed.get("leftover")
    miscut = dict(rail_told(text, settings) for text in typed.get("miscut") or ())
    return SawReport(
        plan=plan, piece=int(typed["piece"]), instead=typed.get("instead"),
        miscut=frozenset(miscut), remains={at: um for at, um in miscut.items() if um is not None},
        uncut=frozenset(typed.get("uncut") or ()), again=frozenset(typed.get("again") or ()),
        leftovers=None if not leftovers else tuple(
            parse_length(text, settings.unit, rounding="down") for text in leftovers
        ),
        flaws=tuple(parse_span(text, settings.unit) for text in typed.get("flaw") or ()),
        spot=str(typed.get("at") or ""), why=str(typed.get("why") or ""),
    )  # fmt: skip


CUT = (
    Field("piece", "piece", NUMBER, needed=True), Field("instead", "instead", NUMBER),
    Field("miscut", "miscut", listed(str), empty=[]),
    Field("uncut", "uncut", listed(count_of), empty=[]),
    Field("again", "again", listed(count_of), empty=[]),
    Field("leftover", "leftover", listed(str), empty=[]),
    Field("flaw", "flaw", listed(str), empty=[]),
    Field("outcome", "outcome", Cell(lambda text, _: outcome_told(text), lambda told, _: told),
          empty="cut"),
    Field("at", "at", TEXT, empty=""), Field("why", "why", TEXT, empty=""),
)  # fmt: skip


def rail_told(typed: int | str, settings: Settings) -> tuple[int, int | None]:
    """A miscut rail's position, and what remains of it (um) where that is told: 2, or 2=440.

    Raises:
        Unreadable: it is neither.
    """
    position, equals, remains = str(typed).partition("=")
    told = parse_length(remains, settings.unit, rounding="down") if equals else None
    return number(position.strip()), told


def read_reports(path: Path, plan: int, shop: Shop) -> list[tuple[int, dict[str, Any]]]:
    """The rows of a file of cuts, each piece as typed; several values in a cell have ; between.

    Raises:
        BadFile: a row is not understood; nothing was recorded.
    """

    def typed(cells: Mapping[str, str]) -> dict[str, Any]:
        row = row_told(cells, shop)
        report_told(plan, row, shop.settings)
        return row

    parsed = parse_rows(read_rows(path, needed(CUT), names_of(CUT)), typed)
    raise_faults(path, parsed.faults, "mend_rows_unrecorded")
    return list(parsed.values)


def row_told(cells: Mapping[str, str], shop: Shop) -> dict[str, Any]:
    """A row of a file of cuts as if it had been typed."""
    told = read_row(CUT, cells, shop)
    outcome = told.pop("outcome")
    return told | {"left": outcome == "not today", "missing": outcome == "not there"}


def answer_told(text: str, piece: int, settings: Settings) -> dict[str, Any] | None:
    """What happened to a piece, as a line: ``920 B5 m2 # slipped``; nothing to stop here.

    An empty line is a piece cut as planned. Marked words come in any order; what is left over is
    the leftover's length, then its place.

    Raises:
        Unreadable: a word is none of these.
    """
    told, _, why = text.partition("#")
    typed: dict[str, Any] = {"piece": piece, "why": why.strip()}
    rest: list[str] = []
    for word in told.split():
        if word.lower() in ("s", "stop"):
            return None
        if word.lower() in WHOLE_WORDS:
            typed[WHOLE_WORDS[word.lower()]] = True
        elif marked := MARKED.fullmatch(word):
            mark, what = [part for part in marked.groups() if part is not None]
            typed |= marked_told(mark.lower(), what, typed)
        else:
            rest.append(word)
    return typed | left_told(rest, settings)


def marked_told(mark: str, what: str, before: Mapping[str, Any]) -> dict[str, Any]:
    """What a marked word says: m2, m2=440 and u1,3 name rails, m2+ one that was cut again from
    the same piece, i57 a piece, f10..20 a flaw."""
    if mark == "i":
        return {"instead": number(what)}
    if what.endswith("+"):
        rail = number(what[:-1])
        return {"miscut": [*before.get("miscut", ()), rail],
                "again": [*before.get("again", ()), rail]}  # fmt: skip
    name = {"m": "miscut", "u": "uncut", "f": "flaw"}[mark]
    whole = mark == "f" or "=" in what
    found = [what] if whole else [number(part) for part in what.split(",")]
    return {name: [*before.get(name, ()), *found]}


def left_told(words: list[str], settings: Settings) -> dict[str, Any]:
    """A leftover and its place: as many words as make a length, then the place.

    Raises:
        Unreadable: what should be a length is none.
    """
    for count in range(len(words), 0, -1):
        length = " ".join(words[:count])
        try:
            parse_length(length, settings.unit)
        except Unreadable:
            continue
        return {"leftover": [length], "at": " ".join(words[count:])}
    if words and not words[0][0].isalpha():
        raise Unreadable(" ".join(words), "of_leftover")
    return {"at": " ".join(words)}


def number(text: str) -> int:
    """A piece's or rail's number.

    Raises:
        Unreadable: it is none.
    """
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise Unreadable(text, "of_whole_number")
    return int(text)

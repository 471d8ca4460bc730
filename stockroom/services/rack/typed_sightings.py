"""What was seen on the rack, as it is typed or written in a file."""

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.record.stocktake import Scope, Sighting
from stockroom.record.tables import ENDS
from stockroom.refusals import Refused, Unreadable
from stockroom.services.csv_columns import LENGTH_DOWN, NUMBER, TEXT, Field, names_of, read_row
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import parse_length

__all__ = ["ends_told", "numbers_told", "sightings_told", "unlabelled_told"]

SEEN = (
    Field("id", "number", NUMBER), Field("length", "length", LENGTH_DOWN),
    Field("profile", "profile", TEXT), Field("batch", "batch", TEXT, empty="UNKNOWN"),
    Field("kind", "kind", TEXT, empty="offcut"), Field("place", "spot", TEXT, empty=""),
    Field("note", "note", TEXT, empty=""),
)  # fmt: skip
MOST = 20_000
NUMBERS = re.compile(r"(\d{1,9})(?:(?:-|\.\.)(\d{1,9}))?", re.ASCII)


def numbers_told(text: str) -> list[int]:
    """Numbers as typed quickly: ``3 4 7..12``, with blanks or commas between; 7-12 is read too.

    Raises:
        Unreadable: a part is no number and no stretch of numbers.
    """
    found: list[int] = []
    for part in text.replace(",", " ").split():
        match = NUMBERS.fullmatch(part)
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if not first <= last < first + MOST or len(found) > MOST:
            raise Unreadable(part, "of_numbers")
        found.extend(range(first, last + 1))
    return found


def unlabelled_told(text: str, scope: Scope, settings: Settings) -> Sighting:
    """A piece without a label as typed: its length, or PROFILE=LENGTH, along the back edge.

    Raises:
        Refused: neither it nor the count names a profile.
    """
    profile, sign, length = text.rpartition("=")
    return Sighting(
        length=parse_length(length, settings.unit, rounding="down"),
        profile=profile.strip() if sign else scope.profile,
    )


def sightings_told(path: Path, shop: Shop) -> list[Sighting]:
    """The pieces of a file: a row each, by id, or measured where there is no label.

    Raises:
        BadFile: the file has a fault; every one is named by its row.
    """
    rows = read_rows(path, (), names_of(SEEN))
    parsed = parse_rows(rows, lambda cells: sighting_told(cells, shop))
    raise_faults(path, parsed.faults, "mend_rows_uncounted")
    return [replace(sighting, row=row) for row, sighting in parsed.values]


def sighting_told(cells: Mapping[str, str], shop: Shop) -> Sighting:
    """A row of a file of what was seen."""
    seen = Sighting(**read_row(SEEN, cells, shop))
    if seen.number is None and seen.length is None:
        raise Refused("row_without_piece")
    return seen


def ends_told(text: str) -> tuple[str, ...]:
    """A piece's two ends as typed, the label's first; nothing where nothing was typed.

    Raises:
        Unreadable: they are not two of factory, cut and square.
    """
    ends = tuple(text.lower().split())
    if ends and (len(ends) != 2 or not set(ends) <= set(ENDS)):
        raise Unreadable(text, "of_ends", ends=tuple(ENDS))
    return ends

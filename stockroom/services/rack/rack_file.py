"""The rack as it is found, from a file: what a row says is checked before anything is locked."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlmodel import Session

from stockroom.facts import Tellable
from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.record.arrivals import bring_in_all
from stockroom.record.catalogue import add_batch, clean_code, profile_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import add_lines, open_entry
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.services.csv_columns import (
    LENGTH,
    LENGTH_DOWN,
    NUMBER,
    PAST_DAY,
    TEXT,
    Cell,
    Field,
    names_of,
    needed,
    read_row,
    said,
)  # fmt: skip
from stockroom.services.rack.pieces import Arrival, check_number, numbers_taken
from stockroom.services.rack.typed_sightings import ends_told
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres, parse_span
from stockroom.units.texts import kept_text

__all__ = ["PIECE", "load_rack"]


def kind_told(text: str, _shop: Shop) -> str:
    """A stick or an offcut."""
    if text not in ("stick", "offcut"):
        raise Unreadable(text, "of_stick_or_offcut")
    return text


def grade_told(text: str, _shop: Shop) -> str:
    """Nothing, or a second."""
    if text != "second":
        raise Unreadable(text, "of_grade")
    return text


def flaws_told(text: str, shop: Shop) -> tuple[tuple[Micrometres, Micrometres], ...]:
    """Flaws from the label's end, with ; between."""
    spans = (part.strip() for part in text.split(";"))
    return tuple(parse_span(span, shop.settings.unit) for span in spans if span)


def flaws_said(flaws: Sequence[tuple[Micrometres, Micrometres]], shop: Shop) -> str:
    """Flaws as they are told."""
    unit = shop.settings.unit
    return "; ".join(f"{said(start, unit)}..{said(end, unit)}" for start, end in flaws)


PIECE = (
    Field("profile", "profile", TEXT, needed=True), Field("batch", "batch", TEXT, needed=True),
    Field("kind", "kind", Cell(kind_told, lambda kind, _: kind), needed=True),
    Field("length", "length", LENGTH_DOWN, needed=True),
    Field("id", "number", NUMBER, kept="id"),
    Field("place", "spot", TEXT, empty=""), Field("since", "since", PAST_DAY),
    Field("flaws", "flaws", Cell(flaws_told, flaws_said), empty=()),
    Field("note", "note", TEXT, empty=""),
    Field("ends", "ends", Cell(lambda text, _: ends_told(text), lambda ends, _: " ".join(ends)),
           empty=()),
    Field("longest_rail", "longest", LENGTH_DOWN),
    Field("grade", "grade", Cell(grade_told, lambda grade, _: grade), empty=""),
    Field("owner", "owner", TEXT, empty=""), Field("motif", "motif", LENGTH),
)  # fmt: skip
MEND = "mend_rows_unloaded"


@dataclass(frozen=True, slots=True)
class FoundRow:
    """A piece of the file: its profile as it is typed, its batch as it is kept."""

    profile: str
    batch: str
    kind: str
    piece: Arrival


def load_rack(shop: Shop, path: Path, *, dry_run: bool = False) -> int:
    """Logs the pieces of a CSV file as found on the rack, all or none; gives how many.

    A dry run only says what would be loaded, and each fault.

    Raises:
        BadFile: the file has a fault.
    """
    rows = read_rows(path, needed(PIECE), names_of(PIECE))
    parsed = parse_rows(rows, lambda cells: found_told(cells, shop))
    with reading(shop.engine) as session:
        faults = [*parsed.faults, *faults_of(session, parsed.values)]
    raise_faults(path, faults, MEND)
    if dry_run:
        return len(rows)
    with changing(shop.engine, shop.waiting) as session:
        raise_faults(path, faults_of(session, parsed.values), MEND)
        put(session, shop, path, [found for _, found in parsed.values])
    return len(rows)


def found_told(cells: Mapping[str, str], shop: Shop) -> FoundRow:
    """A piece as a file's row tells it.

    Raises:
        Refused, Unreadable: something that a piece needs is missing, or is not understood.
    """
    told = read_row(PIECE, cells, shop)
    kept_text(told["note"], "note")
    kept_text(told["spot"], "place", 40)
    kept_text(told["owner"], "customer")
    profile, batch, kind = told.pop("profile"), told.pop("batch"), told.pop("kind")
    return FoundRow(profile, clean_code(batch, "batch"), kind, Arrival(**told))


def faults_of(
    session: Session, pieces: Sequence[tuple[int, FoundRow]]
) -> list[tuple[int, Tellable]]:
    """What the record has against these rows: an unknown profile, a number that is taken."""
    own = Counter(found.piece.number for _, found in pieces)
    taken = numbers_taken(session, [number for number in own if number is not None])
    against = unknown_profiles(session, {found.profile for _, found in pieces})
    faults: list[tuple[int, Tellable]] = []
    for row, found in pieces:
        number = found.piece.number
        if found.profile in against:
            faults.append((row, against[found.profile]))
        elif number is not None:
            try:
                if own[number] > 1:
                    raise Refused("piece_twice_in_file", number=number)
                check_number(number, taken)
            except StockroomError as error:
                faults.append((row, error))
    return faults


def unknown_profiles(session: Session, typed: Collection[str]) -> dict[str, StockroomError]:
    """Those of these codes that no profile has, each with what is said of it."""
    against = {}
    for code in typed:
        try:
            profile_named(session, code)
        except StockroomError as error:
            against[code] = error
    return against


def put(session: Session, shop: Shop, path: Path, pieces: Sequence[FoundRow]) -> None:
    """Puts the pieces of a file on the record in one entry."""
    entry = open_entry(session, shop.hand, "found", why=f"loaded from {path.name}")
    codes = {typed: profile_named(session, typed).code
             for typed in {found.profile for found in pieces}}  # fmt: skip
    for code, batch in sorted({(codes[found.profile], found.batch) for found in pieces}):
        add_batch(session, code, batch)
    numbers = bring_in_all(session, entry, shop.hand, [
        found.piece.incoming(codes[found.profile], found.batch, found.kind) for found in pieces
    ])  # fmt: skip
    add_lines(session, entry, [
        flow for number, found in zip(numbers, pieces, strict=True)
        for flow in found.piece.flows("found", codes[found.profile], found.batch, number)
    ])  # fmt: skip

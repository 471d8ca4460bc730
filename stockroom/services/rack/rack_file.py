"""The rack as it is found, from a file: what a row says is checked before anything is locked."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlmodel import Session

from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.record.arrivals import bring_in_all
from stockroom.record.catalogue import add_batch, clean_code, profile_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import add_lines, open_entry
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.services.rack.pieces import Arrival, check_number, numbers_taken
from stockroom.services.rack.typed_sightings import ends_told
from stockroom.services.shop import Shop
from stockroom.units.lengths import parse_length, parse_span
from stockroom.units.texts import kept_text

__all__ = ["load_rack"]

PIECE_NEEDS = ("profile", "batch", "kind", "length")
PIECE_MAY = ("id", "place", "since", "flaws", "note", "ends")
MEND = "mend these rows; nothing was loaded"


@dataclass(frozen=True, slots=True)
class Found:
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
    rows = read_rows(path, PIECE_NEEDS, PIECE_MAY)
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


def found_told(cells: Mapping[str, str], shop: Shop) -> Found:
    """A piece as a file's row tells it.

    Raises:
        Refused, Unreadable: something that a piece needs is missing, or is not understood.
    """
    for name in PIECE_NEEDS:
        if name not in cells:
            raise Refused(f"the {name} is missing")
    if cells["kind"] not in ("stick", "offcut"):
        raise Unreadable(cells["kind"], "stick or offcut")
    kept_text(cells.get("note", ""), "note")
    kept_text(cells.get("place", ""), "place", 40)
    batch = clean_code(cells["batch"], "batch")
    return Found(cells["profile"], batch, cells["kind"], arrival_told(cells, shop))


def arrival_told(cells: Mapping[str, str], shop: Shop) -> Arrival:
    """What arrives, as a file's row tells it."""
    unit = shop.settings.unit
    if "id" in cells and not (cells["id"].isascii() and cells["id"].isdecimal()):
        raise Unreadable(cells["id"], "a piece's number")
    spans = (part.strip() for part in cells.get("flaws", "").split(";"))
    flaws = [parse_span(text, unit) for text in spans if text]
    return Arrival(
        parse_length(cells["length"], unit, rounding="down"),
        int(cells["id"]) if "id" in cells else None, tuple(flaws), cells.get("note", ""),
        shop.day(cells["since"], past=True) if "since" in cells else None, cells.get("place", ""),
        ends_told(cells.get("ends", "")),
    )  # fmt: skip


def faults_of(session: Session, pieces: Sequence[tuple[int, Found]]) -> list[tuple[int, str]]:
    """What the record has against these rows: an unknown profile, a number that is taken."""
    own = Counter(found.piece.number for _, found in pieces)
    taken = numbers_taken(session, [number for number in own if number is not None])
    against = unknown_profiles(session, {found.profile for _, found in pieces})
    faults = []
    for row, found in pieces:
        number = found.piece.number
        if found.profile in against:
            faults.append((row, against[found.profile]))
        elif number is not None:
            try:
                if own[number] > 1:
                    raise Refused(f"piece {number} stands in the file more than once")
                check_number(number, taken)
            except StockroomError as error:
                faults.append((row, str(error)))
    return faults


def unknown_profiles(session: Session, typed: Collection[str]) -> dict[str, str]:
    """Those of these codes that no profile has, each with what is said of it."""
    said = {}
    for code in typed:
        try:
            profile_named(session, code)
        except StockroomError as error:
            said[code] = str(error)
    return said


def put(session: Session, shop: Shop, path: Path, pieces: Sequence[Found]) -> None:
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

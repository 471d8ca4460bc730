"""Filling the record from files: suppliers, profiles, the rack as it is found."""

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from sqlmodel import Session

from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.record import catalogue
from stockroom.record.database import changing, reading
from stockroom.record.ledger import Flow, add_lines, bring_in, mark_flaws, open_entry, post
from stockroom.record.tables import Profile, Supplier
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.services.counter.typed_jobs import count_of
from stockroom.services.rack.pieces import Arrival, check_numbers
from stockroom.services.rack.typed_sightings import ends_told
from stockroom.services.shop import Shop
from stockroom.settings.machines import known_machine
from stockroom.units.dates import weekday_of
from stockroom.units.decimals import yes_or_no
from stockroom.units.lengths import parse_length, parse_span
from stockroom.units.money import parse_money

__all__ = [
    "load_profiles",
    "load_rack",
    "load_suppliers",
    "profile_rows",
    "starter",
    "supplier_rows",
]

SUPPLIER_NEEDS = ("code", "name")
SUPPLIER_MAY = ("note", "lead_days", "delivery_day", "order_minimum", "carriage",
                "free_carriage", "cut_percent", "cut_fee", "cut_minimum")  # fmt: skip
PROFILE_NEEDS = ("code", "supplier", "name", "kind", "face", "stick_length", "keep_length",
                 "end_trim")  # fmt: skip
PROFILE_MAY = (
    "rabbet_width", "rabbet_depth", "wall", "recess_depth", "height", "price_per_stick",
    "price_per_metre", "batch_matched", "minimum_sticks", "species", "box_sticks", "discontinued",
    "last_order", "last_sticks", "machine", "margin",
)  # fmt: skip
PIECE_NEEDS = ("profile", "batch", "kind", "length")
PIECE_MAY = ("id", "place", "since", "flaws", "note", "ends")


def profile_rows(shop: Shop) -> list[Profile]:
    """All profiles by code."""
    with reading(shop.engine) as session:
        return catalogue.profiles(session)


def supplier_rows(shop: Shop) -> list[Supplier]:
    """All suppliers by code."""
    with reading(shop.engine) as session:
        return catalogue.suppliers(session)


def starter(session: Session, shop: Shop) -> None:
    """Fills a new catalogue with the invented makers' mouldings that come with the program."""
    from seeds import csv_path

    put_suppliers(session, shop, csv_path("suppliers"))
    put_profiles(session, shop, csv_path("profiles"))


def load_suppliers(shop: Shop, path: Path, *, dry_run: bool = False) -> int:
    """Puts the suppliers of a CSV file into the catalogue, all or none; gives how many.

    A dry run only says what would be loaded, and each fault.

    Raises:
        BadFile: the file has a fault.
    """
    with changing(shop.engine, shop.waiting, dry_run=dry_run) as session:
        return put_suppliers(session, shop, path)


def put_suppliers(session: Session, shop: Shop, path: Path) -> int:
    """Writes the suppliers of a file as one entry; gives how many."""

    def put(cells: Mapping[str, str]) -> None:
        if missing := [name for name in SUPPLIER_NEEDS if name not in cells]:
            raise Refused(f"the {' and the '.join(missing)} is missing")
        catalogue.add_supplier(session, supplier_told(cells))

    rows = read_rows(path, SUPPLIER_NEEDS, SUPPLIER_MAY)
    parsed = parse_rows(rows, put)
    raise_faults(path, parsed.faults, "mend these rows; nothing was loaded")
    post(session, shop.hand, "load suppliers", touches=[("shop", "catalogue")])
    return len(rows)


def supplier_told(cells: Mapping[str, str]) -> Supplier:
    """A supplier as a file's row tells it; terms that are not told are not known."""

    def count(name: str) -> int | None:
        return count_of(cells[name]) if name in cells else None

    def minor(name: str) -> int | None:
        return parse_money(cells[name]) if name in cells else None

    return Supplier(
        code=cells["code"], name=cells["name"], note=cells.get("note", ""),
        lead_days=count("lead_days"), cut_percent=count("cut_percent"),
        delivery_day=weekday_of(cells["delivery_day"]) if "delivery_day" in cells else None,
        order_minimum_minor=minor("order_minimum"), carriage_minor=minor("carriage"),
        free_carriage_minor=minor("free_carriage"), cut_fee_minor=minor("cut_fee"),
        cut_minimum_minor=minor("cut_minimum"),
    )  # fmt: skip


def load_profiles(shop: Shop, path: Path, *, dry_run: bool = False) -> int:
    """Puts the profiles of a CSV file into the catalogue, all or none; gives how many.

    A dry run only says what would be loaded, and each fault.

    Raises:
        BadFile: the file has a fault.
    """
    with changing(shop.engine, shop.waiting, dry_run=dry_run) as session:
        return put_profiles(session, shop, path)


def put_profiles(session: Session, shop: Shop, path: Path) -> int:
    """Writes the profiles of a file as one entry; gives how many."""

    def put(cells: Mapping[str, str]) -> str:
        profile = profile_told(cells, shop)
        catalogue.add_profile(session, profile)
        return profile.code

    rows = read_rows(path, PROFILE_NEEDS, PROFILE_MAY)
    parsed = parse_rows(rows, put)
    raise_faults(path, parsed.faults, "mend these rows; nothing was loaded")
    post(session, shop.hand, "load profiles",
         touches=[("profile", code) for _, code in parsed.values])  # fmt: skip
    return len(rows)


def profile_told(cells: Mapping[str, str], shop: Shop) -> Profile:
    """A profile as a file's row tells it."""

    def um(name: str) -> int | None:
        return parse_length(cells[name], shop.settings.unit) if name in cells else None

    def sure(name: str) -> int:
        if name not in cells:
            raise Refused(f"the {name} is missing")
        return parse_length(cells[name], shop.settings.unit, rounding="down")

    def minor(name: str) -> int | None:
        return parse_money(cells[name]) if name in cells else None

    return Profile(
        code=cells.get("code", ""), supplier_code=cells.get("supplier", ""),
        name=cells.get("name", ""), kind=cells.get("kind", ""), face_um=sure("face"),
        rabbet_width_um=um("rabbet_width"), rabbet_depth_um=um("rabbet_depth"), wall_um=um("wall"),
        recess_depth_um=um("recess_depth"), height_um=um("height"),
        stick_length_um=sure("stick_length"), stick_price_minor=minor("price_per_stick"),
        metre_price_minor=minor("price_per_metre"),
        batch_matched=yes_or_no(cells.get("batch_matched", "no")), keep_um=sure("keep_length"),
        end_trim_um=sure("end_trim"), margin_um=um("margin"),
        minimum_sticks=count_of(cells.get("minimum_sticks", "0")),
        species=cells.get("species", ""),
        box_sticks=count_of(cells["box_sticks"]) if "box_sticks" in cells else None,
        discontinued=yes_or_no(cells.get("discontinued", "no")),
        last_order=shop.day(cells["last_order"]) if "last_order" in cells else None,
        last_sticks=count_of(cells["last_sticks"]) if "last_sticks" in cells else None,
        machine=known_machine(shop.settings, cells["machine"]) if cells.get("machine") else "",
    )  # fmt: skip


def load_rack(shop: Shop, path: Path, *, dry_run: bool = False) -> int:
    """Logs the pieces of a CSV file as found on the rack, all or none; gives how many.

    A dry run only says what would be loaded, and each fault.

    Raises:
        BadFile: the file has a fault.
    """
    rows = read_rows(path, PIECE_NEEDS, PIECE_MAY)
    parsed = parse_rows(rows, lambda cells: (cells, arrival_told(cells, shop)))
    raise_faults(path, parsed.faults, "mend these rows; nothing was loaded")
    numbers = Counter(piece.number for _, (_, piece) in parsed.values)
    faults: list[tuple[int, str]] = []
    with changing(shop.engine, shop.waiting, dry_run=dry_run) as session:
        entry = open_entry(session, shop.hand, "found", why=f"loaded from {path.name}")
        flows: list[Flow] = []
        for row, (cells, piece) in parsed.values:
            try:
                if piece.number is not None and numbers[piece.number] > 1:
                    raise Refused(f"piece {piece.number} stands in the file more than once")
                flows += put_piece(session, shop, entry, cells, piece)
            except StockroomError as error:
                faults.append((row, str(error)))
        raise_faults(path, faults, "mend these rows; nothing was loaded")
        add_lines(session, entry, flows)
    return len(rows)


def put_piece(
    session: Session, shop: Shop, entry: int, cells: Mapping[str, str], piece: Arrival
) -> list[Flow]:
    """Puts one found piece on the record; gives its lines."""
    profile = catalogue.profile_named(session, cells["profile"]).code
    batch = catalogue.add_batch(session, profile, cells["batch"])
    if piece.number is not None:
        check_numbers(session, [piece.number])
    number = bring_in(
        session, entry, shop.hand, profile=profile, batch=batch, kind=cells["kind"],
        spot=piece.spot, number=piece.number, note=piece.note, since=piece.since,
        ends=piece.ends,
    )  # fmt: skip
    mark_flaws(session, entry, number, piece.flaws)
    return [
        Flow("found", -piece.length, profile, batch),
        Flow("rack", piece.length, profile, batch, piece=number),
    ]


def arrival_told(cells: Mapping[str, str], shop: Shop) -> Arrival:
    """A piece as a file's row tells it."""
    unit = shop.settings.unit
    for name in PIECE_NEEDS:
        if name not in cells:
            raise Refused(f"the {name} is missing")
    if cells["kind"] not in ("stick", "offcut"):
        raise Unreadable(cells["kind"], "stick or offcut")
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

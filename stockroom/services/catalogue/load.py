"""Filling the catalogue from files: suppliers and profiles."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlmodel import Session

from stockroom.files.csv_rows import Parsed, parse_rows, raise_faults, read_rows
from stockroom.record import catalogue
from stockroom.record.database import changing, reading
from stockroom.record.ledger import post
from stockroom.record.tables import Profile, Supplier
from stockroom.refusals import StockroomError
from stockroom.services.csv_columns import (
    COUNT,
    DAY,
    LENGTH,
    LENGTH_DOWN,
    MACHINE,
    MONEY,
    TEXT,
    WEEKDAY,
    YES,
    Column,
    names_of,
    needed,
    read_row,
)  # fmt: skip
from stockroom.services.shop import Shop

__all__ = [
    "PROFILE",
    "SUPPLIER",
    "load_profiles",
    "load_suppliers",
    "profile_rows",
    "starter",
    "supplier_rows",
]

SUPPLIER = (
    Column("code", "code", TEXT, needed=True), Column("name", "name", TEXT, needed=True),
    Column("note", "note", TEXT, empty=""), Column("lead_days", "lead_days", COUNT),
    Column("delivery_day", "delivery_day", WEEKDAY),
    Column("order_minimum", "order_minimum_minor", MONEY),
    Column("carriage", "carriage_minor", MONEY),
    Column("free_carriage", "free_carriage_minor", MONEY),
    Column("cut_percent", "cut_percent", COUNT), Column("cut_fee", "cut_fee_minor", MONEY),
    Column("cut_minimum", "cut_minimum_minor", MONEY),
)  # fmt: skip
PROFILE = (
    Column("code", "code", TEXT, needed=True),
    Column("supplier", "supplier_code", TEXT, needed=True),
    Column("name", "name", TEXT, needed=True), Column("kind", "kind", TEXT, needed=True),
    Column("face", "face_um", LENGTH_DOWN, needed=True),
    Column("stick_length", "stick_length_um", LENGTH_DOWN, needed=True),
    Column("shortest_kept", "keep_um", LENGTH_DOWN, needed=True),
    Column("end_trim", "end_trim_um", LENGTH_DOWN, needed=True),
    Column("rabbet_width", "rabbet_width_um", LENGTH),
    Column("rabbet_depth", "rabbet_depth_um", LENGTH), Column("wall", "wall_um", LENGTH),
    Column("recess_depth", "recess_depth_um", LENGTH), Column("height", "height_um", LENGTH),
    Column("price_per_stick", "stick_price_minor", MONEY),
    Column("price_per_metre", "metre_price_minor", MONEY),
    Column("batch_matched", "batch_matched", YES, empty=False),
    Column("minimum_sticks", "minimum_sticks", COUNT, empty=0),
    Column("species", "species", TEXT, empty=""), Column("box_sticks", "box_sticks", COUNT),
    Column("discontinued", "discontinued", YES, empty=False),
    Column("last_order", "last_order", DAY), Column("last_sticks", "last_sticks", COUNT),
    Column("machine", "machine", MACHINE, empty=""), Column("margin", "margin_um", LENGTH),
)  # fmt: skip


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

    for name, kind in (("suppliers", SUPPLIERS), ("profiles", PROFILES)):
        put(session, shop, kind, csv_path(name), rows_told(shop, kind, csv_path(name)))


def load_suppliers(shop: Shop, path: Path, *, dry_run: bool = False) -> int:
    """Puts the suppliers of a CSV file into the catalogue, all or none; gives how many.

    A dry run only says what would be loaded, and each fault.

    Raises:
        BadFile: the file has a fault.
    """
    return load(shop, SUPPLIERS, path, dry_run=dry_run)


def load_profiles(shop: Shop, path: Path, *, dry_run: bool = False) -> int:
    """Puts the profiles of a CSV file into the catalogue, as ``load_suppliers`` does."""
    return load(shop, PROFILES, path, dry_run=dry_run)


def load(shop: Shop, kind: "Kind", path: Path, *, dry_run: bool) -> int:
    """Puts the rows of a file into the catalogue; they are read before anything is locked."""
    told = rows_told(shop, kind, path)
    with changing(shop.engine, shop.waiting, dry_run=dry_run) as session:
        return put(session, shop, kind, path, told)


def rows_told(shop: Shop, kind: "Kind", path: Path) -> Parsed[Any]:
    """The rows of a file as they are kept, and the faults of those that are not understood."""
    rows = read_rows(path, needed(kind.columns), names_of(kind.columns))
    return parse_rows(rows, lambda cells: kind.row(**read_row(kind.columns, cells, shop)))


def put(session: Session, shop: Shop, kind: "Kind", path: Path, told: Parsed[Any]) -> int:
    """Writes the rows of a file as one entry; gives how many.

    Raises:
        BadFile: one cannot be taken; all that cannot are named.
    """
    faults = list(told.faults)
    for row, value in told.values:
        try:
            kind.add(session, value)
        except StockroomError as error:
            faults.append((row, error))
    raise_faults(path, faults, "mend_rows_unloaded")
    post(session, shop.hand, kind.entry, touches=[kind.about(value) for _, value in told.values])
    return len(told.values)


@dataclass(frozen=True, slots=True)
class Kind:
    """What a file of the catalogue holds: its columns, what a row is, how it is put in."""

    columns: Sequence[Column]
    row: Callable[..., Any]
    add: Callable[[Session, Any], None]
    entry: str
    about: Callable[[Any], tuple[str, str]]


SUPPLIERS = Kind(SUPPLIER, Supplier, catalogue.add_supplier, "load suppliers",
                 lambda _: ("shop", "catalogue"))  # fmt: skip
PROFILES = Kind(PROFILE, Profile, catalogue.add_profile, "load profiles",
                lambda profile: ("profile", profile.code))  # fmt: skip

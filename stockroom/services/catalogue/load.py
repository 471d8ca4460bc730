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
    BREAKS,
    COUNT,
    DAY,
    LENGTH,
    LENGTH_DOWN,
    MACHINE,
    MONEY,
    TEXT,
    WAIT,
    WEEKDAY,
    YES,
    Field,
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
    Field("code", "code", TEXT, needed=True), Field("name", "name", TEXT, needed=True),
    Field("note", "note", TEXT, empty=""), Field("lead_days", "lead_days", COUNT),
    Field("delivery_day", "delivery_day", WEEKDAY),
    Field("order_minimum", "order_minimum_minor", MONEY),
    Field("carriage", "carriage_minor", MONEY),
    Field("free_carriage", "free_carriage_minor", MONEY),
    Field("cut_percent", "cut_percent", COUNT), Field("cut_fee", "cut_fee_minor", MONEY),
    Field("cut_minimum", "cut_minimum_minor", MONEY),
)  # fmt: skip
PROFILE = (
    Field("code", "code", TEXT, needed=True),
    Field("supplier", "supplier_code", TEXT, needed=True),
    Field("name", "name", TEXT, needed=True), Field("kind", "kind", TEXT, needed=True),
    Field("face", "face_um", LENGTH_DOWN, needed=True),
    Field("stick_length", "stick_length_um", LENGTH_DOWN, needed=True),
    Field("shortest_kept", "keep_um", LENGTH_DOWN, needed=True),
    Field("end_trim", "end_trim_um", LENGTH_DOWN, needed=True),
    Field("rabbet_width", "rabbet_width_um", LENGTH),
    Field("rabbet_depth", "rabbet_depth_um", LENGTH), Field("wall", "wall_um", LENGTH),
    Field("recess_depth", "recess_depth_um", LENGTH), Field("height", "height_um", LENGTH),
    Field("price_per_stick", "stick_price_minor", MONEY),
    Field("price_breaks", "price_breaks", BREAKS),
    Field("price_per_metre", "metre_price_minor", MONEY),
    Field("batch_matched", "batch_matched", YES, empty=False),
    Field("minimum_sticks", "minimum_sticks", COUNT, empty=0),
    Field("species", "species", TEXT, empty=""), Field("box_sticks", "box_sticks", COUNT),
    Field("discontinued", "discontinued", YES, empty=False),
    Field("last_order", "last_order", DAY), Field("last_sticks", "last_sticks", COUNT),
    Field("machine", "machine", MACHINE, empty=""), Field("margin", "margin_um", LENGTH),
    Field("wait_cost", "wait_cost", WAIT), Field("repeat", "repeat_um", LENGTH),
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

    columns: Sequence[Field]
    row: Callable[..., Any]
    add: Callable[[Session, Any], None]
    entry: str
    about: Callable[[Any], tuple[str, str]]


SUPPLIERS = Kind(SUPPLIER, Supplier, catalogue.add_supplier, "load suppliers",
                 lambda _: ("shop", "catalogue"))  # fmt: skip
PROFILES = Kind(PROFILE, Profile, catalogue.add_profile, "load profiles",
                lambda profile: ("profile", profile.code))  # fmt: skip

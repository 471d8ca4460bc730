"""Filling the catalogue from files: suppliers and profiles."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlmodel import Session

from stockroom.files.csv_rows import Parsed, parse_rows, raise_faults, read_rows
from stockroom.record import catalogue
from stockroom.record.database import changing, reading
from stockroom.record.ledger import post
from stockroom.record.tables import Profile, Supplier
from stockroom.refusals import Refused, StockroomError
from stockroom.services.counter.typed_jobs import count_of
from stockroom.services.shop import Shop
from stockroom.settings.machines import known_machine
from stockroom.units.dates import weekday_of
from stockroom.units.decimals import yes_or_no
from stockroom.units.lengths import parse_length
from stockroom.units.money import parse_money

__all__ = [
    "load_profiles",
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
    rows = read_rows(path, kind.needs, kind.may)
    return parse_rows(rows, lambda cells: kind.told(cells, shop))


def put(session: Session, shop: Shop, kind: "Kind", path: Path, told: Parsed[Any]) -> int:
    """Writes the rows of a file as one entry; gives how many.

    Raises:
        BadFile: one cannot be taken; all that cannot are named.
    """
    faults = list(told.faults)
    for row, value in told.values:
        try:
            kind.add(session, value)
        except (StockroomError, ValueError) as error:
            faults.append((row, str(error)))
    raise_faults(path, faults, "mend these rows; nothing was loaded")
    post(session, shop.hand, kind.entry, touches=[kind.about(value) for _, value in told.values])
    return len(told.values)


def supplier_told(cells: Mapping[str, str]) -> Supplier:
    """A supplier as a file's row tells it; terms that are not told are not known."""
    if missing := [name for name in SUPPLIER_NEEDS if name not in cells]:
        raise Refused(f"the {' and the '.join(missing)} is missing")

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


@dataclass(frozen=True, slots=True)
class Kind:
    """What a file of the catalogue holds: its columns, what a row is, how it is put in."""

    needs: Sequence[str]
    may: Sequence[str]
    told: Callable[[Mapping[str, str], Shop], Any]
    add: Callable[[Session, Any], None]
    entry: str
    about: Callable[[Any], tuple[str, str]]


SUPPLIERS = Kind(
    SUPPLIER_NEEDS, SUPPLIER_MAY, lambda cells, _: supplier_told(cells), catalogue.add_supplier,
    "load suppliers", lambda _: ("shop", "catalogue"),
)  # fmt: skip
PROFILES = Kind(
    PROFILE_NEEDS, PROFILE_MAY, profile_told, catalogue.add_profile,
    "load profiles", lambda profile: ("profile", profile.code),
)  # fmt: skip

"""A supplier's new list over the catalogue: what is there is changed, what is new is added."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sqlmodel import Session

from stockroom.facts import Tellable
from stockroom.files.csv_rows import raise_faults, read_rows
from stockroom.record import catalogue
from stockroom.record.database import changing
from stockroom.record.ledger import post
from stockroom.record.tables import Profile
from stockroom.refusals import Refused, StockroomError
from stockroom.services.catalogue.load import PROFILE
from stockroom.services.catalogue.profiles import change_in
from stockroom.services.csv_columns import names_of, needed, read_row
from stockroom.services.shop import Shop

__all__ = ["PricesTaken", "load_over"]


@dataclass(frozen=True, slots=True)
class PricesTaken:
    """What a list makes of the catalogue: profiles that are new, and what changes of others."""

    new: tuple[str, ...]
    changes: Mapping[str, tuple[str, ...]]


def load_over(shop: Shop, path: Path, *, dry_run: bool = False) -> PricesTaken:
    """Loads a list of profiles over those that are there, all of it or nothing.

    A profile that is there keeps what the list has no value for; a new one needs all of its
    values. A dry run only says what would change.

    Raises:
        BadFile: the file has a fault; every one is named by its row.
    """
    rows = read_rows(path, ("code",), names_of(PROFILE))
    new: list[str] = []
    changes: dict[str, tuple[str, ...]] = {}
    faults: list[tuple[int, Tellable]] = []
    with changing(shop.engine, shop.waiting, dry_run=dry_run) as session:
        known = {one.code for one in catalogue.profiles(session)}
        for row, cells in rows:
            code = cells.get("code", "").upper()
            try:
                if code in known:
                    values = {name: value for name, value in cells.items() if name != "code"}
                    if said := change_in(session, shop, code, values):
                        changes[code] = tuple(said)
                else:
                    add_new(session, shop, cells)
                    known.add(code)
                    new.append(code)
            except StockroomError as error:
                faults.append((row, error))
        raise_faults(path, faults, "mend_rows_unloaded")
        if new or changes:
            post(session, shop.hand, "load profiles", detail={"changed": [
                f"{code} {said}" for code, every in changes.items() for said in every
            ]}, touches=[("profile", code) for code in (*new, *changes)])  # fmt: skip
    return PricesTaken(tuple(new), changes)


def add_new(session: Session, shop: Shop, cells: Mapping[str, str]) -> None:
    """Puts a profile that is new into the catalogue.

    Raises:
        Refused: it lacks a value that a new one needs.
    """
    if missing := [name for name in needed(PROFILE) if name not in cells]:
        raise Refused("new_profile_lacks", missing=tuple(missing))
    catalogue.add_profile(session, Profile(**read_row(PROFILE, cells, shop)))

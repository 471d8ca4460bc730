"""One supplier of the catalogue: looked at, added, or changed with its terms."""

from collections.abc import Mapping

from sqlmodel import Session

from stockroom.record import catalogue
from stockroom.record.database import changing, reading
from stockroom.record.ledger import post
from stockroom.record.tables import Supplier
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.catalogue.load import SUPPLIER
from stockroom.services.csv_columns import names_of, read_row, written_row
from stockroom.services.shop import Shop
from stockroom.units.texts import kept_text

__all__ = ["SUPPLIER_NAMES", "add_supplier", "change_supplier", "supplier_cells"]

SUPPLIER_NAMES = names_of(SUPPLIER)


def supplier_cells(shop: Shop, code: str) -> dict[str, str]:
    """Everything the catalogue knows of a supplier, as its file spells it.

    Raises:
        Unknown: no supplier has this code.
    """
    with reading(shop.engine) as session:
        return written_row(SUPPLIER, catalogue.supplier_named(session, code), shop)


def add_supplier(shop: Shop, code: str, values: Mapping[str, str]) -> str:
    """Puts one new supplier into the catalogue; gives its code as kept.

    Raises:
        Refused: the code is taken, or the name is missing.
    """
    with changing(shop.engine, shop.waiting) as session:
        given = {name: value for name, value in values.items() if value}
        if "name" not in given:
            raise Refused("new_supplier_needs_name", Remedy(Do.SET_NAME))
        supplier = Supplier(**read_row(SUPPLIER, {**given, "code": code}, shop))
        catalogue.add_supplier(session, supplier)
        post(session, shop.hand, "add supplier", touches=[("shop", "catalogue")],
             detail={"supplier": supplier.code})  # fmt: skip
        return supplier.code


def change_supplier(shop: Shop, code: str, values: Mapping[str, str], why: str = "") -> list[str]:
    """Changes a supplier's name, note or terms; gives each as ``name: old -> new``.

    Raises:
        Refused: the name is taken away.
        Unreadable: a value cannot be read.
    """
    with changing(shop.engine, shop.waiting) as session:
        kept = catalogue.supplier_named(session, code)
        before = written_row(SUPPLIER, kept, shop)
        told = {name: value for name, value in {**before, **values}.items() if value}
        if "name" not in told:
            raise Refused("supplier_keeps_name", Remedy(Do.SET_NAME))
        overwrite(session, kept, Supplier(**read_row(SUPPLIER, told, shop)))
        after = written_row(SUPPLIER, kept, shop)
        said = [f"{name}: {before[name] or 'none'} -> {after[name] or 'none'}"
                for name in SUPPLIER_NAMES if before[name] != after[name]]  # fmt: skip
        if said:
            post(session, shop.hand, "change supplier", why=why, touches=[("shop", "catalogue")],
                 detail={"supplier": kept.code, "changed": said})  # fmt: skip
        return said


def overwrite(session: Session, kept: Supplier, fresh: Supplier) -> None:
    """Writes all values of a supplier over those it has, texts as they are kept."""
    fresh.name = kept_text(fresh.name, "supplier's name")
    fresh.note = kept_text(fresh.note, "supplier's note")
    for name in Supplier.model_fields:
        setattr(kept, name, getattr(fresh, name))
    session.add(kept)
    session.flush()

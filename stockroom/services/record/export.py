"""A complete export of the record as JSON lines, and its import into an empty database."""

from pathlib import Path

from stockroom.record.copies import keep_lines
from stockroom.record.database import engine_for
from stockroom.services.record.backup import opened_copy, proven, put_new
from stockroom.services.shop import Shop

__all__ = ["export_record", "import_record"]


def export_record(shop: Shop, to: Path) -> int:
    """Writes the whole record, entries included, to a new file; gives how many entries it holds.

    Raises:
        NoShop: the file is there already or cannot be written, or the record has faults.
    """
    return proven(keep_lines, shop.engine, to)


def import_record(where: str, path: Path) -> int:
    """Makes a record where there is none from an export or a backup; gives its entries.

    Raises:
        Refused: there is a record already.
        BadFile: the file is no whole record, or its audit finds faults; nothing was made.
    """
    with opened_copy(path) as copy:
        return put_new(engine_for(where), copy)

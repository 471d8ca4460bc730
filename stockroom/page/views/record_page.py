"""The record: what happened last, each entry taken back by a key; its last backup, its proof."""

from datetime import UTC, datetime

from starlette.responses import Response

from stockroom.facts import Tellable
from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.services.record.backup import back_up
from stockroom.services.record.daily import last_backup
from stockroom.services.record.history import audit_shop, entry_row, entry_rows
from stockroom.services.record.undo import LASTING, undo

__all__ = ["ROUTES"]

MOST, FAULTS = 40, 20
"""Entries shown, the newest first; faults shown of a record that is not true."""


def record(ask: Ask) -> Response:
    """What happened last, and how old the last backup is."""
    return of_record(ask)


def of_record(ask: Ask, faults: list[Tellable] | None = None) -> Response:
    """The page, with the faults that were found where they were looked for."""
    last = last_backup(ask.shop.engine, ask.shop.settings.backups)
    old = None if last is None else last.age(datetime.now(UTC))
    return render(ask, "record.html", entries=entry_rows(ask.shop, last=MOST), old=old,
                  faults=faults)  # fmt: skip


def entry(ask: Ask) -> Response:
    """One entry: what it moved, and the key that takes it back."""
    row = entry_row(ask.shop, ask.path["number"])
    return render(ask, "entry.html", row=row, stays=bool(row.undone_by) or row.kind in LASTING)


def taken_back(ask: Ask) -> Response:
    """An entry is undone by a new one."""
    undo(ask.shop, ask.path["number"], ask.form.get("why", ""))
    return go("/record")


def backed_up(ask: Ask) -> Response:
    """A backup, proven before it has its name."""
    back_up(ask.shop)
    return go("/record")


def proven(ask: Ask) -> Response:
    """The record is audited, and what it found is said."""
    return of_record(ask, [fault.told for fault in audit_shop(ask.shop)[:FAULTS]])


ROUTES = (
    shown("/record", record, "owner"),
    shown("/record/{number:number}", entry, "owner"),
    changes("/record/{number:number}/undo", taken_back, "owner", again=entry),
    changes("/record/backup", backed_up, "owner", again=record),
    changes("/record/proof", proven, "owner", again=record),
)

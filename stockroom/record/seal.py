"""Seals: what shows that the record is as this program wrote it, whoever edits it by hand.

Each entry carries a seal: the hash of its own rows (the entry, its lines, what it is about) and of
the seal before it, so that no past entry can be changed, put in or taken out without a break in the
chain. For all other tables, whose rows change as work goes on, a sum of the hashes of their rows is
kept, which each change brings up to date by the rows that it touched. The last entry's number and
seal are kept too, so that the newest cannot be taken away unseen. A copy of the record carries all
of this with it, and its chain must be the beginning of ours.

Source of the sum: M. Bellare and D. Micciancio, A new paradigm for collision-free hashing (1997),
AdHash. It is no signature: who can rewrite every seal is found by an older copy alone.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Table, bindparam, event, select, text
from sqlmodel import Field, Session, SQLModel

from stockroom.record.databases.server import put_rows
from stockroom.record.row_text import (
    CHAINED,
    Key,
    Tables,
    cells,
    entries_as_text,
    hashed,
    hashes_of,
    row_as_text,
    streamed,
    unshowable,
)

__all__ = ["Seal", "add_rows", "broken_seals", "seal", "seal_anew", "seals", "watch",
           "with_defaults"]  # fmt: skip

Fault = tuple[str, str, int, int]

SEALS = "seal"
NOTED = "rows as they were before this change"
MODULUS = 2**256
SHOWN = "its texts can be shown on any screen"
IN_LINES = ("plan",)
"""What the planner was asked and answered has line ends."""
CHUNK = 2_000
SEALED_AT_ONCE = text("""UPDATE entry SET seal = told.seal
    FROM unnest(CAST(:which AS integer[]), CAST(:sealed AS text[])) AS told(id, seal)
    WHERE entry.id = told.id""")


class Seal(SQLModel, table=True):
    """How many rows a table has, and the sum of their hashes; of entries the last, and its seal."""

    name: str = Field(primary_key=True)
    count: int
    digest: str


def watch(session: Session) -> None:
    """Has a session note what the rows that it writes were before."""
    session.info[NOTED] = {}
    event.listen(session, "before_flush", note)


def note(session: Session, _context: Any, _instances: Any) -> None:
    """Notes rows about to be written: hashed as they are, nothing where they are new."""
    noted: dict[tuple[str, Key], int] = session.info[NOTED]
    for row in session.new:
        noted.setdefault(place_of(row), 0)
    changed: dict[str, list[Key]] = {}
    for row in (*session.dirty, *session.deleted):
        name, key = place_of(row)
        if (name, key) not in noted and name not in CHAINED:
            changed.setdefault(name, []).append(key)
    for name, keys in changed.items():
        hashed = hashes_of(session, SQLModel.metadata.tables[name], keys)
        noted.update({(name, key): hashed.get(key, 0) for key in keys})


def add_rows(session: Session, model: type[SQLModel], rows: Sequence[Mapping[str, Any]]) -> None:
    """Writes new rows, alike in what they tell, without an object for each; noted as any other."""
    session.flush()
    if not rows:
        return
    table: Table = model.__table__  # type: ignore[attr-defined]
    put_rows(session.connection(), table, with_defaults(model, rows))
    noted: dict[tuple[str, Key], int] = session.info[NOTED]
    key = [column.name for column in table.primary_key]
    noted.update(((table.name, tuple(row[name] for name in key)), 0) for row in rows)


def with_defaults(
    model: type[SQLModel], rows: Sequence[Mapping[str, Any]]
) -> list[Mapping[str, Any]]:
    """New rows, alike in what they tell, with what they leave out."""
    rest = {name: field.get_default(call_default_factory=True)
            for name, field in model.model_fields.items() if name not in rows[0]}  # fmt: skip
    return [{**rest, **row} for row in rows]


def place_of(row: Any) -> tuple[str, Key]:
    """A row's table and key."""
    table = row.__table__
    return table.name, tuple(getattr(row, column.name) for column in table.primary_key)


def seal(session: Session, key: str | None = None) -> None:
    """Seals the entries that this session wrote, and brings the sums of the tables up to date.

    The first of them carries the key of the command, if it has one.
    """
    noted: dict[tuple[str, Key], int] = session.info[NOTED]
    if not noted:
        return
    tables = SQLModel.metadata.tables
    if key is not None:
        first = min((number for name, number in noted if name == "entry"), default=(0,))
        entry = tables["entry"]
        session.connection().execute(
            entry.update().where(entry.c.id == first[0]).values(key=key)
        )  # fmt: skip
    kept = kept_seals(session, tables)
    for name, places in groupby(sorted(noted, key=itemgetter(0)), key=itemgetter(0)):
        keys = [key for _, key in places]
        if name == "entry":
            kept[name] = seal_entries(session, tables, sorted(keys), kept.get(name, (0, "")))
        elif name not in CHAINED and name != SEALS:
            count, total = kept.get(name, (0, ""))
            after = hashes_of(session, tables[name], keys)
            was = [noted[name, key] for key in keys]
            moved = sum(after.values()) - sum(was)
            count += len(after) - sum(1 for hashed in was if hashed)
            kept[name] = count, f"{(int(total or '0', 16) + moved) % MODULUS:064x}"
    keep(session, tables, kept)
    noted.clear()


def seal_anew(session: Session) -> None:
    """Seals a whole record as it is: one that had no seals, or whose tables have changed."""
    session.flush()
    session.expunge_all()
    tables = SQLModel.metadata.tables
    entries = [(number,) for (number,) in session.connection().execute(
        select(tables["entry"].c.id).order_by(tables["entry"].c.id))]  # fmt: skip
    kept = {name: summed(session, tables[name])[:2] for name in summed_names(tables)}
    if entries:
        kept["entry"] = seal_entries(session, tables, entries, (0, ""))
    keep(session, tables, kept)
    session.info.get(NOTED, {}).clear()


def seal_entries(
    session: Session, tables: Tables, keys: list[Key], last: tuple[int, str]
) -> tuple[int, str]:
    """Seals entries, each by the one before; gives the last one's number and seal."""
    number, before = last
    for start in range(0, len(keys), CHUNK):
        some = [key[0] for key in keys[start : start + CHUNK]]
        sealed = {}
        for number, rows, _ in entries_as_text(session, tables, some[0], some[-1]):
            before = sealed[number] = hashed_entry(before, rows)
        keep_sealed(session.connection(), tables["entry"], sealed)
    return number, before


def keep_sealed(connection: Connection, entry: Table, sealed: Mapping[int, str]) -> None:
    """Gives entries their seals; many go to a server as one statement, as their rows do."""
    if connection.dialect.name == "postgresql":
        connection.execute(SEALED_AT_ONCE, {"which": list(sealed), "sealed": [*sealed.values()]})
        return
    change = entry.update().where(entry.c.id == bindparam("which")).values(seal=bindparam("sealed"))
    rows = [{"which": number, "sealed": seal} for number, seal in sealed.items()]
    connection.execute(change, rows)


def hashed_entry(before: str, rows: Iterable[str]) -> str:
    """An entry's seal: the hash of the seal before and of its own rows."""
    return hashlib.sha256("\n".join((before, *rows)).encode()).hexdigest()


def summed(session: Session, table: Table) -> tuple[int, str, int]:
    """How many rows a table has, the sum of their hashes, and how many no screen can show."""
    count = total = unshown = 0
    for row in streamed(session, select(*cells(session, table))):
        text = row_as_text(table, row)
        count += 1
        total += hashed(text)
        unshown += table.name not in IN_LINES and unshowable(text)
    return count, f"{total % MODULUS:064x}", unshown


def summed_names(tables: Tables) -> list[str]:
    """The tables whose rows change as work goes on."""
    return sorted(name for name in tables if name not in (*CHAINED, SEALS))


def kept_seals(session: Session, tables: Tables) -> dict[str, tuple[int, str]]:
    """What is kept of each table: how many rows and their sum; of entries the last, its seal."""
    table = tables[SEALS]
    asked = select(table.c.name, table.c["count"], table.c.digest)
    return {name: (count, digest) for name, count, digest in session.connection().execute(asked)}


def keep(session: Session, tables: Tables, kept: Mapping[str, tuple[int, str]]) -> None:
    """Keeps these in place of what was kept before."""
    connection, table = session.connection(), tables[SEALS]
    connection.execute(table.delete().where(table.c.name.in_(list(kept))))
    rows = [{"name": name, "count": count, "digest": digest}
            for name, (count, digest) in kept.items()]  # fmt: skip
    if rows:
        connection.execute(table.insert(), rows)


def broken_seals(session: Session, tables: Tables | None = None) -> Iterator[Fault]:
    """What was not written by this program: about what, which rule, expected and found."""
    tables = tables or SQLModel.metadata.tables
    kept = kept_seals(session, tables)
    before, number, rule = "", 0, "it is as it was when it was written"
    for number, rows, sealed in entries_as_text(session, tables):
        if hashed_entry(before, rows) != sealed:
            yield f"entry {number}", rule, 0, 1
        if any(map(unshowable, rows)):
            yield f"entry {number}", SHOWN, 0, 1
        before = sealed or ""
    last, digest = kept.get("entry", (0, ""))
    if last != number:
        yield "the newest entry", "it is the last that was written", last, number
    elif digest != before:
        yield f"entry {number}", rule, 0, 1
    for name in summed_names(tables):
        count, total = kept.get(name, (0, "0" * 64))
        found, now, unshown = summed(session, tables[name])
        if (found, now) != (count, total):
            differ = (count, found) if count != found else (0, 1)
            yield f"table {name}", "its rows are as this program left them", *differ
        if unshown:
            yield f"table {name}", SHOWN, 0, unshown


def seals(session: Session) -> Iterator[tuple[int, str | None]]:
    """Each entry's number and the seal that it carries, in order."""
    entry = SQLModel.metadata.tables["entry"]
    return streamed(session, select(entry.c.id, entry.c.seal).order_by(entry.c.id))

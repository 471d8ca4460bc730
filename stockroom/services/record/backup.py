"""Backup while the shop works: a copy is proven by an audit before it gets its name."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.files.new_file import as_text, folder_aside, write_new
from stockroom.record import schema
from stockroom.record.audit import Violation
from stockroom.record.condition import MAGIC, engine_faults
from stockroom.record.copies import as_lines, copy_into, filled, free_name, keep_copy, version_named
from stockroom.record.database import engine_for, reading
from stockroom.record.databases.server import take_time
from stockroom.record.seal import seals
from stockroom.record.tables import Entry
from stockroom.refusals import BadFile, Damaged, NoShop
from stockroom.remedies import Do, Remedy
from stockroom.services.record.proof import faults_of
from stockroom.services.shop import Shop

__all__ = ["Backup", "against", "back_up", "newest", "opened_copy", "pour", "proven", "put_new"]

MOST_FAULTS = 20


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy of the record: where it is, and how many entries it holds."""

    path: Path
    entries: int


def back_up(shop: Shop, folder: Path | None = None) -> Backup:
    """Copies the record while others use it, and audits the copy before it gets its name.

    The copy is named by the time, in the record's own folder ``backups`` unless told.

    Raises:
        NoShop: it cannot be written, or the record has faults.
    """
    to = free_name(shop.engine, "backup", shop.hand.at, folder)
    return Backup(to, proven(keep_copy, shop.engine, to))


def proven(keep: Callable[..., None], engine: Engine, to: Path) -> int:
    """Keeps a copy that an audit finds no fault with; gives how many entries it holds.

    Raises:
        NoShop: it has faults, or cannot be written; there is no such copy.
    """
    entries = 0

    def prove(part: Path) -> None:
        nonlocal entries
        with opened_copy(part) as copy:
            entries = newest(copy)[0]

    try:
        keep(engine, to, schema.NEWEST, prove)
    except BadFile as error:
        raise NoShop("faults_so_no_copy", Remedy(Do.SEE_AUDIT), faults=error.faults) from error
    return entries


def newest(engine: Engine) -> tuple[int, datetime | None]:
    """The last entry of a record, and when it was written."""
    with reading(engine) as session:
        return newest_in(session)


def newest_in(session: Session) -> tuple[int, datetime | None]:
    """The last entry that this session sees."""
    entry = session.exec(select(Entry).order_by(col(Entry.id).desc())).first()
    return (0, None) if entry is None else (entry.id, entry.at)


@contextmanager
def opened_copy(path: Path) -> Iterator[Engine]:
    """A copy of the record opened aside, brought up to date, and audited; itself left as it is.

    Raises:
        BadFile: it is no copy of a record, or has faults.
        NoShop: it was written by a newer program.
    """
    with folder_aside() as folder:
        engine = engine_for(str(folder / "copy.db"))
        try:
            load(engine, path)
            with reading(engine) as session:
                faults = [fault.told for fault in faults_of(session)[:MOST_FAULTS]]
        except (Damaged, DBAPIError, ValueError) as error:
            faults = [Fact("it_is_damaged") if isinstance(error, Damaged) else as_said(error)]
        if faults:
            raise BadFile(
                str(path), [(0, fault) for fault in faults], "take_another_copy_unchanged"
            )
        yield engine


def as_said(error: Exception | str) -> Fact:
    """A fault as a database tells it."""
    return Fact("as_said", {"said": str(error)})


def load(engine: Engine, path: Path) -> None:
    """Makes a record of a copy, as it is, then brings it up to date."""
    if not is_sqlite(path):
        load_lines(engine, path)
        return
    aside = Path(str(engine.url.database))
    copy_into(path, aside)
    if faults := engine_faults(aside):
        raise BadFile(str(path), [(0, as_said(fault)) for fault in faults], "take_another_copy")
    try:
        schema.ensure_current(engine)
    except NoShop as error:
        # It names the copy aside, which nobody knows.
        if error.code == "not_a_shop":
            fault = Fact("no_copy_of_record")
            raise BadFile(str(path), [(0, fault)], "check_path") from error
        if error.code == "written_by_newer":
            version = error.about["version"]
            raise NoShop("copy_of_newer_program", path=path, version=version,
                         newest=schema.NEWEST) from error  # fmt: skip
        raise


def is_sqlite(path: Path) -> bool:
    """True for a file of SQLite, by its first bytes.

    Raises:
        BadFile: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None)
        fault = Fact("file_cannot_be_read", {"why": said}) if said else Fact("name_is_no_path")
        raise BadFile(str(path), [(0, fault)], "check_path") from error


def load_lines(engine: Engine, path: Path) -> None:
    """Makes a record from JSON lines, of the version that they were written by, then up to date."""
    version = version_named(path)
    if version not in schema.VERSIONS:
        raise NoShop("copy_of_newer_program", path=path, version=version, newest=schema.NEWEST)
    schema.create(engine, lambda session: filled(session, path), version)
    schema.ensure_current(engine)


def put_new(target: Engine, copy: Engine) -> int:
    """Puts a whole record where there is none; gives how many entries it holds.

    Raises:
        Refused: there is one already.
    """
    schema.create(target, lambda session: pour(copy, session))
    return newest(copy)[0]


def pour(copy: Engine, session: Session) -> None:
    """Puts all rows of a copy into empty tables."""
    take_time(session.connection())
    with folder_aside() as folder:
        lines = folder / "record.jsonl"
        with reading(copy) as source:
            write_new(lines, as_text(as_lines(source, schema.NEWEST)))
        filled(session, lines)


def against(shop: Shop, path: Path) -> list[Violation]:
    """Where the record's past is not that of a backup or an export; none where it is.

    Raises:
        BadFile: it is no copy of a record, or has faults.
    """
    with opened_copy(path) as copy, reading(copy) as theirs, reading(shop.engine) as ours:
        here = dict(seals(ours))
        last, rule = max(here, default=0), Fact("as_copy_has_it", {"copy": path.name})
        number = 0
        for number, sealed in seals(theirs):
            if number <= last and here.get(number) != sealed:
                return [Violation(f"entry {number}", rule, 0, 1)]
    if number > last:
        return [Violation("the newest entry", rule, number, last)]
    return []

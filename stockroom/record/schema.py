"""The record's schema: made new, checked at each opening, brought up to date after a backup."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session

from stockroom.files.new_file import new_file
from stockroom.record.copies import free_name, keep_copy
from stockroom.record.database import (
    changing,
    has_table,
    reading,
    sqlite_engine,
    sqlite_path,
)
from stockroom.record.database_errors import place_of, translated
from stockroom.refusals import NoShop, Refused

__all__ = ["NEWEST", "VERSIONS", "create", "ensure_current", "is_there", "upgrade", "version_of"]

VERSIONS = ("0001", "0002", "0003")
NEWEST = VERSIONS[-1]
MIGRATIONS = Path(__file__).parent / "migrations"
Fill = Callable[[Session], None]


def version_of(engine: Engine) -> str | None:
    """The schema version of a record; None where the database holds no record of ours."""
    with reading(engine) as session:
        return version_in(session)


def version_in(session: Session) -> str | None:
    """The schema version that this session sees; None where there is no record of ours."""
    if not has_table(session, "alembic_version") or not has_table(session, "entry"):
        return None
    row = session.connection().execute(text("SELECT version_num FROM alembic_version")).first()
    return None if row is None else str(row[0])


def create(engine: Engine, fill: Fill | None = None, version: str = NEWEST) -> None:
    """Makes a new record and puts into it what ``fill`` writes: all of it, or nothing.

    Raises:
        Refused: there is a file, or a record, already.
        NoShop: it cannot be made there.
    """
    path = sqlite_path(engine)
    made = path is not None and begin_file(engine, path)
    try:
        with changing(engine) as session:
            if version_in(session) is not None:
                raise Refused(f"there is a record already: {place_of(engine)}",
                              "name another with --shop")  # fmt: skip
            upgrade(session.connection(), version)
            if fill is not None:
                fill(session)
    except BaseException:
        if made and path is not None:
            remove_file(path)
        raise


def begin_file(engine: Engine, path: Path) -> bool:
    """An empty database in a file that only its owner can read; True where the file is new.

    An empty database that a stopped setup left behind is taken over.

    Raises:
        Refused: the file holds something.
    """
    try:
        new_file(path)
        made = True
    except FileExistsError:
        if not holds_nothing(engine, path):
            raise Refused(f"there is a file already: {path}", "name another with --shop") from None
        path.chmod(0o600)
        made = False
    with translated(engine), engine.connect() as connection:
        connection.connection.dbapi_connection.execute(  # type: ignore[union-attr]
            "PRAGMA journal_mode = WAL"
        ).close()
    return made


def holds_nothing(engine: Engine, path: Path) -> bool:
    """True where a file is an SQLite database without a table, or is empty."""
    try:
        with reading(engine) as session:
            asked = text("SELECT COUNT(*) FROM sqlite_master")
            return path.is_file() and session.connection().execute(asked).scalar() == 0
    except NoShop:
        return False


def remove_file(path: Path) -> None:
    """Takes away a new record that could not be filled."""
    for suffix in ("", "-wal", "-shm", "-journal"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)


def is_there(path: Path) -> bool:
    """True where there is something of this name; a name that cannot be looked up is not there."""
    try:
        return path.exists()
    except OSError:
        return False


def ensure_current(engine: Engine) -> Path | None:
    """Refuses a record that is missing, foreign or newer; upgrades an older one after a backup.

    Gives the backup where one was made.

    Raises:
        NoShop: there is no record here, or it is newer than this program.
    """
    path, where = sqlite_path(engine), place_of(engine)
    if path is not None and not is_there(path):
        raise NoShop(f"there is no shop at {where}", "make one: stockroom setup")
    version = version_of(engine)
    if version is None:
        raise NoShop(f"{where} is not a shop's record", "name another with --shop")
    if version not in VERSIONS:
        raise NoShop(
            f"{where} was written by a newer program (its version {version}, ours {NEWEST})",
            "update this program; nothing was changed",
        )
    return None if version == NEWEST else bring_up(engine, version)


def bring_up(engine: Engine, version: str) -> Path:
    """Upgrades an older record after a backup; gives the backup.

    Raises:
        NoShop: it cannot be upgraded; it is as it was.
    """
    keep = free_name(engine, f"before-{NEWEST}", datetime.now(UTC))
    keep_copy(engine, keep, version)
    path = sqlite_path(engine)
    unchecked = engine if path is None else sqlite_engine(engine.url, keys=False)
    with changing(unchecked) as session:
        if version_in(session) == NEWEST:
            return keep
        try:
            upgrade(session.connection())
        except DBAPIError as error:
            raise stuck(engine, str(error.orig), keep) from error
        if path is not None:
            asked = text("PRAGMA foreign_key_check")
            if astray := session.connection().execute(asked).first():
                raise stuck(engine, f"rows of {astray[0]} point nowhere", keep)
    return keep


def stuck(engine: Engine, why: str, keep: Path) -> NoShop:
    """The refusal of a record that cannot be brought up to date."""
    return NoShop(f"{place_of(engine)} cannot be brought up to date: {why.strip().splitlines()[0]}",
                  f"nothing was changed; report this; a copy is at {keep}")  # fmt: skip


def upgrade(connection: Connection, version: str = "head") -> None:
    """Runs the migrations that this connection's database still lacks, up to a version."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, version)

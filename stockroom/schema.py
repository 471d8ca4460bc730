"""The record's schema: made new, checked at each opening, brought up to date after a backup."""

from pathlib import Path

from sqlalchemy import Connection, Engine, text

from stockroom.database import changing, has_table, owner_only, reading, shown, sqlite_path
from stockroom.errors import NoShop, Refused

__all__ = ["NEWEST", "create", "ensure_current", "version_of"]

VERSIONS = ("0001",)
NEWEST = VERSIONS[-1]


def version_of(engine: Engine) -> str | None:
    """The schema version of a record; None where the database holds no record of ours."""
    with reading(engine) as session:
        if not has_table(session, "alembic_version") or not has_table(session, "entry"):
            return None
        row = session.connection().execute(text("SELECT version_num FROM alembic_version")).first()
        return None if row is None else str(row[0])


def create(engine: Engine) -> None:
    """Makes a new, empty record.

    Raises:
        Refused: there is a file, or a record, already.
    """
    path = sqlite_path(engine)
    if path is not None:
        if path.exists():
            raise Refused(f"there is a file already: {path}", "name another with --shop")
        owner_only(path)
        with engine.connect() as connection:
            connection.connection.dbapi_connection.execute(  # type: ignore[union-attr]
                "PRAGMA journal_mode = WAL"
            ).close()
    elif version_of(engine) is not None:
        raise Refused(f"there is a record already: {shown(engine.url)}", "name another with --shop")
    with changing(engine) as session:
        upgrade(session.connection())


def ensure_current(engine: Engine) -> None:
    """Refuses a record that is missing, foreign or newer; upgrades an older one.

    Raises:
        NoShop: there is no record here, or it is newer than this program.
    """
    path = sqlite_path(engine)
    where = str(path) if path is not None else shown(engine.url)
    if path is not None and not path.exists():
        raise NoShop(f"there is no shop at {where}", "make one: stockroom setup")
    version = version_of(engine)
    if version is None:
        raise NoShop(f"{where} is not a shop's record", "name another with --shop")
    if version not in VERSIONS:
        raise NoShop(
            f"{where} was written by a newer program (its version {version}, ours {NEWEST})",
            "update this program; nothing was changed",
        )


def upgrade(connection: Connection) -> None:
    """Runs the migrations that this connection's database still lacks."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")

"""A record on a PostgreSQL server: how its connections lock, and how long they wait for an answer.

A server that was halted, or a network that was cut, answers nothing at all: neither the server's
own limits nor keepalive may tell, so that the client counts the seconds itself.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sqlalchemy import (
    Boolean,
    Column,
    ColumnElement,
    Connection,
    Date,
    DateTime,
    Engine,
    Integer,
    Table,
    cast,
    create_engine,
    event,
    func,
    text,
)
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, Pool

from stockroom.record.databases.kind import DatabaseKind, as_it_lies
from stockroom.refusals import NoShop

if TYPE_CHECKING:
    import psycopg

__all__ = ["HOME", "POSTGRESQL", "put_rows", "take_time"]

HOME = "stockroom"
"""The schema of ours on a server: other programs' tables have theirs."""
WRITE_LOCK = 7_307_001
CONNECT_SECONDS = 10
ANSWER_SECONDS = 120
"""A statement that is not answered for so long never will be."""
LONG_SECONDS = 3_600
FEW_ROWS = 20
LOCK_NOT_AVAILABLE = "55P03"
IDLE_SECONDS = 60
"""After so long without a word from a writer, a server takes it for gone and frees the lock."""
ASKED = {"connect_timeout": CONNECT_SECONDS, "keepalives": 1, "keepalives_idle": 30,
         "keepalives_interval": 10, "keepalives_count": 3, "tcp_user_timeout": 60_000}  # fmt: skip


def engine_on_server(url: URL, pool: type[Pool] = NullPool) -> Engine:
    """PostgreSQL; readers see one moment (repeatable read), writers queue at one lock.

    A writer reads committed rows, whatever the server's default: a snapshot taken before the lock
    would show it a rack that others have changed since.

    Raises:
        NoShop: the driver is not installed, or the URL is not understood.
    """
    asked = {name: value for name, value in ASKED.items() if name not in url.query}
    try:
        engine = create_engine(url.set(drivername="postgresql+psycopg"), poolclass=pool,
                               connect_args=asked)  # fmt: skip
    except ModuleNotFoundError as error:
        raise NoShop("no_postgresql_driver") from error
    event.listen(engine, "do_connect", connected)
    event.listen(engine, "begin", begin)
    return engine


def connected(_dialect: Any, _record: Any, places: Any, asked: Any) -> "psycopg.Connection[Any]":
    """A connection that gives up on a server which answers nothing."""
    import psycopg

    class Patient(psycopg.Connection[Any]):
        """A connection that closes itself where no answer comes."""

        patience: float = ANSWER_SECONDS

        def wait(self, gen: Any, interval: float = 0.1, timeout: float | None = None) -> Any:
            """Waits for an answer, but not for ever."""
            try:
                return super().wait(gen, interval, self.patience if timeout is None else timeout)
            except psycopg.Error as error:
                if "wait timeout expired" not in str(error) or timeout is not None:
                    raise
                self.pgconn.finish()
                raise psycopg.OperationalError(
                    f"the server did not answer for {self.patience:g} s"
                ) from error

    try:
        return Patient.connect(*places, **asked)
    except psycopg.ProgrammingError as error:  # Of a URL's option that nobody knows.
        raise psycopg.OperationalError(str(error)) from error


def begin(connection: Connection) -> None:
    """Begins a transaction: a reader's, or a writer's under the shop's one lock."""
    wait = connection.get_execution_options().get("lock_wait_ms")
    say = connection.exec_driver_sql
    if wait is None:
        say("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY;" + limits(LONG_SECONDS))
        return
    say("SET TRANSACTION ISOLATION LEVEL READ COMMITTED READ WRITE;"
        f"SET LOCAL lock_timeout = {wait}; SET LOCAL statement_timeout = 0")  # fmt: skip
    be_patient(connection, wait / 1000 + ANSWER_SECONDS)
    say(f"SELECT pg_advisory_xact_lock({WRITE_LOCK})")
    be_patient(connection, ANSWER_SECONDS)
    say(limits(IDLE_SECONDS))


def limits(idle: int) -> str:
    """What holds in a transaction, whatever the server or the role has set: how long a statement
    takes, how long it may lie ``idle`` in seconds, and where our tables are."""
    return (f"SET LOCAL statement_timeout = '{ANSWER_SECONDS - 10} s';"
            f"SET LOCAL idle_in_transaction_session_timeout = '{idle} s';"
            f"SET LOCAL search_path TO {HOME}")  # fmt: skip


def be_patient(connection: Connection, seconds: float) -> None:
    """Has a connection wait for so long, and no longer, for each answer."""
    connection.connection.dbapi_connection.patience = seconds  # type: ignore[union-attr]


def take_time(connection: Connection) -> None:
    """Lets one transaction be slow and lie idle: a restore fills whole tables at once."""
    if connection.dialect.name == "postgresql":
        be_patient(connection, LONG_SECONDS)
        for limit in ("statement_timeout", "idle_in_transaction_session_timeout"):
            connection.execute(text(f"SET LOCAL {limit} = '{LONG_SECONDS} s'"))


def put_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Writes new rows, alike in what they tell; many go to a server as one stream.

    One by one they take a server's client ten times as long.

    Raises:
        DBAPIError: they do not fit.
    """
    if connection.dialect.name == "postgresql" and len(rows) > FEW_ROWS:
        stream_rows(connection, table, rows)
    elif rows:
        connection.execute(table.insert(), rows)


def stream_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Writes new rows as one stream, each cell as a statement would bind it."""
    import psycopg

    names = list(rows[0])
    bound = {name: table.c[name].type.dialect_impl(connection.dialect)
             .bind_processor(connection.dialect) for name in names}  # fmt: skip
    quoted = map(connection.dialect.identifier_preparer.quote, (table.name, *names))
    said = "COPY {} ({}) FROM STDIN".format(next(quoted), ", ".join(quoted))
    driver: Any = connection.connection.dbapi_connection
    try:
        with driver.cursor() as cursor, cursor.copy(said) as stream:
            for row in rows:
                stream.write_row([bind(row[name]) if bind else row[name]
                                  for name, bind in bound.items()])  # fmt: skip
    except psycopg.Error as error:
        raise DBAPIError.instance(
            said, None, error, psycopg.Error, connection_invalidated=driver.closed
        ) from error


def locked(error: DBAPIError) -> bool:
    """True where another writes."""
    return getattr(error.orig, "sqlstate", None) == LOCK_NOT_AVAILABLE


def server_cell(column: Column[Any], kind: object) -> ColumnElement[Any]:
    """A cell as SQLite has it."""
    if isinstance(kind, DateTime):
        return func.to_char(column, "YYYY-MM-DD HH24:MI:SS.US")
    if isinstance(kind, Date):
        return func.to_char(column, "YYYY-MM-DD")
    return cast(column, Integer) if isinstance(kind, Boolean) else as_it_lies(column, kind)


POSTGRESQL = DatabaseKind(
    engine_on_server,
    locked,
    "SELECT 1 WHERE to_regclass(:name) IS NOT NULL",
    "(f.rails_um ->> r.rail)",
    server_cell,
)

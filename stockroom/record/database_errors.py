"""What a database says when it fails, turned into what a framer can act on."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import DataError, DBAPIError, IntegrityError, OperationalError

from stockroom.record.databases.known_kinds import kind_of
from stockroom.refusals import Busy, Clash, Damaged, NoShop, Refused, StockroomError
from stockroom.remedies import Do, Remedy

__all__ = [
    "LAST_BACKUP",
    "damaged",
    "is_damage",
    "lost_at_commit",
    "place_of",
    "shown",
    "translated",
]

SECRETS = re.compile(r"pass|secret|token|key", re.IGNORECASE)
SIGNS = (
    ("not a database", "file_is_no_record"), ("readonly", "file_cannot_be_written"),
    ("read-only", "database_cannot_be_written"), ("unable to open", "record_cannot_be_opened"),
    ("full", "disk_full"), ("No space left", "disk_full"), ("disk I/O", "disk_refused"),
)  # fmt: skip
UNCHANGED = ("disk_full", "disk_refused", "database_says")
"""What is said of a change that came to nothing."""
CORRUPT = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_FORMAT)
NOT_ALLOWED = "42501"
CORRUPT_STATES = ("XX001", "XX002")
LAST_BACKUP = Remedy(Do.LAST_BACKUP)


def shown(url: str | URL) -> str:
    """The URL as it may be shown: without its password, wherever it stands in it."""
    try:
        whole = make_url(url)
    except (ValueError, TypeError):
        return "the shop's database"
    hidden = {name: "***" for name, value in whole.query.items()
              if SECRETS.search(name) or SECRETS.search(str(value))}  # fmt: skip
    plain = whole.set(drivername=whole.get_backend_name())
    return plain.update_query_dict(hidden).render_as_string(hide_password=True)


def place_of(engine: Engine) -> str:
    """A record's place as it may be shown: a file's path, or a URL without its password."""
    return str(engine.url.database) if engine.dialect.name == "sqlite" else shown(engine.url)


@contextmanager
def translated(engine: Engine, *, read: bool = False) -> Iterator[None]:
    """Turns what a database says into what a framer can act on.

    Where it was ``read`` alone, nothing is said of what was changed: a change may just have been
    recorded, whose outcome could not be read.

    Raises:
        Busy, Clash, Damaged, NoShop, Refused: what the database said amounts to it.
    """
    try:
        try:
            yield
        except sqlite3.Error as error:
            raise OperationalError(None, None, error) from error
    except DBAPIError as error:
        found = refusal(engine, error)
        if read and isinstance(found, NoShop) and found.code in UNCHANGED:
            said = without_secrets(str(error.orig).strip().partition("\n")[0], engine.url)
            found = NoShop("record_not_read", place=place_of(engine), said=said)
        raise found from error
    except (OverflowError, UnicodeEncodeError) as error:
        raise unfit() from error
    except UnicodeDecodeError as error:
        raise damaged(engine) from error


def damaged(engine: Engine) -> Damaged:
    """The refusal of a record whose bytes cannot be understood."""
    return Damaged("record_damaged", LAST_BACKUP, place=place_of(engine))


def is_damage(error: BaseException | None) -> bool:
    """True where a database says that what it holds is broken, not merely out of reach."""
    code = getattr(error, "sqlite_errorcode", None)
    return (
        (code is not None and code & 0xFF in CORRUPT)
        or "Could not decode" in str(error)
        or getattr(error, "sqlstate", None) in CORRUPT_STATES
    )


def unfit() -> Refused:
    """The refusal of a value that no database can hold."""
    return Refused("cannot_be_kept")


def refusal(engine: Engine, error: DBAPIError) -> StockroomError | DBAPIError:
    """The refusal that a database error amounts to; the error itself where it is a bug of ours."""
    if kind_of(engine).locked(error):
        return Busy("another_writes")
    if is_damage(error.orig):
        return damaged(engine)
    if getattr(error.orig, "sqlstate", None) == NOT_ALLOWED:
        said = str(error.orig).strip().splitlines()[0]
        return NoShop("role_may_not", place=place_of(engine), said=said)
    if isinstance(error, DataError):
        return unfit()
    if isinstance(error, IntegrityError) and "_held" in str(error.orig):
        return Clash("held_already", Remedy(Do.PLAN_AGAIN))
    said = str(error.orig).strip().splitlines()[0] if str(error.orig).strip() else "no reason given"
    for sign, code in SIGNS:
        if sign in said:
            other = Remedy(Do.OTHER_SHOP) if code == "file_is_no_record" else None
            return NoShop(code, other, place=place_of(engine))
    if isinstance(error, OperationalError) or error.connection_invalidated:
        return NoShop(
            "database_says", place=place_of(engine), said=without_secrets(said, engine.url)
        )
    return error


def without_secrets(said: str, url: URL) -> str:
    """What a database said, without the password that it may have been told."""
    secrets = [str(url.password or ""), *(str(value) for name, value in url.query.items()
                                          if SECRETS.search(name))]  # fmt: skip
    for secret in filter(None, secrets):
        said = said.replace(secret, "***")
    return said


def lost_at_commit(engine: Engine, key: str | None) -> NoShop:
    """The refusal where the database failed as the entry was being written for good."""
    return NoShop("failed_at_commit",
                  Remedy(Do.REPEAT_UNDER_KEY, key) if key else Remedy(Do.SEE_LAST_ENTRIES),
                  place=place_of(engine))  # fmt: skip

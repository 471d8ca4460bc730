"""A schema of our name that holds another program's tables: refused, and left as it is."""

from pathlib import Path

import psycopg
import pytest

from stockroom.record.databases.server import HOME
from stockroom.record.schema import NEWEST
from stockroom.refusals import Refused, StockroomError
from stockroom.services.record.backup import back_up
from stockroom.services.record.export import import_record
from stockroom.services.record.restore import restore
from stockroom.services.shop import open_shop, set_up
from tests.stockroom.conftest import stocked
from tests.stockroom.hard.shopwork import MONDAY

pytestmark = [
    pytest.mark.unaudited,
    pytest.mark.parametrize("where", ["postgresql"], indirect=True),
]
FOREIGN = {
    "a table of a name of ours": "CREATE TABLE piece (id int); INSERT INTO piece VALUES (7)",
    "a view": "CREATE VIEW piece AS SELECT 7 AS id",
    "a foreign table": "CREATE FOREIGN DATA WRAPPER w; CREATE SERVER s FOREIGN DATA WRAPPER w;"
                       "CREATE FOREIGN TABLE line (id int) SERVER s",
    "a type": "CREATE TYPE job AS (id int)",
    "a sequence": "CREATE SEQUENCE entry",
    "another's versions": "CREATE TABLE alembic_version (version_num text);"
                          "INSERT INTO alembic_version VALUES ('abc')",
    "versions of no kind": "CREATE TABLE alembic_version (id int)",
}  # fmt: skip


def lies_in_home(where: str) -> list[tuple[object, ...]]:
    """What the schema of our name holds."""
    with psycopg.connect(where) as plain:
        asked = "SELECT relname, relkind FROM pg_class WHERE relnamespace = %s::regnamespace"
        return sorted(plain.execute(asked, (HOME,)).fetchall())


@pytest.mark.parametrize("made", FOREIGN)
def test_what_another_program_keeps_under_our_names_is_left_as_it_is(
    where: str, made: str, tmp_path: Path
) -> None:
    copy = back_up(stocked(str(tmp_path / "shop.db")), tmp_path / "b").path
    with psycopg.connect(where) as plain:
        plain.execute(f"CREATE SCHEMA {HOME}; SET search_path TO {HOME}; {FOREIGN[made]}".encode())
    before = lies_in_home(where)
    for tried in (
        lambda: set_up(where, "ada", {}, MONDAY),
        lambda: import_record(where, copy),
        lambda: restore(where, copy, newer=True),
        lambda: open_shop(where, "ada", MONDAY),
    ):
        with pytest.raises(StockroomError, match="is not a shop's record"):
            tried()
    assert lies_in_home(where) == before


def test_a_version_of_ours_without_a_table_is_what_is_left_of_a_record(
    where: str, tmp_path: Path
) -> None:
    copy = back_up(stocked(str(tmp_path / "shop.db")), tmp_path / "b").path
    with psycopg.connect(where) as plain:
        plain.execute(
            f"CREATE SCHEMA {HOME}; CREATE TABLE {HOME}.alembic_version AS"
            f" SELECT '{NEWEST}' AS version_num".encode()
        )
    with pytest.raises(Refused, match="there is a record already"):
        set_up(where, "ada", {}, MONDAY)
    assert "damaged" in (restore(where, copy).kept or "")
    open_shop(where, "ada", MONDAY)

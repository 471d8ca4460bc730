"""Backup while the shop works, restore that loses nothing, and schemas old, new and newer."""

import shutil
import sqlite3
import stat
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlmodel import SQLModel

from stockroom.record import schema
from stockroom.record.audit import audit
from stockroom.record.copies import as_lines
from stockroom.record.database import changing, engine_for, reading
from stockroom.refusals import BadFile, Clash, NoShop, Refused, StockroomError
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.record.backup import back_up, opened_copy
from stockroom.services.record.export import export_record, import_record
from stockroom.services.record.restore import restore
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, open_shop
from tests.stockroom.hard.shopwork import MONDAY, accepted, but_for_numbers, sticks, take

HERE = Path(__file__).parent


def worked(shop: Shop) -> None:
    """A shop with a bit of everything: a cut, an undo, a plan that holds a piece."""
    take(shop, note="=1+1 [bold]")
    sticks(shop, 2)
    number = accepted(shop)
    record_cut(shop, SawReport(number, to_settle(shop, number)[0], spot="C2"))
    rack.move(shop, 2, "B2")
    undo(shop)
    take(shop, customer="Ö. Lindqvåg", quantity="2")
    accepted(shop)


def lines_of(shop: Shop) -> list[str]:
    """The whole record as lines, but for how far its numbers had come."""
    with reading(shop.engine) as session:
        return but_for_numbers(as_lines(session, schema.NEWEST))


def test_a_backup_is_named_by_the_time_and_is_readable_by_its_owner_alone(
    shop: Shop, tmp_path: Path
) -> None:
    worked(shop)
    first, second = back_up(shop, tmp_path / "b"), back_up(shop, tmp_path / "b")
    assert first.path != second.path
    assert f"{shop.hand.at:%Y%m%d-%H%M%S}" in first.path.name
    assert {stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "b").iterdir()} == {0o600}
    assert stat.S_IMODE((tmp_path / "b").stat().st_mode) == 0o700
    with opened_copy(first.path) as engine, reading(engine) as session:
        assert but_for_numbers(as_lines(session, schema.NEWEST)) == lines_of(shop)


def test_a_backup_is_whole_although_others_write_all_the_while(shop: Shop, tmp_path: Path) -> None:
    stop = threading.Event()

    def receive() -> None:
        while not stop.is_set():
            sticks(shop, 5)

    writer = threading.Thread(target=receive)
    writer.start()
    try:
        backups = [back_up(shop, tmp_path / "b") for _ in range(5)]
    finally:
        stop.set()
        writer.join()
    for backup in backups:
        with opened_copy(backup.path) as engine, reading(engine) as session:
            assert audit(session) == []
            pieces = session.connection().execute(text("SELECT COUNT(*) FROM piece")).scalar()
            assert pieces == 5 * (backup.entries - 1)


def test_a_backup_that_cannot_be_written_is_refused_and_leaves_nothing_behind(
    shop: Shop, tmp_path: Path
) -> None:
    (tmp_path / "a file").write_text("mine")
    with pytest.raises(NoShop, match="is not a folder"):
        back_up(shop, tmp_path / "a file")
    assert (tmp_path / "a file").read_text() == "mine"


@pytest.mark.unaudited
def test_a_backup_of_a_record_with_a_fault_is_said_to_have_it(shop: Shop, tmp_path: Path) -> None:
    sticks(shop)
    spoil, mend = ("UPDATE line SET length_um = length_um + 1 WHERE id = 1",
                   "UPDATE line SET length_um = length_um - 1 WHERE id = 1")  # fmt: skip
    with changing(shop.engine) as session:
        session.connection().execute(text(spoil))
    with pytest.raises(NoShop, match="the record has faults, so no copy of it was kept"):
        back_up(shop, tmp_path / "b")
    assert list((tmp_path / "b").iterdir()) == []
    with changing(shop.engine) as session:
        session.connection().execute(text(mend))


def test_a_restore_brings_back_what_was_and_keeps_what_it_replaced(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    worked(shop)
    before = lines_of(shop)
    backup = back_up(shop, tmp_path / "b")
    sticks(shop)
    after = lines_of(shop)
    with pytest.raises(Clash, match="has 1 later entry that the copy lacks; the last is receive"):
        restore(where, backup.path)
    assert lines_of(shop) == after
    done = restore(where, backup.path, newer=True)
    assert lines_of(shop) == before
    assert done.kept is not None
    with opened_copy(Path(done.kept)) as engine, reading(engine) as session:
        assert but_for_numbers(as_lines(session, schema.NEWEST)) == after
    Path(done.kept).unlink()


def test_a_restore_of_the_same_record_needs_no_word(shop: Shop, where: str, tmp_path: Path) -> None:
    worked(shop)
    done = restore(where, back_up(shop, tmp_path / "b").path)
    assert done.kept is not None
    Path(done.kept).unlink()


def test_a_restore_over_another_shop_needs_the_word(shop: Shop, where: str, tmp_path: Path) -> None:
    from tests.stockroom.conftest import stocked

    other = tmp_path / "other.jsonl"
    export_record(stocked(str(tmp_path / "other.db")), other)
    sticks(shop)
    with pytest.raises(Clash, match="another history"):
        restore(where, other)


def test_a_lost_or_damaged_record_is_restored_and_the_damaged_file_is_kept(
    tmp_path: Path, where: str
) -> None:
    if "://" in where:
        where = str(tmp_path / "shop.db")
    from tests.stockroom.conftest import stocked

    shop = stocked(where)
    worked(shop)
    before = lines_of(shop)
    backup = back_up(shop, tmp_path / "b")
    path = Path(where)
    path.write_bytes(path.read_bytes()[:4096] + b"\x5a" * 40_000)
    done = restore(where, backup.path)
    assert done.kept is not None
    assert Path(done.kept).read_bytes().endswith(b"\x5a")
    assert lines_of(open_shop(where, "ada")) == before
    path.unlink()
    assert restore(where, backup.path).kept is None
    assert lines_of(open_shop(where, "ada")) == before


@pytest.mark.parametrize("name", ["letter.txt", "nothing.db", "half.db", "."])
def test_what_is_no_backup_is_refused_and_nothing_is_changed(
    shop: Shop, where: str, tmp_path: Path, name: str
) -> None:
    (tmp_path / "letter.txt").write_text("Dear customer")
    (tmp_path / "half.db").write_bytes(b"SQLite format 3\x00" + b"\x01" * 5000)
    before = lines_of(shop)
    with pytest.raises(StockroomError):
        restore(where, tmp_path / name, newer=True)
    assert lines_of(shop) == before


def test_a_record_goes_from_either_database_to_the_other_and_back_unchanged(
    shop: Shop, tmp_path: Path
) -> None:
    worked(shop)
    first, second = tmp_path / "first.jsonl", tmp_path / "second.jsonl"
    assert export_record(shop, first) == import_record(str(tmp_path / "moved.db"), first)
    moved = open_shop(str(tmp_path / "moved.db"), "ada", MONDAY)
    export_record(moved, second)
    assert first.read_bytes() == second.read_bytes()
    with reading(moved.engine) as session:
        assert audit(session) == []
    sticks(moved)
    number = accepted(moved) if to_settle(moved, 2) == [] else 2
    record_cut(moved, SawReport(number, to_settle(moved, number)[0]))


def test_an_export_from_a_file_goes_into_a_server(where: str, tmp_path: Path) -> None:
    from tests.stockroom.conftest import stocked

    shop = stocked(str(tmp_path / "first.db"))
    worked(shop)
    export_record(shop, tmp_path / "all.jsonl")
    target = where if "://" in where else str(tmp_path / "second.db")
    import_record(target, tmp_path / "all.jsonl")
    assert lines_of(open_shop(target, "ada")) == lines_of(shop)
    with pytest.raises(Refused, match="already"):
        import_record(target, tmp_path / "all.jsonl")


def spoilt(lines: list[str]) -> dict[str, list[str]]:
    """Exports that are wrong, each in its own way."""
    return {
        "cut short": lines[:-1],
        "a row less": [*lines[:9], *lines[10:]],
        "no head": lines[1:],
        "empty": [],
        "not JSON": [*lines[:5], "{", *lines[5:]],
        "unknown table": [*lines[:5], '{"table": "sqlite_master", "row": {}}', *lines[5:]],
        "other columns": [line.replace('"kind"', '"kin"') for line in lines],
        "a text for a number": [line.replace('"length_um": 3000000', '"length_um": "3000000"')
                                for line in lines],
        "a length changed": [line.replace('"length_um": 3000000', '"length_um": 3000001', 1)
                             for line in lines],
        "a number too large": [line.replace('"length_um": 3000000', f'"length_um": {10**30}')
                               for line in lines],
        "a day that is none": [line.replace('"day": "2026', '"day": "26') for line in lines],
        "newer": [lines[0].replace(f'"{schema.NEWEST}"', '"9999"'), *lines[1:]],
        "after the end": [*lines, lines[3]],
        "points nowhere": [line.replace('"profile_code": "ASH-22"', '"profile_code": "OAK"')
                           for line in lines],
    }  # fmt: skip


@pytest.mark.unaudited
def test_an_export_that_was_changed_or_cut_short_is_refused_and_nothing_is_made(
    tmp_path: Path,
) -> None:
    from tests.stockroom.conftest import stocked

    shop = stocked(str(tmp_path / "shop.db"))
    worked(shop)
    lines = lines_of(shop)
    for what, told in spoilt(lines).items():
        assert told != lines, what
        path = tmp_path / "spoilt.jsonl"
        path.write_text("\n".join(told))
        with pytest.raises((BadFile, NoShop)) as refused:
            import_record(str(tmp_path / "new.db"), path)
        assert str(refused.value), what
        assert not (tmp_path / "new.db").exists(), what


def test_a_new_record_has_the_schema_that_the_program_means(shop: Shop) -> None:
    with shop.engine.connect() as connection:
        context = MigrationContext.configure(connection)
        assert compare_metadata(context, SQLModel.metadata) == []


def test_every_migration_has_its_version(where: str) -> None:
    scripts = sorted((schema.MIGRATIONS / "versions").glob("v*.py"))
    assert tuple(script.name[1:5] for script in scripts) == schema.VERSIONS
    assert where


SEALS = "SELECT id, seal FROM entry UNION ALL SELECT count, digest FROM seal"


@pytest.mark.parametrize("version", schema.VERSIONS)
def test_a_record_of_each_version_comes_through_with_its_audit_clean(
    version: str, tmp_path: Path
) -> None:
    path = tmp_path / "shop.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((HERE / "records" / f"{version}.sql").read_text())
        sealed = [] if version < schema.SEALED_AS_NOW else old.execute(SEALS).fetchall()
    shop = open_shop(str(path), "ada", MONDAY)
    with reading(shop.engine) as session:
        assert audit(session) == []
        # No seal of a record that is sealed as now is written again, however large it is.
        assert not sealed or session.connection().execute(text(SEALS)).all() == sealed
    with shop.engine.connect() as connection:
        context = MigrationContext.configure(connection)
        assert compare_metadata(context, SQLModel.metadata) == []
    sticks(shop)
    accepted(shop)


NEXT = '''"""A version that is not yet: a shop's suppliers get a telephone."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0999", "{last}"
branch_labels = depends_on = None


def upgrade() -> None:
    rebuilt = "always" if op.get_bind().dialect.name == "sqlite" else "never"
    with op.batch_alter_table("supplier", recreate=rebuilt) as batch:
        batch.add_column(sa.Column("telephone", sa.String(), nullable=True))
'''


@contextmanager
def next_version(tmp_path: Path, script: str = NEXT) -> Iterator[None]:
    """The program as it may be one version later."""
    folder = tmp_path / "migrations"
    shutil.copytree(schema.MIGRATIONS, folder)
    (folder / "versions" / "v0999_next.py").write_text(script.format(last=schema.NEWEST))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(schema, "MIGRATIONS", folder)
        patch.setattr(schema, "VERSIONS", (*schema.VERSIONS, "0999"))
        patch.setattr(schema, "NEWEST", "0999")
        yield


def test_an_older_record_is_brought_up_to_date_after_a_backup_that_can_be_restored(
    shop: Shop, where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    worked(shop)
    before = lines_of(shop)
    with next_version(tmp_path):
        kept = schema.ensure_current(shop.engine)
        assert kept is not None
        assert schema.version_of(shop.engine) == "0999"
        with reading(shop.engine) as session:
            assert audit(session) == []
            assert session.connection().execute(text("SELECT telephone FROM supplier")).first()
        assert schema.ensure_current(shop.engine) is None
        restore(where, kept, newer=True)
        assert schema.version_of(shop.engine) == "0999"
    with opened_copy(kept) as engine, reading(engine) as session:
        assert but_for_numbers(as_lines(session, schema.NEWEST)) == before
    with pytest.raises(NoShop, match="newer program"):
        open_shop(where, "ada")


def test_an_upgrade_that_fails_leaves_the_record_as_it_was(
    shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    worked(shop)
    before = lines_of(shop)
    broken = NEXT + "    op.execute('SELECT nothing FROM nowhere')\n"
    with next_version(tmp_path, broken), pytest.raises(StockroomError):
        schema.ensure_current(shop.engine)
    assert schema.version_of(shop.engine) == schema.VERSIONS[-1]
    assert lines_of(shop) == before


def test_an_engine_for_a_copy_is_not_the_shops_own(shop: Shop, tmp_path: Path) -> None:
    backup = back_up(shop, tmp_path / "b")
    with opened_copy(backup.path) as engine:
        assert engine.url != shop.engine.url
        assert engine.url != engine_for(str(backup.path)).url

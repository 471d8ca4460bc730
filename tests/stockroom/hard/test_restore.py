"""Restoring is the last resort: it always works, and never moves what is healthy or foreign."""

import os
import resource
import shutil
import signal
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from sqlalchemy import text

from stockroom.record import schema
from stockroom.record.audit import audit
from stockroom.record.copies import as_lines
from stockroom.record.database import changing, engine_for, reading
from stockroom.record.databases.server import HOME
from stockroom.record.tables import Setting
from stockroom.refusals import BadFile, Clash, NoShop, Refused, StockroomError
from stockroom.services.rack.pieces import Arrival, log_found
from stockroom.services.record.backup import back_up
from stockroom.services.record.export import export_record, import_record
from stockroom.services.record.proof import faults_of
from stockroom.services.record.restore import restore
from stockroom.services.shop import Shop, open_shop
from tests.stockroom.conftest import stocked
from tests.stockroom.hard.shopwork import EVERY, MONDAY, accepted, but_for_numbers, sticks, take

pytestmark = pytest.mark.unaudited
PAGE = 4096


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A record with a bit of everything, all in its file, and a backup of it."""
    folder = tmp_path_factory.mktemp("kept")
    shop = stocked(str(folder / "shop.db"))
    take(shop)
    sticks(shop, 30)
    accepted(shop)
    backup = back_up(shop, folder / "b").path
    shop.engine.dispose()
    with closing(sqlite3.connect(folder / "shop.db")) as plain:
        plain.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return folder / "shop.db", backup


def lines_of(where: str) -> list[str]:
    """The whole record as lines, but for how far its numbers had come."""
    with reading(engine_for(where)) as session:
        return but_for_numbers(as_lines(session, schema.NEWEST))


def spoilt(kept: tuple[Path, Path], folder: Path, at: int, junk: bytes) -> tuple[Path, Path]:
    """A copy of the record with these bytes at a place, and the backup."""
    record = folder / "shop.db"
    for old in folder.glob("*.db*"):
        old.unlink()
    whole = bytearray(kept[0].read_bytes())
    whole[at : at + len(junk)] = junk
    record.write_bytes(whole)
    return record, kept[1]


def roots(record: Path) -> dict[str, int]:
    """The first page of each table and index."""
    with closing(sqlite3.connect(record)) as plain:
        asked = "SELECT name, rootpage FROM sqlite_master WHERE rootpage > 0"
        return dict(plain.execute(asked).fetchall())


def brought_back(record: Path, backup: Path, was: bytes) -> None:
    """A restore works, the record is as the backup, and what was there is kept to the byte."""
    done = restore(str(record), backup, newer=True)
    with reading(engine_for(str(record))) as session:
        assert audit(session) == []
    assert lines_of(str(record)) == lines_of(str(backup))
    assert done.kept is not None
    if "damaged" in done.kept:
        assert Path(done.kept).read_bytes() == was


def not_vouched_for(kept: tuple[Path, Path], record: Path) -> None:
    """Where the audit finds nothing and a backup is made, all is there as it was written."""
    folder = record.parent / "looked at"
    folder.mkdir(exist_ok=True)
    looked = folder / record.name
    for old in folder.glob("*.*"):
        old.unlink()
    shutil.copyfile(record, looked)
    try:
        shop = open_shop(str(looked), "ada", MONDAY)
        copy = back_up(shop, folder).path
        with reading(shop.engine) as session:
            true = audit(session) == []
    except StockroomError:
        return
    assert true, "a backup was made of what the audit finds broken"
    assert lines_of(str(looked)) == lines_of(str(copy)) == lines_of(str(kept[0]))


def test_a_restore_works_whatever_page_of_the_record_is_bad(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    pages = kept[0].stat().st_size // PAGE
    first = roots(kept[0])
    told = ("entry", "ix_line_entry_id", "touch", "sqlite_autoindex_setting_1", "alembic_version")
    some = [0, *(first[name] - 1 for name in told), *range(1, pages, 19)]
    for number, page in enumerate(range(pages) if EVERY else some):
        junk = (bytes(PAGE), b"\x5a" * PAGE, os.urandom(PAGE))[number % 3]
        record, backup = spoilt(kept, tmp_path, page * PAGE, junk)
        was = record.read_bytes()
        not_vouched_for(kept, record)
        brought_back(record, backup, was)


def test_a_restore_works_whatever_byte_of_the_record_is_flipped(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    size, typed = kept[0].stat().st_size, kept[0].read_bytes().index(b"VARCHAR NOT NULL") + 8
    for at in (5, 18, 44, 100, typed, *range(700, size, 977 if EVERY else size // 4)):
        record, backup = spoilt(kept, tmp_path, at, bytes([kept[0].read_bytes()[at] ^ 0xC8]))
        was = record.read_bytes()
        not_vouched_for(kept, record)
        brought_back(record, backup, was)


def test_a_bad_page_of_an_index_is_found_by_audit_and_by_backup(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    indexes = sorted(name for name in roots(kept[0]) if name.startswith(("ix_", "uq_", "sqlite_")))
    for name in indexes[:: 1 if EVERY else 4]:
        page = roots(kept[0])[name]
        record, _ = spoilt(kept, tmp_path, (page - 1) * PAGE, bytes(PAGE))
        with pytest.raises((NoShop, AssertionError)):  # noqa: PT012
            shop = open_shop(str(record), "ada", MONDAY)
            with reading(shop.engine) as session:
                assert audit(session) == [], name
        with pytest.raises(NoShop):
            back_up(open_shop(str(record), "ada", MONDAY), tmp_path / "b")
        assert not list((tmp_path / "b").glob("*"))


def test_a_record_with_a_table_dropped_is_restored(where: str, tmp_path: Path) -> None:
    shop = stocked(where)
    sticks(shop)
    backup = back_up(shop, tmp_path / "b").path
    before = lines_of(where)
    for dropped in ("touch", "alembic_version"):
        with changing(shop.engine) as session:
            session.connection().execute(text(f"DROP TABLE {dropped}"))
        done = restore(where, backup, newer=True)
        assert done.kept is not None
        assert "damaged" in done.kept
        assert lines_of(where) == before


def test_what_is_no_shops_record_is_refused_and_left_where_it_is(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    letter, other, folder = tmp_path / "letter.txt", tmp_path / "other.db", tmp_path / "folder"
    letter.write_text("Dear customer, your frame is ready.\n" * 50)
    with closing(sqlite3.connect(other)) as plain:
        plain.execute("CREATE TABLE recipes (name TEXT)")
        plain.commit()
    folder.mkdir()
    (folder / "within").write_text("mine")
    for foreign in (letter, other, folder):
        before = sorted(path.name for path in tmp_path.iterdir())
        with pytest.raises(Refused, match=r"left where it is|is no file"):
            restore(str(foreign), kept[1], newer=True)
        assert sorted(path.name for path in tmp_path.iterdir()) == before
    with pytest.raises(BadFile, match=r"other\.db.*\n.*this is no copy of a shop's record"):
        restore(str(tmp_path / "new.db"), other)
    spoilt_other = bytearray(other.read_bytes())
    spoilt_other[100] = 0xFF
    other.write_bytes(spoilt_other)
    with pytest.raises(Refused, match="was left where it is"):
        restore(str(other), kept[1], newer=True)
    assert other.read_bytes() == spoilt_other


@contextmanager
def as_nobody() -> Iterator[None]:
    """Another user than the files' owner, where the tests run as one who may read all."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_a_record_that_may_not_be_read_now_is_left_where_it_is(kept: tuple[Path, Path]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        record, backup = Path(folder) / "shop.db", Path(folder) / "backup.db"
        shutil.copy(kept[0], record)
        shutil.copy(kept[1], backup)
        backup.chmod(0o644)
        record.chmod(0)
        Path(folder).chmod(0o777)
        with as_nobody(), pytest.raises(NoShop, match=r"cannot be read now.*left where it is"):
            restore(str(record), backup, newer=True)
        record.chmod(0o600)
        assert record.read_bytes() == kept[0].read_bytes()


@contextmanager
def no_room(most: int) -> Iterator[None]:
    """No file may grow beyond so many bytes."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    old = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, old)


@pytest.mark.parametrize("room", [40, 160])
@pytest.mark.parametrize("damaged", [False, True])
def test_on_a_full_disk_a_restore_changes_nothing(
    kept: tuple[Path, Path], tmp_path: Path, room: int, damaged: bool
) -> None:
    record, backup = spoilt(kept, tmp_path, 20 * PAGE, b"\x5a" * PAGE if damaged else b"")
    if not damaged:
        sticks(open_shop(str(record), "ada", MONDAY), 3)
    was = record.read_bytes()
    with no_room(room * 1024), pytest.raises(StockroomError):
        restore(str(record), backup, newer=True)
    assert record.read_bytes() == was
    assert not list(tmp_path.glob("*damaged*"))
    assert not list(tmp_path.glob("*.part*"))


def test_a_link_stays_and_what_it_points_to_is_restored(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    record, backup = spoilt(kept, tmp_path, 20 * PAGE, b"\x5a" * PAGE)
    real = tmp_path / "real"
    real.mkdir()
    record.rename(real / "shop.db")
    record.symlink_to(real / "shop.db")
    was = record.read_bytes()
    brought_back(record, backup, was)
    assert record.is_symlink()
    assert len(list(real.glob("*damaged*.db"))) == 1


def test_newer_entries_are_asked_about_though_a_page_is_bad(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    record, backup = spoilt(kept, tmp_path, 0, b"")
    sticks(open_shop(str(record), "ada", MONDAY))
    with closing(sqlite3.connect(record)) as plain:
        plain.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    page = roots(record)["ix_move_piece_id"] - 1
    whole = bytearray(record.read_bytes())
    whole[page * PAGE : (page + 1) * PAGE] = bytes(PAGE)
    record.write_bytes(whole)
    with pytest.raises(Clash, match="1 later entry that the copy lacks"):
        restore(str(record), backup)
    assert record.read_bytes() == whole
    brought_back(record, backup, bytes(whole))


SERVER = pytest.mark.parametrize("where", ["postgresql"], indirect=True)


@SERVER
def test_restore_backup_and_export_take_our_own_tables_on_a_server_and_no_others(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    import psycopg

    with psycopg.connect(where) as plain:
        plain.execute("CREATE TABLE public.customers (id int)")
        plain.execute("CREATE TABLE public.piece (id int)")
        plain.execute(f"CREATE TABLE {HOME}.notes (id int)")
        for table in ("public.customers", "public.piece", f"{HOME}.notes"):
            plain.execute(f"INSERT INTO {table} SELECT generate_series(1, 1000)")
    sticks(shop)
    backup = back_up(shop, tmp_path / "b").path
    export_record(shop, tmp_path / "all.jsonl")
    assert backup.read_bytes() == (tmp_path / "all.jsonl").read_bytes()
    assert b"customers" not in backup.read_bytes()
    assert b'"notes"' not in backup.read_bytes()
    sticks(shop)
    restore(where, backup, newer=True)
    with psycopg.connect(where) as plain:
        for table in ("public.customers", "public.piece", f"{HOME}.notes"):
            assert plain.execute(f"SELECT COUNT(*) FROM {table}").fetchone() == (1000,)
    import_record(str(tmp_path / "moved.db"), backup)
    assert lines_of(str(tmp_path / "moved.db")) == lines_of(where)


@SERVER
def test_a_record_in_the_schema_that_all_share_moves_into_its_own(shop: Shop, where: str) -> None:
    import psycopg

    sticks(shop)
    before = lines_of(where)
    with psycopg.connect(where) as plain:
        plain.execute("CREATE TABLE public.customers (id int)")
        found = plain.execute(f"SELECT tablename FROM pg_tables WHERE schemaname = '{HOME}'")
        for (name,) in found.fetchall():
            plain.execute(f"ALTER TABLE {HOME}.{name} SET SCHEMA public")
        plain.execute(f"DROP SCHEMA {HOME}")
    moved = open_shop(where, "ada", MONDAY)
    assert lines_of(where) == before
    sticks(moved)
    with psycopg.connect(where) as plain:
        left = plain.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
        assert left.fetchall() == [("customers",)]


@SERVER
def test_a_role_that_may_make_no_schema_is_told_what_to_ask_for(where: str) -> None:
    import psycopg
    from sqlalchemy.engine import make_url

    from stockroom.services.shop import set_up

    role = f"bench_{os.getpid()}"
    with psycopg.connect(where) as plain:
        plain.execute(f"CREATE ROLE {role} LOGIN")
    url = make_url(where).set(username=role).render_as_string(hide_password=False)
    try:
        with pytest.raises(NoShop, match=r"may not make the schema.*CREATE SCHEMA stockroom"):
            set_up(url, "ada", {}, MONDAY)
        with psycopg.connect(where) as plain:
            plain.execute(f"CREATE SCHEMA {HOME}")
        with pytest.raises(NoShop, match=r"this role may not do that \(stockroom\)"):
            open_shop(url, "ada", MONDAY)
    finally:
        with psycopg.connect(where) as plain:
            plain.execute(f"DROP ROLE {role}")


def test_no_number_is_given_twice_though_a_copy_is_brought_back(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    sticks(shop, 3)
    backup = back_up(shop, tmp_path / "b").path
    assert sticks(shop, 2) == [4, 5]
    assert take(shop) == 1
    done = restore(where, backup, newer=True)
    assert done.next_piece == 6
    with reading(shop.engine) as session:
        assert faults_of(session) == []
    assert sticks(shop) == [6]
    assert take(shop) == 2
    again = restore(where, backup, newer=True)
    assert again.next_piece == 7
    kept = Arrival(2_000_000, 5)
    assert log_found(shop, "ASH-22", "B1", kept, kind="stick").id == 5
    assert sticks(shop) == [7]
    export_record(shop, tmp_path / "all.jsonl")
    import_record(str(tmp_path / "moved.db"), tmp_path / "all.jsonl")
    assert restore(where, tmp_path / "all.jsonl").next_piece is None


def test_numbers_are_left_out_where_no_record_tells_how_far_they_had_come(
    kept: tuple[Path, Path], tmp_path: Path
) -> None:
    record, backup = spoilt(kept, tmp_path, 0, b"\x5a" * PAGE)
    damaged = restore(str(record), backup, newer=True)
    lost = restore(str(tmp_path / "lost.db"), backup)
    assert (lost.next_piece, damaged.next_piece) == (1_001, 1_001)
    for name in ("lost.db", "shop.db"):
        shop = open_shop(str(tmp_path / name), "ada", MONDAY)
        assert sticks(shop) == [1_001]
        assert take(shop) == 1_001
        with reading(shop.engine) as session:
            assert faults_of(session) == []


def test_what_is_kept_of_numbers_is_checked(shop: Shop) -> None:
    with changing(shop.engine) as session:
        session.add(Setting(name="numbers given: piece", value="many"))
    with reading(shop.engine) as session:
        assert [str(fault.about) for fault in faults_of(session)] == [
            "setting numbers given: piece"]  # fmt: skip
    assert sticks(shop) == [1]
    with changing(shop.engine) as session:
        session.delete(session.get_one(Setting, "numbers given: piece"))

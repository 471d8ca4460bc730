"""What is stored is checked as what is typed is; what cannot be shown or reached is one line."""

import os
import shutil
import signal
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from stockroom.facts import Fact
from stockroom.files.new_file import ASIDE, folder_aside
from stockroom.page.views.saw_page import clock
from stockroom.record import schema
from stockroom.record.audit import audit
from stockroom.record.copies import as_lines
from stockroom.record.database import Waiting, changing, engine_for, reading
from stockroom.record.database_errors import shown
from stockroom.record.numbering import serial
from stockroom.record.seal import seal_anew
from stockroom.record.tables import Entry
from stockroom.refusals import BadFile, NoShop, Refused, Unreadable
from stockroom.services.catalogue.load import starter
from stockroom.services.rack.rack_file import load_rack
from stockroom.services.record.export import import_record
from stockroom.services.record.proof import faults_of
from stockroom.services.shop import Shop, change_setting, clock_behind, open_shop, set_up
from stockroom.units.dates import parse_day
from stockroom.words.language import word
from tests.stockroom.cli.bench import run as invoked
from tests.stockroom.hard.shopwork import MONDAY, take

pytestmark = pytest.mark.unaudited

NONSENSE = {
    "setting kerf_um": "UPDATE setting SET value = 'abc' WHERE name = 'kerf_um'",
    "setting machines": "UPDATE setting SET value = '[1]' WHERE name = 'machines'",
    "setting unit": "UPDATE setting SET value = 'furlong' WHERE name = 'unit'",
    "setting labels": "UPDATE setting SET value = 'many' WHERE name = 'labels'",
    "setting name": "UPDATE setting SET value = '' WHERE name = 'name'",
    "supplier LARK": "UPDATE supplier SET delivery_day = 99",
    "supplier LARK lead_days": "UPDATE supplier SET lead_days = -3",
    "profile ASH-22 height_um": "UPDATE profile SET height_um = -1 WHERE code = 'ASH-22'",
    "profile ASH-22 wait_cost": "UPDATE profile SET wait_cost = 'x' WHERE code = 'ASH-22'",
    "profile ASH-22 price_breaks": "UPDATE profile SET price_breaks = '1' WHERE code = 'ASH-22'",
}


@pytest.mark.parametrize("about", NONSENSE)
def test_a_stored_value_that_nobody_could_type_is_a_fault_and_ends_no_command(
    shop: Shop, where: str, about: str, tmp_path: Path
) -> None:
    with changing(shop.engine) as session:
        session.connection().execute(text(NONSENSE[about]))
        seal_anew(session)
        assert [fault.about for fault in faults_of(session)] == [about]
        lines = list(as_lines(session, schema.NEWEST))
    opened = open_shop(where, "ada", MONDAY)
    assert opened.settings.kerf_um > 0
    (tmp_path / "all.jsonl").write_text("\n".join(lines) + "\n")
    with pytest.raises(BadFile, match=about):
        import_record(str(tmp_path / "new.db"), tmp_path / "all.jsonl")
    if about == "setting kerf_um":
        change_setting(opened, "kerf", "3 mm")
    with changing(shop.engine) as session:
        for statement in ("DELETE FROM supplier WHERE code = 'x'",
                          "UPDATE supplier SET delivery_day = NULL, lead_days = NULL",
                          "UPDATE profile SET height_um = NULL, wait_cost = NULL",
                          "UPDATE profile SET price_breaks = NULL",
                          "DELETE FROM setting WHERE name IN ('machines', 'labels', 'name')",
                          "UPDATE setting SET value = 'mm' WHERE name = 'unit'"):  # fmt: skip
            session.connection().execute(text(statement))
        seal_anew(session)


def test_a_text_in_place_of_a_number_or_a_day_is_named_by_the_audit_and_is_no_traceback(
    tmp_path: Path, stocked_file: Path
) -> None:
    where = str(shutil.copyfile(stocked_file, tmp_path / "shop.db"))
    shop = open_shop(where, "ada", MONDAY)
    for table, spoil in {
        "supplier": "UPDATE supplier SET lead_days = 'abc'",
        "profile": "UPDATE profile SET repeat_um = 'abc'",
        "entry": "UPDATE entry SET detail = '{' WHERE id = 1",
    }.items():
        with changing(shop.engine, dry_run=True) as session:
            session.connection().execute(text(spoil))
            assert {each.about for each in audit(session)} == {f"table {table}"}
    with changing(shop.engine) as session:
        session.connection().execute(text("UPDATE entry SET day = '2026-13-01' WHERE id = 1"))
    done = invoked(where, "entries")
    assert done.exit_code == 15
    assert "the record is damaged" in done.output


@pytest.mark.parametrize("mark", ["\x1b[2J", "\u202e"])
def test_characters_that_command_a_screen_do_not_come_in_by_an_import(
    tmp_path: Path, stocked_file: Path, mark: str
) -> None:
    shutil.copyfile(stocked_file, tmp_path / "shop.db")
    shop = open_shop(str(tmp_path / "shop.db"), "ada", MONDAY)
    take(shop, customer="Lindqvist")
    with changing(shop.engine) as session:
        session.connection().execute(text("UPDATE job SET customer = :c"), {"c": f"a{mark}"})
        seal_anew(session)
        lines = list(as_lines(session, schema.NEWEST))
    (tmp_path / "all.jsonl").write_text("\n".join(lines) + "\n")
    with pytest.raises(BadFile, match=r"job\.customer is not understood"):
        import_record(str(tmp_path / "new.db"), tmp_path / "all.jsonl")


@pytest.mark.parametrize("mark", ["\x1b[2J", "\u202e"])
def test_characters_that_command_a_screen_are_found_by_the_audit_and_reach_no_screen(
    stocked_file: Path, tmp_path: Path, mark: str
) -> None:
    where = str(shutil.copyfile(stocked_file, tmp_path / "shop.db"))
    shop = open_shop(where, "ada", MONDAY)
    take(shop, customer="Lindqvist", title="\\x1b \\u202e 'quoted' \"twice\"")
    with reading(shop.engine) as session:
        assert faults_of(session) == []
    with changing(shop.engine) as session:
        connection = session.connection()
        for spoil in ("UPDATE job SET customer = :m", "UPDATE entry SET why = :m WHERE id = 2",
                      "UPDATE profile SET name = :m WHERE code = 'ASH-22'"):  # fmt: skip
            connection.execute(text(spoil), {"m": f"a{mark}b"})
        seal_anew(session)
        rule = "its texts can be shown on any screen"
        assert [(each.about, each.rule) for each in faults_of(session)] == [
            ("entry 2", rule), ("table job", rule), ("table profile", rule)]  # fmt: skip
    for words in ("jobs", "jobs --as csv", "jobs --as json", "job J1", "profiles",
                  "profiles --as csv", "entries --as json", "audit", "history job J1"):  # fmt: skip
        done = invoked(where, *words.split())
        assert mark[0] not in done.output, words
        assert "a" in done.output, words


def run(*words: str, **more: object) -> "subprocess.CompletedProcess[str]":
    """One command, as a process of its own."""
    told = {"text": True, "stderr": subprocess.PIPE, "cwd": Path(__file__).parents[3], **more}
    return subprocess.run([sys.executable, "-m", "stockroom", *words], check=False, **told)  # type: ignore[call-overload, no-any-return]


def test_what_a_console_cannot_show_or_hold_is_no_traceback(
    tmp_path: Path, stocked_file: Path
) -> None:
    shutil.copyfile(stocked_file, tmp_path / "shop.db")
    shop = ("--shop", str(tmp_path / "shop.db"), "--day", "2026-11-23")
    take(open_shop(shop[1], "ada", MONDAY), customer="Łukasz")
    old = {**os.environ, "PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}
    told = run(*shop, "jobs", "--as", "csv", stdout=subprocess.PIPE, env=old)
    assert (told.returncode, told.stderr) == (0, "")
    assert "\\u0141ukasz" in told.stdout
    for words in ((*shop, "jobs", "--as", "csv"), ("--help",)):
        with Path("/dev/full").open("w") as full:
            ended = run(*words, stdout=full)
        assert ended.returncode == 1
        assert ended.stderr.startswith("it could not be shown: No space left on device")
        assert "Traceback" not in ended.stderr


def test_the_copy_that_a_killed_process_left_is_cleared_by_the_next(tmp_path: Path) -> None:
    dead = subprocess.Popen([sys.executable, "-c", ""])
    dead.wait()
    with folder_aside() as mine:
        left = mine.parent / f"{ASIDE}{dead.pid}-abcdefgh"
        left.mkdir()
        (left / "copy.db").write_bytes(b"x")
        with folder_aside():
            assert mine.exists()
            assert not left.exists()
    assert not mine.exists()


def test_a_temporary_folder_that_cannot_be_made_is_one_line(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "gone"))
    with pytest.raises(NoShop, match=r"gone/.* cannot be made: No such file"), folder_aside():
        pass


def test_a_command_that_is_ended_leaves_no_copy_behind(tmp_path: Path) -> None:
    script = (
        "import os, signal\n"
        "from stockroom.__main__ import ended\n"
        "from stockroom.files.new_file import folder_aside\n"
        "signal.signal(signal.SIGTERM, ended)\n"
        "with folder_aside() as folder:\n"
        "    (folder / 'copy.db').write_bytes(b'x')\n"
        "    print(folder, flush=True)\n"
        "    os.kill(os.getpid(), signal.SIGTERM)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True,
                          check=False, cwd=Path(__file__).parents[3])  # fmt: skip
    assert done.returncode == 128 + signal.SIGTERM
    assert not Path(done.stdout.strip()).exists()


def test_a_setup_with_the_starter_is_made_whole_or_not_at_all(tmp_path: Path) -> None:
    def broken(session: object, shop: Shop) -> None:
        starter(session, shop)  # type: ignore[arg-type]
        raise Refused("stopped here")

    where = str(tmp_path / "shop.db")
    with pytest.raises(Refused, match="stopped here"):
        set_up(where, "ada", {}, MONDAY, also=broken)
    assert list(tmp_path.iterdir()) == []
    set_up(where, "ada", {}, MONDAY, also=starter)
    with reading(engine_for(where)) as session:
        assert faults_of(session) == []
        assert session.connection().execute(text("SELECT COUNT(*) FROM profile")).scalar_one() > 5


def test_a_time_zone_that_this_computer_lacks_keeps_nobody_out(shop: Shop, where: str) -> None:
    with changing(shop.engine) as session:
        kept = session.connection().execute(
            text("SELECT value FROM setting WHERE name = 'timezone'")).scalar_one()  # fmt: skip
        there = text("UPDATE setting SET value = :zone WHERE name = 'timezone'")
        session.connection().execute(there, {"zone": "Mars/Olympus"})
        seal_anew(session)
    opened = open_shop(where, "ada")
    assert clock(datetime(2026, 11, 23, 9, 5, tzinfo=UTC), opened.settings) == "09:05"
    assert change_setting(opened, "timezone", kept).timezone == kept


@pytest.mark.parametrize(
    "url",
    ["postgresql://ada:hu@sh@host/shop", "postgresql:/ada:hush@host/shop",
     "host=h user=ada password=hush dbname=shop", "ada:hush@host/shop", "sqlite://ada:hush@/s"],
)  # fmt: skip
def test_a_password_written_wrongly_is_not_shown(url: str) -> None:
    with pytest.raises(NoShop) as refused:
        engine_for(url)
    assert not any(part in str(refused.value) for part in ("hush", "hu@", "sh@"))
    assert "hush" not in shown("postgresql://ada@host/shop?options=-c%20password%3Dhush")


@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
def test_a_role_that_may_only_read_is_told_so_in_one_line(shop: Shop, where: str) -> None:
    import psycopg
    from sqlalchemy.engine import make_url

    role = f"reader_{os.getpid()}"
    with psycopg.connect(where) as plain:
        plain.execute(f"CREATE ROLE {role} LOGIN")
        plain.execute(f"GRANT USAGE ON SCHEMA stockroom TO {role}")
        plain.execute(f"GRANT SELECT ON ALL TABLES IN SCHEMA stockroom TO {role}")
    url = make_url(where).set(username=role).render_as_string(hide_password=False)
    try:
        with pytest.raises(NoShop, match='invalid connection option "colour"'):
            open_shop(f"{url}&colour=red", "ada", MONDAY)
        reader = open_shop(url, "ada", MONDAY)
        with pytest.raises(NoShop, match="this role may not do that"):
            take(reader)
    finally:
        with psycopg.connect(where) as plain:
            plain.execute(f"DROP OWNED BY {role}")
            plain.execute(f"DROP ROLE {role}")


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31", "1989-12-31"])
def test_a_day_out_of_all_reason_is_refused(day: str) -> None:
    with pytest.raises(Unreadable, match="a day from 1990 to 2100"):
        parse_day(day, date(2026, 11, 23), day_first=True)


def test_a_file_that_never_ends_and_one_of_too_many_faults_are_refused_in_short(
    shop: Shop, tmp_path: Path
) -> None:
    with pytest.raises(BadFile, match="larger than 50 MB"):
        load_rack(shop, Path("/dev/zero"))
    head = "id,profile,batch,kind,length,place\n"
    (tmp_path / "rack.csv").write_text(head + "x,NONE,,,,\n" * 3_000)
    with pytest.raises(BadFile) as refused:
        load_rack(shop, tmp_path / "rack.csv")
    assert len(refused.value.faults) == 3_000
    assert "and 2,900 more" in str(refused.value)


def entries(shop: Shop) -> int:
    """How many entries the record has."""
    with reading(shop.engine) as session:
        return serial(session, Entry) - 1


def clock_behind_in(shop: Shop, now: datetime) -> str | None:
    """What is said of the clock at this moment."""
    with reading(shop.engine) as session:
        behind = clock_behind(session, now)
        return None if behind is None else word(behind)


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_clock_that_runs_back_is_said(
    shop: Shop, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    take(shop)
    said: list[Fact] = []
    opened = open_shop(where, "ada", MONDAY, Waiting(tell=said.append))
    assert said == []
    back = timedelta(minutes=3)
    assert clock_behind_in(opened, opened.hand.at - back / 3) is None
    told = clock_behind_in(opened, opened.hand.at - back)
    assert told is not None
    assert f"but entry {entries(opened)} was written at" in told
    monkeypatch.setattr("stockroom.services.shop.SKEW", -back)
    open_shop(where, "ada", MONDAY, Waiting(tell=said.append))
    assert word(said[0]).startswith("this computer's clock says 20")


INTERRUPTED = """
import builtins, os, sys
left, as_it_is = int(sys.argv.pop(1)), builtins.__import__
def counting(*told, **more):
    global left
    left -= 1
    if left == 0:
        os.kill(os.getpid(), signal.SIGINT)
    return as_it_is(*told, **more)
before = set(sys.modules)
from stockroom.__main__ import main
assert {"gc", "stockroom", "stockroom.__main__"} >= set(sys.modules) - before
import signal
# What starts the tests may have told its children to pass Ctrl-C over.
signal.signal(signal.SIGINT, signal.default_int_handler)
builtins.__import__ = counting
main()
"""


@pytest.mark.parametrize("imports", [1, 40, 400, 900])
def test_ctrl_c_while_the_program_is_still_loading_is_no_traceback(
    tmp_path: Path, imports: int
) -> None:
    words = [sys.executable, "-c", INTERRUPTED, str(imports), "--shop", str(tmp_path / "s"), "jobs"]
    done = subprocess.run(words, capture_output=True, text=True, check=False,
                          cwd=Path(__file__).parents[3])  # fmt: skip
    assert done.returncode == 130
    assert done.stderr in ("", "stopped; what was recorded before stays recorded\n")

"""Nonsense in every text and file that comes in: no traceback, and no change on refusal."""

import random
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from typer.testing import CliRunner

from stockroom.cli import app
from stockroom.record.database import engine_for, reading
from stockroom.record.jobs import job_number
from stockroom.record.ledger import Hand
from stockroom.record.stocktake import Scope, Sighting
from stockroom.refusals import StockroomError
from stockroom.services.catalogue.load import load_profiles, load_suppliers
from stockroom.services.counter import take as counter
from stockroom.services.counter.typed_jobs import job_told, take_file
from stockroom.services.csv_columns import count_of
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.count import compare
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.rack_file import load_rack
from stockroom.services.rack.typed_sightings import numbers_told, sightings_told
from stockroom.services.record.export import export_record, import_record
from stockroom.services.record.history import job_life, piece_life
from stockroom.services.record.undo import undo
from stockroom.services.saw.typed_cuts import read_reports
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import SETTINGS, with_setting
from stockroom.units.dates import parse_day
from stockroom.units.decimals import parse_number, yes_or_no
from stockroom.units.lengths import parse_length, parse_span
from stockroom.units.money import parse_money
from stockroom.words.language import Text
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.hard.shopwork import MONDAY, sticks, take

TEXTS, TYPED, ON_A_SERVER, FILES, LINES, COMMANDS = 18_200, 900, 150, 900, 25, 150
"""Inputs of each sort: 20,325 in all."""
NASTY = (
    "", " ", "\0", "\n", "\r\n", "\t", "\x1b[31m", "\u202e", "\ufeff", "\udcff", "\U0001f5bc", "é",
    "٣", "²", "½", "'", '"', "''", ";", ",", "..", "/", " / ", "\\", "%", "%s", "{}", "{0}", "[b]",
    "[/red]", "--", "=", "=1+1", "+", "-", "@", "nan", "inf", "-0", "1e309", "0", "1", "23 3/4",
    "9" * 30, "9" * 5000, "x" * 10_000, "1/0", "0x10", "in", "mm", "ft", "DROP TABLE entry;--",
    "' OR 1=1 --", "2026-11-27", "2026-02-30", "0000-00-00", "9999-12-31", "ASH-22", "LEAF-40",
    "B1", "A1", "yes", "no", "stick", "offcut", "rabbeted", "float", "800 mm", "10 mm..20 mm",
    "null", "true", "[]", "\x7f", "\x85", "\u2028",
)  # fmt: skip


class Dice:
    """Nonsense, the same each time."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def text(self) -> str:
        """A text of a few nasty parts, or a letter or two changed in one."""
        parts = self.random.choices(NASTY, k=self.random.choice((1, 1, 1, 2, 3)))
        text = "".join(parts)
        if self.random.random() < 0.3 and text:
            at = self.random.randrange(len(text))
            text = text[:at] + chr(self.random.randrange(0x250)) + text[at + 1 :]
        return text

    def spoilt(self, text: str) -> bytes:
        """A file with something changed: bytes, cells, lines."""
        rows = text.split("\n")
        for _ in range(self.random.randint(1, 3)):
            at = self.random.randrange(len(rows))
            how = self.random.randrange(5)
            if how == 0:
                cells = rows[at].split(",")
                cells[self.random.randrange(len(cells))] = self.text()
                rows[at] = ",".join(cells)
            elif how == 1:
                rows.insert(at, self.text())
            elif how == 2:
                rows.insert(at, rows[at])
            elif how == 3:
                rows[at] = rows[at][: len(rows[at]) // 2]
            else:
                rows[at] = rows[at].replace("1", self.random.choice(NASTY))
        told = "\n".join(rows).encode("utf-8", "surrogatepass")
        if self.random.random() < 0.1 and told:
            told = told[: self.random.randrange(len(told))] + self.random.randbytes(3)
        return told


def refused(do: Callable[[], object]) -> bool:
    """True where it was refused in words that can be shown; anything else but that is a fault."""
    try:
        do()
    except StockroomError as error:
        return bool(str(error)) and "Traceback" not in str(error)
    return False


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A shop with a little of everything."""
    made = stocked(str(tmp_path / "shop.db"))
    sticks(made, 2)
    take(made)
    return made


@pytest.fixture
def changed(shop: Shop) -> Iterator[Callable[[], bool]]:
    """Tells whether anything at all was written since it was last asked."""
    with closing(sqlite3.connect(str(shop.engine.url.database))) as watch:
        seen = [watch.execute("PRAGMA data_version").fetchone()[0]]

        def tell() -> bool:
            seen.append(watch.execute("PRAGMA data_version").fetchone()[0])
            return bool(seen[-1] != seen[-2])

        yield tell


PARSERS: tuple[Callable[[str], object], ...] = (
    lambda text: parse_length(text, "in"), lambda text: parse_length(text, "mm", rounding="down"),
    lambda text: parse_span(text, "in"), parse_money, count_of, numbers_told, job_number,
    lambda text: Hand(text, MONDAY), lambda text: engine_for(text), 
    lambda text: format(Text(text), "quoted"),
    lambda text: parse_day(text, MONDAY, day_first=True), parse_number, yes_or_no,
    *(lambda text, name=name: with_setting(Settings(), name, text)
      for name in SETTINGS), lambda text: with_setting(Settings(), text, "x"),
)  # fmt: skip


def test_nonsense_for_every_reader_of_texts_is_read_or_refused() -> None:
    dice, outcomes = Dice(1), Counter[bool]()
    for number in range(TEXTS):
        reader, text = PARSERS[number % len(PARSERS)], dice.text()
        outcomes[refused(lambda reader=reader, text=text: reader(text))] += 1  # type: ignore[misc]
    assert sum(outcomes.values()) == TEXTS
    assert min(outcomes.values()) > TEXTS // 50


def typed_things(shop: Shop, dice: Dice) -> list[Callable[[], object]]:
    """Each thing that is typed, with nonsense in it."""
    one, two, three = dice.text(), dice.text(), dice.text()
    number = dice.random.choice((0, -1, 1, 2, 3, 99, 2**31, 2**63, 10**30))
    told: dict[str, Any] = {
        "customer": "R", "profile": "ASH-22", "width": "500", "height": "400",
        "due": "2026-11-27", dice.random.choice(("title", "note", "customer", "profile")): one,
        dice.random.choice(("width", "mat", "due", "quantity", "gap", "one_batch")): two,
    }  # fmt: skip
    piece = Arrival(1000, number=dice.random.choice((None, number)), note=two, spot=three)
    return [
        lambda: rack.log_found(shop, "ASH-22", one, piece),
        lambda: rack.log_found(shop, one, "B1", Arrival(1000)),
        lambda: rack.move(shop, number, one),
        lambda: rack.write_off(shop, number, one),
        lambda: rack.find(shop, one, batch=two, spot=three),
        lambda: counter.try_jobs(shop, [job_told(told, shop)]),
        lambda: counter.take(shop, job_told(told, shop)),
        lambda: change_setting(shop, dice.random.choice(tuple(SETTINGS)), one),
        lambda: compare(shop, Scope(one, two), number, [Sighting(number, 5, three, one)]),
        lambda: (piece_life(shop, number), job_life(shop, one)),
        lambda: undo(shop, number, one),
        lambda: open_shop(one, two),
    ]


def test_nonsense_that_is_typed_is_taken_or_refused_and_a_refusal_changes_nothing(
    shop: Shop, changed: Callable[[], bool], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    dice, outcomes, done = Dice(2), Counter[bool](), 0
    while done < TYPED:
        for do in typed_things(shop, dice):
            no = refused(do)
            assert not (no and changed()), "a refusal changed the record"
            changed()
            outcomes[no] += 1
            done += 1
    assert min(outcomes.values()) > TYPED // 75


def counts(shop: Shop) -> tuple[object, ...]:
    """How many rows the tables have that typing can add to."""
    tables = ("entry", "line", "touch", "piece", "job", "frame", "move", "batch", "setting")
    asked = ", ".join(f"(SELECT COUNT(*) FROM {table})" for table in tables)
    with reading(shop.engine) as session:
        return tuple(session.connection().execute(text(f"SELECT {asked}")).one())


@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
def test_nonsense_that_is_typed_is_taken_or_refused_by_a_server_too(where: str) -> None:
    shop = stocked(where)
    sticks(shop, 2)
    take(shop)
    dice, outcomes, done = Dice(6), Counter[bool](), 0
    while done < ON_A_SERVER:
        # The last of them opens whatever place is named, which is no matter of the server's.
        for do in typed_things(shop, dice)[:-1]:
            before = counts(shop)
            no = refused(do)
            assert not no or counts(shop) == before
            outcomes[no] += 1
            done += 1
    assert_true(shop)
    assert min(outcomes.values()) > ON_A_SERVER // 50


SAMPLES = {
    "suppliers": "code,name,note\nOAKS,Oak Hollow,\nELMS,Elm End,by rail\n",
    "profiles": "code,supplier,name,kind,face,stick_length,shortest_kept,end_trim,rabbet_width,"
    "rabbet_depth\nX-1,LARK,x,rabbeted,22 mm,3 m,300 mm,10 mm,6 mm,14 mm\n",
    "rack": "profile,batch,kind,length,id,place,flaws\nASH-22,B1,offcut,800 mm,11,A1,\n"
    "ASH-22,B1,stick,3 m,,A1,10 mm..20 mm; 1 m..1.1 m\n",
    "jobs": "customer,profile,width,height,due,quantity,note\nR,ASH-22,500,400,2026-11-27,1,\n",
    "seen": "id,length,profile,batch,place\n1,,,,\n,812 mm,ASH-22,B1,A1\n",
    "reports": "piece,leftover,miscut,flaw\n1,812 mm,1;2,10 mm..20 mm\n",
}
LOADERS: dict[str, Callable[[Shop, Path], object]] = {
    "suppliers": load_suppliers, "profiles": load_profiles, "rack": load_rack, "jobs": take_file,
    "seen": lambda shop, path: sightings_told(path, shop),
    "reports": lambda shop, path: read_reports(path, 1, shop),
}  # fmt: skip


def test_spoilt_files_are_loaded_whole_or_refused_whole(
    shop: Shop, changed: Callable[[], bool], tmp_path: Path
) -> None:
    dice, outcomes = Dice(3), Counter[bool]()
    path = tmp_path / "spoilt.csv"
    for number in range(FILES):
        what = tuple(SAMPLES)[number % len(SAMPLES)]
        path.write_bytes(dice.spoilt(SAMPLES[what]))
        no = refused(lambda what=what: LOADERS[what](shop, path))  # type: ignore[misc]
        assert not (no and changed()), "a refusal changed the record"
        changed()
        outcomes[no] += 1
    assert min(outcomes.values()) > FILES // 50


@pytest.mark.unaudited
def test_spoilt_exports_are_refused_and_nothing_is_made(shop: Shop, tmp_path: Path) -> None:
    dice = Dice(4)
    export_record(shop, tmp_path / "all.jsonl")
    text = (tmp_path / "all.jsonl").read_text()
    outcomes = Counter[bool]()
    for number in range(LINES):
        (tmp_path / "spoilt").write_bytes(dice.spoilt(text))
        target = tmp_path / f"new{number}.db"
        no = refused(lambda target=target: import_record(str(target), tmp_path / "spoilt"))  # type: ignore[misc]
        assert no != target.exists()
        outcomes[no] += 1
    assert outcomes[True] > LINES // 2


COMMAND_LINES = (
    ("find", "{}"), ("find", "--over", "{}"), ("receive", "ASH-22", "{}", "{}"), 
    ("found", "{}", "{}"),
    ("move", "{}", "{}"), ("flaw", "1", "{}", "{}"), ("history", "piece", "{}"),
    ("history", "job", "{}"), ("undo", "{}"), ("entries", "--last", "{}"),
    ("jobs", "--until", "{}"),
    ("seen", "{}"), ("seen", "--since", "{}", "--unlabelled", "{}"), ("count", "--at", "{}"),
    ("restore", "{}"), ("import", "{}"), ("save", "{}", "{}"), ("load-rack", "{}"),
    ("settings", "{}", "{}"), ("plan", "--pin", "{}"), ("plan", "--leave-alone", "{}"),
    ("drop", "{}"),
    ("cut", "{}", "--piece", "{}"), ("accept", "{}"), ("show", "{}"), ("order", "--until", "{}"),
)  # fmt: skip


def test_nonsense_on_the_command_line_ends_in_a_message_and_an_exit_code(
    shop: Shop, changed: Callable[[], bool], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    dice, runner = Dice(5), CliRunner()
    where = str(shop.engine.url.database)
    for number in range(COMMANDS):
        words = COMMAND_LINES[number % len(COMMAND_LINES)]
        typed = [dice.text() if word == "{}" else word for word in words]
        ended = runner.invoke(app, ["--shop", where, "--day", "2026-11-23", *typed])
        assert isinstance(ended.exception, SystemExit | None), (typed, ended.exception)
        assert "Traceback" not in ended.output
        if ended.exit_code:
            assert not changed(), typed
        changed()


def test_the_inputs_are_as_many_as_is_claimed() -> None:
    assert TEXTS + TYPED + ON_A_SERVER + FILES + LINES + COMMANDS >= 20_000

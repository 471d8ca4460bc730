"""Spreadsheets out and in again: exact, harmless, tried first, with every fault by its row."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event
from sqlmodel import col, select

from stockroom.files.csv_rows import csv_text, read_rows
from stockroom.record.database import Waiting, changing, reading
from stockroom.record.tables import Entry, Job, Profile, Supplier
from stockroom.refusals import BadFile, NoShop, Unreadable
from stockroom.services.catalogue.load import load_profiles, load_suppliers
from stockroom.services.catalogue.save import save
from stockroom.services.counter.amend import cancel, hold
from stockroom.services.counter.job_list import job_rows
from stockroom.services.counter.typed_jobs import take_file
from stockroom.services.csv_columns import said
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.rack_file import load_rack
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, set_up
from stockroom.units.lengths import Unit, parse_length
from tests.stockroom.conftest import stocked
from tests.stockroom.hard.shopwork import MONDAY, accepted, sticks, take

LOADERS: dict[str, Callable[[Shop, Path], object]] = {
    "suppliers": load_suppliers, "profiles": load_profiles, "rack": load_rack, "jobs": take_file,
}  # fmt: skip


def rich(where: str, unit: str) -> Shop:
    """A shop whose rows hold all that a spreadsheet could spoil."""
    shop = stocked(where, unit=unit)
    with changing(shop.engine) as session:
        supplier = session.get_one(Supplier, "LARK")
        supplier.note = "=HYPERLINK(1), 'quoted' \"twice\"; @sum"
        profile = session.get_one(Profile, "ASH-22")
        profile.name, profile.metre_price_minor, profile.height_um = '-5 ash, "clear"', 0, 19_051
        profile.species = "'=Fraxinus"
    flaws = ((100_003, 120_007), (1_000_001, 1_000_002))
    rack.log_found(shop, "ASH-22", "B1", Arrival(1_234_567, 41, flaws, "+1, or 'so", spot="-A1"))
    rack.log_found(
        shop, "LEAF-40", "G/1", Arrival(3_000_001, since=date(2025, 2, 28)), kind="stick"
    )
    take(shop, customer="=1+1", title="''+x", note="@home", width="500 mm / 501.25 mm",
         height="400.001 mm", mat="50 mm / 50 mm / 50 mm / 63.5 mm", overlap="5 mm")  # fmt: skip
    take(shop, profile="FLOAT-12", width="500 mm", height="15 3/8 in", depth="40 mm",
         gap="9.525 mm", quantity="3", proud="yes", one_batch="yes", one_piece="yes")  # fmt: skip
    cancel(shop, f"J{take(shop, width='5 in', height='6 in')}", "so that numbers have a gap")
    hold(shop, f"J{take(shop, width='5 in', height='6 in')}")
    return shop


def rows(shop: Shop) -> dict[str, list[dict[str, object]]]:
    """What a person would keep in a spreadsheet, as it is in the record."""
    with reading(shop.engine) as session:
        kept = {
            "suppliers": session.exec(select(Supplier).order_by(col(Supplier.code))).all(),
            "profiles": session.exec(select(Profile).order_by(col(Profile.code))).all(),
            "jobs": session.exec(select(Job).where(Job.state != "cancelled").order_by(col(Job.id)))
            .all(),
        }  # fmt: skip
        found = {name: [row.model_dump(exclude={"taken_in"}) for row in table]
                 for name, table in kept.items()}  # fmt: skip
    found["rack"] = [{name: getattr(piece, name) for name in piece.__dataclass_fields__}
                     for piece in rack.find(shop)]  # fmt: skip
    return found


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_what_is_saved_and_loaded_in_another_shop_is_the_same_to_the_micrometre(
    where: str, tmp_path: Path, unit: str
) -> None:
    shop = rich(where, unit)
    copy = set_up(str(tmp_path / "copy.db"), "ben", {"unit": unit, "clean_up": "0.5 mm"}, MONDAY)
    for what, load in LOADERS.items():
        path = tmp_path / f"{what}.csv"
        assert save(shop, what, path) == len(rows(shop)[what])
        load(copy, path)
    assert rows(copy) == rows(shop)


def test_a_job_that_is_partly_cut_or_late_is_saved_with_what_is_left_of_it(
    where: str, tmp_path: Path
) -> None:
    shop = stocked(where)
    sticks(shop)
    number = take(shop, quantity="2")
    plan = accepted(shop)
    for piece in to_settle(shop, plan):
        record_cut(shop, SawReport(plan, piece))
    later = Shop(shop.engine, shop.settings, replace(shop.hand, day=date(2026, 12, 24)))
    assert save(later, "jobs", tmp_path / "jobs.csv") == 1
    copy = stocked(str(tmp_path / "copy.db"))
    late = Shop(copy.engine, copy.settings, later.hand)
    with pytest.raises(BadFile, match="is past"):
        take_file(late, tmp_path / "jobs.csv")
    assert take_file(late, tmp_path / "jobs.csv", late=True).taken == 1
    (row,) = job_rows(late)
    assert (row.number, row.quantity) == (number, 1)


def test_no_cell_that_is_saved_begins_as_a_formula_does(where: str, tmp_path: Path) -> None:
    shop = rich(where, "mm")
    for what in LOADERS:
        save(shop, what, tmp_path / what)
        text = (tmp_path / what).read_text()
        assert not any(cell.strip('"').startswith(("=", "+", "-", "@"))
                       for line in text.splitlines() for cell in line.split(","))  # fmt: skip


def test_a_dry_run_says_what_would_be_loaded_and_changes_nothing(
    where: str, tmp_path: Path
) -> None:
    shop = rich(where, "mm")
    copy = set_up(str(tmp_path / "copy.db"), "ben", {"unit": "mm"}, MONDAY)
    save(shop, "suppliers", tmp_path / "s.csv")
    assert load_suppliers(copy, tmp_path / "s.csv", dry_run=True) == 1
    load_suppliers(copy, tmp_path / "s.csv")
    save(shop, "profiles", tmp_path / "p.csv")
    assert load_profiles(copy, tmp_path / "p.csv", dry_run=True) == 3
    with reading(copy.engine) as session:
        assert session.exec(select(Profile)).all() == []
        assert len(session.exec(select(Entry)).all()) == 2
    load_profiles(copy, tmp_path / "p.csv")
    save(shop, "rack", tmp_path / "r.csv")
    assert load_rack(copy, tmp_path / "r.csv", dry_run=True) == 2
    assert rack.find(copy) == []


def test_every_fault_of_a_file_is_named_by_its_row_and_nothing_is_loaded(
    shop: Shop, tmp_path: Path
) -> None:
    path = tmp_path / "rack.csv"
    path.write_text("profile,batch,kind,length,id\nASH-22,B1,offcut,800 mm,7\n"
                    "ASH-22,B1,plank,800 mm,8\nOAK,B1,offcut,800 mm,9\n"
                    "ASH-22,B1,offcut,800 mm,7\nASH-22,B1,offcut,0,\n")  # fmt: skip
    with pytest.raises(BadFile) as refused:
        load_rack(shop, path, dry_run=True)
    assert [row for row, _ in refused.value.faults] == [2, 3, 4, 5, 6]
    path.write_text(path.read_text().replace("plank", "offcut").replace(",0,", ",1 mm,"))
    with pytest.raises(BadFile) as refused:
        load_rack(shop, path)
    assert [row for row, _ in refused.value.faults] == [2, 4, 5]
    assert rack.find(shop) == []


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_the_rows_of_a_file_are_checked_before_the_write_lock_is_taken(
    shop: Shop, tmp_path: Path
) -> None:
    def must_not_wait() -> None:
        raise AssertionError("the lock was asked for")

    idle = replace(shop, waiting=Waiting(before=must_not_wait))
    path = tmp_path / "rack.csv"
    path.write_text("profile,batch,kind,length,id\nOAK,B1,stick,3 m,1\n")
    with pytest.raises(BadFile, match="no profile 'OAK'"):
        load_rack(idle, path)
    path.write_text("customer,profile,width,height,due\nA,OAK,500,400,2026-12-01\n")
    with pytest.raises(BadFile, match="no profile 'OAK'"):
        take_file(idle, path)


@pytest.mark.unaudited
@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_large_file_takes_few_statements_whatever_its_rows(shop: Shop, tmp_path: Path) -> None:
    path, counted = tmp_path / "rows.csv", [0]

    @event.listens_for(shop.engine, "after_cursor_execute")
    def count(*_told: object) -> None:
        counted[0] += 1

    def statements(rows: str, load: Callable[[Shop, Path], object]) -> int:
        path.write_text(rows)
        counted[0] = 0
        load(shop, path)
        return counted[0]

    piece = "ASH-22,B1,stick,3 m,A1,10..20\n"
    head = "profile,batch,kind,length,place,flaws\n"
    assert statements(head + piece * 1_000, load_rack) < 40 + statements(head + piece, load_rack)
    job, head = "A,ASH-22,500,400,2026-12-01\n", "customer,profile,width,height,due\n"
    assert statements(head + job * 1_000, take_file) < 40 + statements(head + job, take_file)
    assert len(rack.find(shop)) == 1_001


def test_a_file_is_not_written_over_another(shop: Shop, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("mine")
    with pytest.raises(NoShop, match="there is a file already"):
        save(shop, "rack", path)
    with pytest.raises(Unreadable, match="suppliers, profiles, rack, jobs"):
        save(shop, "all", path)
    assert path.read_text() == "mine"


@given(st.integers(0, 100_000_000), st.sampled_from(["in", "mm"]))
def test_a_length_that_is_saved_reads_back_however_it_is_rounded(um: int, unit: Unit) -> None:
    text = said(um, unit)
    assert parse_length(text, unit, rounding="up") == um
    assert parse_length(text, unit, rounding="down") == um


LETTERS = st.characters(exclude_categories=("C", "Z")) | st.sampled_from("=+-@'\", ;")
TEXTS = st.text(LETTERS, min_size=1, max_size=12).map(str.strip).filter(bool)


@given(st.lists(TEXTS))
def test_any_text_goes_through_a_spreadsheet_unchanged(
    tmp_path_factory: pytest.TempPathFactory, texts: list[str]
) -> None:
    path = tmp_path_factory.mktemp("csv") / "t.csv"
    path.write_text(csv_text(["note"], [{"note": text} for text in texts]), encoding="utf-8")
    assert [cells["note"] for _, cells in read_rows(path, ["note"])] == texts

"""What is edited by hand, past or present, is found by the audit, or against any older copy."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from stockroom.record import schema
from stockroom.record.audit import audit
from stockroom.record.database import changing, engine_for, reading
from stockroom.record.row_text import as_sealed
from stockroom.record.seal import broken_seals, seals
from stockroom.refusals import NoShop
from stockroom.services.record.backup import against, back_up
from stockroom.services.record.export import export_record, import_record
from stockroom.services.record.undo import undo
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.words.language import word
from tests.stockroom.hard import test_audit
from tests.stockroom.hard.shopwork import MONDAY, sticks, take

pytestmark = pytest.mark.unaudited
worked = test_audit.worked

EDITS = {
    "who did it": "UPDATE entry SET who = 'ben' WHERE id = 3",
    "why": "UPDATE entry SET why = 'lost' WHERE id = 9",
    "the day": "UPDATE entry SET day = '2026-11-22' WHERE id = 4",
    "the moment": "UPDATE entry SET at = '2026-11-22 10:00:00.000000' WHERE id = 4",
    "what kind": "UPDATE entry SET kind = 'write off' WHERE id = 7",
    "the detail": """UPDATE entry SET detail = '{"rails": 5}' WHERE kind = 'cut'""",
    "the key": "UPDATE entry SET key = 'x' WHERE id = 2",
    "saw loss called scrap": "UPDATE line SET place = 'scrap' WHERE place = 'saw'",
    "scrap of another cause": "UPDATE line SET cause = 'miscut' WHERE place = 'scrap'",
    "what an entry is about": "INSERT INTO touch VALUES (2, 'job', '77')",
    "the price of a profile": "UPDATE profile SET stick_price_minor = 1 WHERE code = 'ASH-22'",
    "the price of an order": "UPDATE purchaseline SET price_minor = 1",
    "the price of a stick": "UPDATE receipt SET price_minor = 1",
    "a supplier's terms": "UPDATE supplier SET lead_days = 99",
    "a setting": "UPDATE setting SET value = 'x' WHERE name = 'name'",
    "a customer": "UPDATE job SET customer = 'somebody else' WHERE id = 1",
    "a piece's note": "UPDATE piece SET note = 'mine' WHERE id = 4",
    "a piece's day": "UPDATE piece SET since = '2020-01-01' WHERE id = 4",
    "a place on the rack": "UPDATE move SET spot = 'Z9' WHERE piece_id = 4",
    "a plan's answer": "UPDATE plan SET answer = '{}' WHERE id = 1",
    "a row put in": "INSERT INTO batch VALUES ('ASH-22', 'B77')",
    "a row taken out": "DELETE FROM flaw",
    "a sum": "UPDATE seal SET digest = '00' WHERE name = 'piece'",
    "the sums": "DELETE FROM seal",
    "a seal": "UPDATE entry SET seal = 'aa' WHERE id = 5",
    "the last seal": "UPDATE entry SET seal = 'aa' WHERE id = (SELECT MAX(id) FROM entry)",
}


@pytest.mark.parametrize("what", EDITS)
def test_an_edit_by_hand_is_found(worked: Shop, what: str) -> None:
    with changing(worked.engine, dry_run=True) as session:
        assert list(broken_seals(session)) == []
        changed = session.connection().execute(text(EDITS[what]))
        assert changed.rowcount > 0
        assert list(broken_seals(session)) != []


def test_the_newest_entry_taken_away_is_found(worked: Shop) -> None:
    take(worked)
    with changing(worked.engine, dry_run=True) as session:
        last = "(SELECT MAX(id) FROM entry)"
        job = f"(SELECT id FROM job WHERE taken_in = {last})"
        for statement in (f"DELETE FROM touch WHERE entry_id = {last}",
                          f"DELETE FROM frame WHERE job_id = {job}",
                          f"DELETE FROM job WHERE taken_in = {last}",
                          f"DELETE FROM entry WHERE id = {last}"):  # fmt: skip
            session.connection().execute(text(statement))
        told = [word(fault.told) for fault in audit(session)]
    assert any("the newest entry: it is the last that was written" in fault for fault in told)


def test_each_entry_is_sealed_by_the_one_before_and_alike_in_both_databases(
    worked: Shop,
    tmp_path: Path,
) -> None:
    take(worked, customer="Ö. Lindqvåg ' ; = \U0001f5bc", note="x" * 190)
    export_record(worked, tmp_path / "all.jsonl")
    import_record(str(tmp_path / "other.db"), tmp_path / "all.jsonl")
    with (
        reading(worked.engine) as session,
        reading(engine_for(str(tmp_path / "other.db"))) as other,
    ):
        sealed = list(seals(session))
        assert sealed == list(seals(other))
        assert list(broken_seals(other)) == []
    assert len({seal for _, seal in sealed}) == len(sealed) > 10
    moved = open_shop(str(tmp_path / "other.db"), "ada", MONDAY)
    sticks(moved)
    change_setting(moved, "name", "The Glue Pot")
    undo(moved, len(sealed) + 1)
    with reading(moved.engine) as session:
        assert audit(session) == []


def test_the_beginning_of_the_chain_is_that_of_any_older_copy(
    worked: Shop,
    tmp_path: Path,
) -> None:
    backup = back_up(worked, tmp_path / "b").path
    export_record(worked, tmp_path / "all.jsonl")
    take(worked)
    for copy in (backup, tmp_path / "all.jsonl"):
        assert against(worked, copy) == []
    # Whoever rewrites the past seals it anew; an older copy tells.
    from stockroom.record.seal import seal_anew

    with changing(worked.engine) as session:
        session.connection().execute(text("UPDATE entry SET who = 'ben' WHERE id = 5"))
        seal_anew(session)
    with reading(worked.engine) as session:
        assert audit(session) == []
    for copy in (backup, tmp_path / "all.jsonl"):
        assert [fault.about for fault in against(worked, copy)] == ["entry 5"]


def test_entries_that_a_copy_holds_and_the_record_lacks_are_named(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    sticks(shop)
    first = back_up(shop, tmp_path / "b").path
    sticks(shop)
    second = back_up(shop, tmp_path / "b").path
    from stockroom.services.record.restore import restore

    restore(where, first, newer=True)
    (fault,) = against(shop, second)
    assert (fault.about, fault.expected, fault.found) == ("the newest entry", 3, 2)


def test_a_record_of_before_seals_is_sealed_and_one_spoilt_since_stays_broken(
    tmp_path: Path,
) -> None:
    path = tmp_path / "shop.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((Path(__file__).parent / "records" / "0003.sql").read_text())
    shop = open_shop(str(path), "ada", MONDAY)
    with reading(shop.engine) as session:
        assert list(broken_seals(session)) == []
        assert all(seal for _, seal in seals(session))
    with changing(shop.engine) as session:
        session.connection().execute(text("UPDATE entry SET who = 'ben' WHERE id = 2"))
        schema.upgrade_sealed(session, "0003")
        assert list(broken_seals(session)) == [
            ("entry 2", "it is as it was when it was written", 0, 1)
        ]


def test_what_a_record_of_before_holds_in_a_column_added_since_is_not_in_its_seals() -> None:
    later = {"grade": "", "price": None}
    assert as_sealed((7, "ash", "", None), later) == (7, "ash")
    assert as_sealed((7, "ash", "", 0), later) == (7, "ash", ("price", 0))
    assert as_sealed((7, "ash", "b", None), later) == (7, "ash", ("grade", "b"))


def test_an_export_that_has_faults_is_not_kept(worked: Shop, tmp_path: Path) -> None:
    with changing(worked.engine) as session:
        session.connection().execute(text("UPDATE profile SET stick_price_minor = 2"))
    with pytest.raises(NoShop, match="table profile"):
        export_record(worked, tmp_path / "all.jsonl")
    assert not (tmp_path / "all.jsonl").exists()

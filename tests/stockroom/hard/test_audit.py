"""Every rule of the audit fires: the record is spoilt behind its back, and the fault is named."""

import os

import pytest
from sqlalchemy import text

from stockroom.record.audit import BALANCES, Violation, audit
from stockroom.record.database import changing, reading
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.correct_batch import correct_batch
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly import purchase_orders as ordering
from stockroom.services.weekly.receive_order import Bundle, receive_order
from stockroom.words.language import word
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.hard.shopwork import accepted, sticks, take

SPOILT = {
    "lines of an entry sum to zero": "UPDATE line SET length_um = length_um + 7 WHERE id = 1",
    "left the rack holds nothing": "UPDATE piece SET left_in = 9 WHERE id = 3",
    "on the rack holds something": "UPDATE piece SET left_in = NULL WHERE id = 1",
    "of its lines' profile and batch": "UPDATE piece SET batch_code = 'X' WHERE id = 3",
    "sets a batch right moves nothing else":
        "UPDATE line SET length_um = length_um + 7 WHERE batch_code = 'G2'",
    "set right is of no other": "UPDATE piece SET batch_code = 'G1' WHERE batch_code = 'G2'",
    "after it left the rack": "UPDATE piece SET left_in = 2 WHERE id = 4",
    "comes in an entry that moves it": "UPDATE piece SET came_in = 1 WHERE id = 3",
    "a plan holds is on the rack": "UPDATE piece SET left_in = 9 WHERE id = 2",
    "finished or let go holds nothing": "UPDATE plan SET state = 'finished' WHERE id = 2",
    "an accepted plan still holds": "UPDATE plan SET state = 'accepted' WHERE id = 1",
    "for a frame that stands": "UPDATE frame SET dropped_in = 3 WHERE id = 2",
    "at the frame's length": "UPDATE planrail SET length_um = 5 WHERE settled_in IS NULL",
    "from a piece that its plan holds": "UPDATE planpiece SET settled_in = 7 WHERE plan_id = 2",
    "and not when it is cut": "UPDATE planrail SET settled_in = NULL WHERE plan_id = 1",
    "is cut once, at its length": "UPDATE frame SET across_um = 9 WHERE id = 1",
    "all its rails are cut, and only then": "UPDATE frame SET done_in = NULL WHERE id = 1",
    "a flaw lies inside": "UPDATE flaw SET end_um = 999999999 WHERE lifted_in IS NULL",
    "its undoing cancel out": "UPDATE line SET cause = 'x' WHERE entry_id = 11 AND place = 'found'",
    "is filed under it": "DELETE FROM touch WHERE what = 'piece' AND which = '1'",
    "of its line's profile": "UPDATE receipt SET received_in = 1",
    "state is that of its entries": "UPDATE purchase SET state = 'placed', closed_in = NULL",
    "every micrometre": "UPDATE line SET length_um = length_um - 7 WHERE id = 3",
    "no entry is missing": "INSERT INTO entry (id, at, day, kind, who, why, detail) "
    "VALUES (99, '2026-11-23', '2026-11-23', 'x', 'x', '', '{}')",
    "it is as it was when it was written": "UPDATE entry SET who = 'ben' WHERE id = 3",
    "is one that can be typed": "UPDATE profile SET height_um = -1 WHERE code = 'ASH-22'",
    "comes on a day of the week": "UPDATE supplier SET delivery_day = 99",
    "no line is missing": "DELETE FROM line WHERE entry_id = 10",
}  # fmt: skip


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def worked(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """A shop with a cut frame, a plan that waits, a flaw and an undone entry; it is true.

    Each test spoils it and takes that back.
    """
    where = str(tmp_path_factory.mktemp("worked") / "shop.db")
    if request.param == "postgresql":
        server = request.getfixturevalue("server")
        name = f"{request.module.__name__.rpartition('.')[2]}_{os.getpid()}"
        server.psql(f'CREATE DATABASE "{name}";')
        where = str(server.get_uri(name))
    shop = stocked(where)
    take(shop)
    sticks(shop, 3)
    number = accepted(shop)
    record_cut(shop, SawReport(number, to_settle(shop, number)[0], spot="C1"))
    take(shop, width="800", height="550")
    accepted(shop)
    rack.mark_flaw(shop, 3, 1_000, 2_000)
    rack.move(shop, 4, "B2")
    rack.log_found(shop, "ASH-22", "B1", rack.Arrival(700_000))
    undo(shop)
    rack.move(shop, 4, "B3")
    ordering.draft(shop, "LARK", [ordering.Wanted("LEAF-40", 1)])
    ordering.place(shop, "1")
    receive_order(shop, "1", [Bundle("LEAF-40", "G1", (rack.Arrival(3_000_000),))])
    correct_batch(shop, [piece.id for piece in rack.find(shop, "LEAF-40")], "G2")
    assert_true(shop)
    return shop


@pytest.mark.parametrize("rule", SPOILT)
def test_a_rule_of_the_audit_names_what_breaks_it(worked: Shop, rule: str) -> None:
    with changing(worked.engine, dry_run=True) as session:
        session.connection().execute(text(SPOILT[rule]))
        faults = [word(fault.told) for fault in audit(session)]
    assert any(rule in fault for fault in faults), faults
    assert all("expected" in fault and "found" in fault for fault in faults)


def test_every_rule_has_a_test_that_breaks_it() -> None:
    assert len(BALANCES) + 2 <= len(SPOILT) + 1


def test_a_fault_says_what_was_expected_what_was_found_and_the_difference() -> None:
    fault = Violation("piece 7", "a piece that left the rack holds nothing", 0, 31)
    assert word(fault.told) == (
        "piece 7: a piece that left the rack holds nothing: expected 0, found 31 (+31)"
    )


def test_a_new_shop_is_true(where: str) -> None:
    shop = stocked(where)
    with reading(shop.engine) as session:
        assert audit(session) == []

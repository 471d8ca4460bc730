"""The record against a tape: a plain model that cuts and measures, and never looks at the code."""

import random
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from stockroom.record.database import reading
from stockroom.record.ledger import on_rack
from stockroom.services.morning.sheets import sheet_of
from stockroom.services.saw.calibrate import calibrate
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, open_shop
from tests.stockroom.hard.shopwork import MONDAY, accepted, sticks, take

# A 3.2 mm blade takes 4.526 mm along the back edge at 45 degrees, and 0.5 mm cleans up.
BLADE, TRIM, KEEP = 5_026, 10_000, 300_000
TAPE = 500


@dataclass
class Wood:
    """A piece of moulding as it lies there: how long it is, and how many ends are as bought."""

    length: int
    factory: int

    def cut(self, rails: list[int]) -> "Wood | None":
        """Cuts it from one end on, the mitred one if there is one; what is left, if that is any."""
        left = self.length - TRIM * (self.factory == 2)
        for rail in rails:
            left -= rail + BLADE
        bruised = TRIM * (self.factory > 0)
        return Wood(left, min(1, self.factory)) if left > bruised else None

    @property
    def worth_keeping(self) -> bool:
        """What its bruised end leaves is no shorter than what the shop keeps."""
        return self.length - TRIM * self.factory >= KEEP


def visit(shop: Shop, woods: dict[int, Wood], luck: random.Random, slip: int) -> None:
    """A day at the saw: a job or two, planned and cut, each leftover measured with the tape."""
    for _ in range(luck.randint(1, 2)):
        take(shop, width=f"{luck.randint(90, 700)}", height=f"{luck.randint(90, 500)}")
    plan = accepted(shop)
    for piece in sheet_of(shop, plan).pieces:
        left = woods.pop(piece.number).cut([rail.length for rail in piece.rails])
        told = (left.length + luck.randint(-slip, slip),) if left and slip else None
        done = record_cut(shop, SawReport(plan, piece.number, leftovers=told))
        assert bool(done.offcuts) == bool(left and left.worth_keeping)
        for offcut in done.offcuts:
            assert left is not None
            assert abs(offcut.length - left.length) <= slip
            woods[offcut.id] = left


def played(shop: Shop, seed: int, visits: int, slip: int) -> dict[int, Wood]:
    """So many days of a shop that buys a stick whenever fewer than two whole ones lie there."""
    luck, woods = random.Random(seed), dict[int, Wood]()
    for _ in range(visits):
        while sum(wood.factory == 2 for wood in woods.values()) < 2:
            woods[sticks(shop)[0]] = Wood(3_000_000, 2)
        visit(shop, woods, luck, slip)
    return woods


# What the record folds is folded alike on both; each is played on one.
@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
def test_over_any_number_of_visits_the_record_says_what_the_tape_says(shop: Shop) -> None:
    woods = played(shop, 7, 8, 0)
    with reading(shop.engine) as session:
        rack = {p.id: (p.length, p.ends.count("factory")) for p in on_rack(session)}
    assert rack == {number: (wood.length, wood.factory) for number, wood in woods.items()}


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_such_visits_tell_the_allowance_that_is_set_within_its_error(shop: Shop) -> None:
    played(shop, 11, 12, TAPE)
    (found,) = calibrate(shop)
    assert found.measured >= 8
    assert found.found is not None
    assert not found.off
    assert abs(found.found.allowance - BLADE) <= 2 * found.found.error


@pytest.mark.parametrize("version", ["0003", "0004"])
def test_an_offcut_of_an_older_record_still_has_its_far_end_and_the_trim_on_it(
    version: str, tmp_path: Path
) -> None:
    path = tmp_path / "shop.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((Path(__file__).parent / "records" / f"{version}.sql").read_text())
    shop = open_shop(str(path), "ada", MONDAY)
    with reading(shop.engine) as session:
        rack = {piece.id: piece for piece in on_rack(session)}
    # It was reckoned as 1019.896 mm, both trims of its stick booked as lost; the tape says 10 more.
    (offcut,) = [piece for piece in rack.values() if piece.kind == "offcut"]
    assert (offcut.length, offcut.ends) == (1_029_896, ("cut", "factory"))
    assert rack[2].ends == ("factory", "factory")

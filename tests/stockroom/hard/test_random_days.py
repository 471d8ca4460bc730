"""Random days of a shop, played against a plain model in memory, and audited at each step."""

import itertools
import shutil
from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from stockroom.record.database import engine_for
from stockroom.record.stocktake import Scope, Sighting
from stockroom.refusals import StockroomError
from stockroom.services.counter import amend as amending
from stockroom.services.counter.job_list import job_rows
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.sheets import sheet_of, to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.correct_batch import correct_batch
from stockroom.services.rack.count import count_sheet, settle
from stockroom.services.rack.mark_pieces import give_back, mark
from stockroom.services.rack.pieces import Arrival
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut, record_left
from stockroom.services.shop import Shop
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.hard.shopwork import EVERY, drafted, sticks, take

TRIM, KEEP, CUT = 10_000, 300_000, 5_026
EXAMPLES = {"sqlite": 14, "postgresql": 10} if EVERY else {"sqlite": 10, "postgresql": 10}
"""The days are the same at each run: more are played when they are asked for."""
STEPS = 25
KINDS = ("receive", "found", "take in", "accept", "cut", "left", "drop", "correct", "count",
         "hold", "batch", "mark", "give back", "cancel", "undo")  # fmt: skip


Marks = tuple[int | None, str, str]
PLAIN: Marks = (None, "", "")
"""The longest rail that a piece gives, its grade, and whose own it is."""


@dataclass
class Model:
    """The shop as a child would keep it: lengths by piece, who holds them, rails still to cut."""

    lengths: dict[int, int] = field(default_factory=dict)
    factory: dict[int, int] = field(default_factory=dict)
    spots: dict[int, str] = field(default_factory=dict)
    held: dict[int, int] = field(default_factory=dict)
    rails: dict[int, int] = field(default_factory=dict)
    sides: dict[int, tuple[int, int]] = field(default_factory=dict)
    on_hold: set[int] = field(default_factory=set)
    marks: dict[int, Marks] = field(default_factory=dict)
    seconds: set[int] = field(default_factory=set)

    def lay(
        self, piece: int, length: int, spot: str, *, factory: int = 0, marks: Marks = PLAIN
    ) -> None:
        """A piece comes to the rack, with so many ends as it was bought."""
        self.lengths[piece], self.spots[piece], self.factory[piece] = length, spot, factory
        self.marks[piece] = marks

    def lift(self, piece: int) -> None:
        """A piece leaves the rack."""
        del self.lengths[piece], self.spots[piece], self.marks[piece]
        self.held.pop(piece, None)

    @property
    def free(self) -> list[int]:
        """The pieces that no plan holds."""
        return sorted(set(self.lengths) - set(self.held))


class Days(RuleBasedStateMachine):
    """One shop, one thing after another."""

    new_shop: Callable[[], Shop]
    played: Counter[str]

    def __init__(self) -> None:
        super().__init__()
        self.shop = type(self).new_shop()
        self.model = Model()
        self.before: list[Model] = []

    def remember(self, what: str) -> None:
        """The model as it is before an entry, for its undoing."""
        self.before.append(deepcopy(self.model))
        self.played[what] += 1

    @initialize(jobs=st.integers(1, 3), width=st.integers(300, 1200))
    def open_the_shop(self, jobs: int, width: int) -> None:
        self.receive(3, "A1")
        for more in range(jobs):
            self.take_in(width - 50 * more, 400)
        self.plan_and_accept()

    @rule(count=st.integers(1, 3), spot=st.sampled_from(["A1", "A2", "B1"]))
    def receive(self, count: int, spot: str) -> None:
        self.remember("receive")
        for piece in sticks(self.shop, count, spot=spot):
            self.model.lay(piece, 3_000_000, spot, factory=2)

    @rule(length=st.integers(200_000, 2_500_000))
    def find_an_offcut(self, length: int) -> None:
        self.remember("found")
        piece = rack.log_found(self.shop, "ASH-22", "B1", Arrival(length), "A1")
        self.model.lay(piece.id, length, "A1")

    @rule(width=st.integers(100, 1200), height=st.integers(100, 1200), seconds=st.booleans())
    def take_in(self, width: int, height: int, seconds: bool = False) -> None:
        self.remember("take in")
        takes = "seconds" if seconds else "usual"
        job = take(self.shop, width=str(width), height=str(height), takes=takes)
        self.model.seconds |= {job} if seconds else set()
        self.model.rails[job] = 4
        # 3 mm of play, and 16 mm of face beyond the rabbet on either side.
        self.model.sides[job] = ((width + 35) * 1000, (height + 35) * 1000)

    @precondition(lambda self: any(self.model.rails.values()) and self.model.free)
    @rule()
    def plan_and_accept(self) -> None:
        try:
            number = drafted(self.shop)
            morning.accept(self.shop, number)
        except StockroomError:
            return
        self.remember("accept")
        self.model.held |= dict.fromkeys(to_settle(self.shop, number), number)
        for piece in sheet_of(self.shop, number).pieces:
            longest, grade, owner = self.model.marks[piece.number]
            assert not owner
            assert all(rail.length <= (longest or rail.length) for rail in piece.rails)
            assert not grade or {int(rail.frame[1:]) for rail in piece.rails} <= self.model.seconds

    @precondition(lambda self: self.model.held)
    @rule(data=st.data())
    def cut_as_planned(self, data: Any) -> None:
        self.cut(data, miscut=False, measured=False)

    @precondition(lambda self: self.model.held)
    @rule(data=st.data(), miscut=st.booleans(), measured=st.booleans())
    def cut_otherwise(self, data: Any, miscut: bool, measured: bool) -> None:
        self.cut(data, miscut, measured)

    def cut(self, data: Any, miscut: bool, measured: bool) -> None:
        piece, plan = data.draw(st.sampled_from(sorted(self.model.held.items())))
        drawn = next(p for p in sheet_of(self.shop, plan).pieces if p.number == piece)
        lengths = [rail.length for rail in drawn.rails]
        ends = self.model.factory[piece]
        left = self.model.lengths[piece] - ends * TRIM
        left = max(0, left - sum(lengths) - len(lengths) * CUT)
        # The far end, if it is as it was bought, still has its trim.
        left += TRIM * (left > 0 and ends > 0)
        told = max(0, left - 1_500) if measured else None
        self.remember("cut")
        done = record_cut(self.shop, SawReport(
            plan, piece, miscut=frozenset({1} if miscut else ()), spot="C1",
            leftovers=None if told is None else (told,),
        ))  # fmt: skip
        marks = self.model.marks[piece]
        self.model.lift(piece)
        kept = left if told is None else told
        racked = [(kept, min(ends, 1))] * (kept - TRIM * (ends > 0) >= KEEP)
        # Nobody measured the miscut rail: a bad end that is cut off again takes a cut.
        racked += [(lengths[0] - CUT, 0)] * (miscut and lengths[0] - CUT >= KEEP)
        for offcut, (length, factory) in zip(done.offcuts, racked, strict=True):
            self.model.lay(offcut.id, length, "C1", factory=factory, marks=marks)
        for number, rail in enumerate(drawn.rails):
            if not (miscut and number == 0):
                self.model.rails[int(rail.frame[1:])] -= 1

    @precondition(lambda self: self.model.held)
    @rule(data=st.data())
    def leave_for_another_day(self, data: Any) -> None:
        piece, plan = data.draw(st.sampled_from(sorted(self.model.held.items())))
        self.remember("left")
        record_left(self.shop, plan, piece, "late")
        del self.model.held[piece]

    @precondition(lambda self: self.model.held)
    @rule(data=st.data())
    def let_a_plan_go(self, data: Any) -> None:
        plan = data.draw(st.sampled_from(sorted(set(self.model.held.values()))))
        self.remember("drop")
        morning.drop(self.shop, plan)
        self.model.held = {p: n for p, n in self.model.held.items() if n != plan}

    @precondition(lambda self: self.model.free)
    @rule(
        data=st.data(), how=st.sampled_from(["scrap", "measure", "move", "batch", "mark", "give"])
    )
    def correct(self, data: Any, how: str) -> None:
        piece = data.draw(st.sampled_from(self.model.free))
        if how == "batch":
            self.set_batch_right(piece)
            return
        if how in ("mark", "give"):
            self.mark_piece(piece, how == "give", data)
            return
        self.remember("correct")
        if how == "scrap":
            rack.write_off(self.shop, piece, "split")
            self.model.lift(piece)
        elif how == "move":
            rack.move(self.shop, piece, "B1")
            self.model.spots[piece] = "B1"
        else:
            length = self.model.lengths[piece] + data.draw(st.integers(-20_000, 20_000))
            rack.remeasure(self.shop, piece, length, "tape")
            self.model.lengths[piece] = length

    def mark_piece(self, piece: int, to_give: bool, data: Any) -> None:
        """A piece is bowed, a second or a customer's own, which may go back to them."""
        longest = data.draw(st.sampled_from([None, 500_000]))
        marks = [("", "C. Voss")] if to_give else [("", ""), ("second", ""), ("", "C. Voss")]
        grade, owner = data.draw(st.sampled_from(marks))
        self.remember("mark")
        mark(self.shop, [piece], {"longest": longest, "grade": grade, "owner": owner})
        self.model.marks[piece] = (longest, grade, owner)
        if to_give:
            self.remember("give back")
            give_back(self.shop, [piece])
            self.model.lift(piece)

    def set_batch_right(self, piece: int) -> None:
        """A piece and all that was cut from its stick are of the other batch, unless held."""
        (there,) = [one for one in rack.find(self.shop) if one.id == piece]
        other = "B2" if there.batch == "B1" else "B1"
        try:
            correct_batch(self.shop, [piece], other)
        except StockroomError:
            return
        self.remember("batch")

    @precondition(lambda self: self.model.rails)
    @rule(data=st.data())
    def cancel(self, data: Any) -> None:
        job = data.draw(st.sampled_from(sorted(self.model.rails)))
        try:
            back = amending.cancel(self.shop, f"J{job}", "withdrew").back
        except StockroomError:
            return
        self.remember("cancel")
        assert len(back) <= 4 - self.model.rails[job]
        for piece in back:
            assert piece.length in self.model.sides[job]
            marks = (piece.longest, piece.grade, piece.owner)
            self.model.lay(piece.id, piece.length, piece.spot, marks=marks)
        del self.model.rails[job]
        self.model.on_hold.discard(job)

    @rule(data=st.data(), spot=st.sampled_from(["A", "B1", ""]))
    def count(self, data: Any, spot: str) -> None:
        sheet = count_sheet(self.shop, Scope(spot))
        there = sorted(p for p, at in self.model.spots.items() if at.startswith(spot))
        assert sorted(piece.id for piece in sheet.pieces) == there
        seen = data.draw(st.sets(st.sampled_from(there))) if there else set()
        new = data.draw(st.lists(st.integers(300_000, 900_000), max_size=1))
        told = [Sighting(number) for number in sorted(seen)]
        told += [Sighting(None, length, "ASH-22", "B1") for length in new]
        self.remember("count")
        _, differs = settle(self.shop, Scope(spot), sheet.as_of, told, "count")
        for piece in set(there) - seen - set(self.model.held):
            self.model.lift(piece)
        for row, length in zip(differs.found, new, strict=True):
            self.model.lay(row.number, length, spot)

    @precondition(lambda self: self.model.rails)
    @rule(data=st.data())
    def hold_or_release(self, data: Any) -> None:
        job = data.draw(st.sampled_from(sorted(self.model.rails)))
        do = amending.release if job in self.model.on_hold else amending.hold
        try:
            do(self.shop, f"J{job}")
        except StockroomError:
            return
        self.remember("hold")
        self.model.on_hold ^= {job}

    @precondition(lambda self: self.before)
    @rule()
    def undo_the_last_thing(self) -> None:
        undo(self.shop)
        self.model = self.before.pop()
        self.played["undo"] += 1

    @invariant()
    def the_record_is_as_the_model_has_it(self) -> None:
        found = rack.find(self.shop)
        assert {p.id: p.length for p in found} == self.model.lengths
        assert {p.id: p.spot for p in found} == self.model.spots
        assert {p.id: (p.longest, p.grade, p.owner) for p in found} == self.model.marks
        assert {p.id: p.held_by for p in found if p.held_by} == self.model.held
        jobs = job_rows(self.shop, done=True)
        assert {j.number: j.rails_waiting for j in jobs if j.state != "cancelled"} == (
            self.model.rails
        )
        assert {j.number for j in jobs if j.state == "held"} == self.model.on_hold

    @invariant()
    def the_record_is_true(self) -> None:
        assert_true(self.shop)


# The machine audits the whole record after each step itself.
@pytest.mark.unaudited
@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_random_days_agree_with_a_plain_model_and_are_true_at_every_step(
    kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    numbers = itertools.count()
    if kind == "sqlite":
        first = stocked(str(tmp_path / "first.db"))

        def new_shop() -> Shop:
            path = tmp_path / f"days{next(numbers)}.db"
            shutil.copy(tmp_path / "first.db", path)
            return Shop(engine_for(str(path)), first.settings, first.hand)
    else:
        server = request.getfixturevalue("server")
        server.psql('CREATE DATABASE "first_days";')
        first = stocked(server.get_uri("first_days"))

        def new_shop() -> Shop:
            name = f"days_{next(numbers)}"
            server.psql(f'CREATE DATABASE "{name}" TEMPLATE "first_days";')
            return Shop(engine_for(server.get_uri(name)), first.settings, first.hand)

    played: Counter[str] = Counter()
    machine = type("Played", (Days,), {"new_shop": staticmethod(new_shop), "played": played})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=EXAMPLES[kind], stateful_step_count=STEPS,
            derandomize=True, database=None, suppress_health_check=list(HealthCheck),
        ),
    )  # fmt: skip
    assert {what for what in KINDS if not played[what]} == set()

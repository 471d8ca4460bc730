"""A shop's own days cut again: what happened is counted once, and every way conserves length."""

import json
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func
from sqlmodel import select
from typer.testing import Result

from planner.heuristics.best_fit import hand_plan
from stockroom.cli import app
from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.record.tables import Line
from stockroom.replay import Policy, Run, figures, replay
from stockroom.replay.asked_frames import FIRST_DAY
from stockroom.replay.deliveries import RecordedSupply
from stockroom.services.insight.replay_shop import AS_IT_WAS, last_days, policies_named, relive
from stockroom.services.insight.replayed_days import Lived, lived
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import RUNNER, run
from tests.stockroom.conftest import assert_true, stocked

MONDAY = date(2026, 11, 23)
BY_HAND = Policy("by hand", hand_plan)


@dataclass(frozen=True)
class Bench:
    """A shop's record, and commands typed on any of its days."""

    where: str

    def __call__(self, day: int, *words: str) -> Result:
        """One command on a day counted from Monday; it must go well."""
        done = RUNNER.invoke(
            app, ["--shop", self.where, "--day", str(MONDAY + timedelta(day)), "--who", "ada",
                  *words], env={"COLUMNS": "80"},
        )  # fmt: skip
        assert done.exit_code == 0, done.stderr
        return done


def job(bench: Bench, day: int, due: int, profile: str, size: str, many: int = 1) -> None:
    """A job of square frames."""
    bench(day, "take", "--customer", "A", "-p", profile, "-w", size, "--height", size,
          "--due", str(MONDAY + timedelta(due)), "--quantity", str(many))  # fmt: skip


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def shop(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """A shop with eleven days behind it, read by all tests of this module."""
    where = str(tmp_path_factory.mktemp("lived") / "shop.db")
    if request.param == "postgresql":
        running = request.getfixturevalue("server")
        running.psql('CREATE DATABASE "lived";')
        where = str(running.get_uri("lived"))
    made = stocked(where)
    eleven_days(Bench(where))
    assert_true(made)
    return made


@pytest.fixture
def bench(shop: Shop) -> Bench:
    """Commands typed in this shop."""
    return Bench(shop.engine.url.render_as_string(hide_password=False).removeprefix(
        "sqlite+pysqlite:///"))  # fmt: skip


def eleven_days(at: Bench) -> None:
    """Ash and leaf cut on three of them; a miscut, an undone cut, three late frames."""
    at(0, "found", "ASH-22", "1500", "--batch", "B0")
    at(0, "receive", "ASH-22", "B1", "2x 3 m", "2x 2990 mm")
    job(at, 0, 0, "ASH-22", "400", 2)
    at(0, "plan", "--accept")
    at(0, "cut", "--as-planned", "--no-labels")
    at(0, "undo")
    at(0, "cut", "--as-planned", "--no-labels")
    at(3, "receive", "LEAF-40", "L1", "2x 3 m")
    job(at, 3, 4, "LEAF-40", "500")
    job(at, 3, 3, "ASH-22", "600", 2)
    at(4, "plan", "--accept")
    first = json.loads(at(4, "find", "LEAF-40", "--as", "json").stdout)[0]["piece"]
    at(4, "cut", "--piece", str(first), "--miscut", "1", "--no-labels")
    at(4, "cut", "--as-planned", "--no-labels")
    at(8, "receive", "LEAF-40", "L2", "2x 2995 mm")
    at(9, "plan", "--accept")
    at(9, "cut", "--as-planned", "--no-labels")
    at(9, "found", "ASH-22", "700", "--batch", "B9")
    at(9, "readymade", "--size", "A6", "--most", "1", "-p", "ASH-22", "--take")
    at(9, "accept")
    at(9, "cut", "--as-planned", "--no-labels")
    at(10, "write-off", str(newest_offcut(at)), "--why", "split")


def newest_offcut(bench: Bench) -> int:
    """The number of the newest offcut."""
    rows = json.loads(bench(10, "find", "--kind", "offcut", "--as", "json").stdout)
    return max(int(row["piece"]) for row in rows)


def past(shop: Shop, first: int = 0, last: int = 10) -> dict[str, Lived]:
    """The profiles' days, by their codes."""
    with reading(shop.engine) as session:
        days = (MONDAY + timedelta(first), MONDAY + timedelta(last))
        found = lived(session, shop.settings, profiles(session), *days)
    return {one.demand.profile: one for one in found}


def sums(shop: Shop, place: str) -> int:
    """What the record moved into a place, um."""
    with reading(shop.engine) as session:
        return session.exec(select(func.sum(Line.length_um)).where(Line.place == place)).one() or 0


def test_what_happened_is_what_the_ledger_says_of_all_that_was_ordered(shop: Shop) -> None:
    days = past(shop).values()
    rails = sum(one.happened.needed for one in days) - 5_026 * rails_cut(shop)
    # A frame of 646 mm was cut for stock, which nobody ordered.
    stock, its_saw = 646_000, 4 * 5_026
    assert rails == sums(shop, "rails") - stock
    assert sum(len(one.orders) for one in days) == 5
    lost = rails + sums(shop, "saw") - its_saw + sum(one.happened.scrap for one in days)
    assert sum(one.happened.bought - one.happened.grown for one in days) == lost


def rails_cut(shop: Shop) -> int:
    """How many rails were cut and stand."""
    return sum(len(order.frame.rails) for one in past(shop).values() for order in one.orders)


def again(one: Lived, *, as_needed: bool = False) -> Run:
    """One profile's days by hand."""
    supply = RecordedSupply(one.arrivals, one.demand, as_needed=as_needed)
    return replay(one.demand, one.orders, BY_HAND, 0, one.days + 1, supply)


@pytest.mark.parametrize("as_needed", [False, True])
def test_each_way_cuts_the_same_rails_and_loses_no_length(shop: Shop, as_needed: bool) -> None:
    for one in past(shop).values():
        run = again(one, as_needed=as_needed)
        assert run.uncut == 0
        assert figures(run, 1, one.days + 1).needed == one.happened.needed
        start, end = sum(run.days[0].offcuts), sum(run.days[-1].offcuts)
        opened = sum(day.opened for day in run.days)
        gone = sum(day.rails + day.saw + day.scrap for day in run.days)
        assert start + opened == gone + end


def test_a_frame_that_waited_for_its_stick_waits_again_unless_sticks_come_as_needed(
    shop: Shop,
) -> None:
    leaf = past(shop)["LEAF-40"]
    # The miscut rail was cut again on day 9; its frame was due on day 4.
    assert leaf.late == 1
    late = Lived(leaf.demand, leaf.days, leaf.orders, tuple(leaf.arrivals[1:]), leaf.happened, 1)
    assert sum(day.late for day in again(late).days) == 1
    assert sum(day.late for day in again(late, as_needed=True).days) == 0


def test_the_rack_begins_as_it_lay_and_offcuts_of_these_days_are_made_anew(shop: Shop) -> None:
    ash = past(shop, 4, 10)["ASH-22"]
    (there,) = [one for one in ash.arrivals if one.day == 0]
    assert [one.day for one in ash.arrivals] == [0]
    # Two frames of rails of 432 mm were cut on Monday; what that left lies there on Thursday.
    whole = [piece.length for piece in there.pieces if piece.kind == "stick"]
    assert whole == [3_000_000, 3_000_000, 2_990_000]
    first = past(shop)["ASH-22"].arrivals[0]
    assert sum(piece.length for piece in first.pieces) == 1_500_000 + 11_980_000
    # A piece keeps its age: it came three days before the evening on which these days begin.
    assert {piece.since for piece in there.pieces} == {FIRST_DAY - timedelta(3)}


def test_all_profiles_together_are_the_sum_of_each(shop: Shop) -> None:
    rows = relive(shop, [BY_HAND], MONDAY, MONDAY + timedelta(10))
    assert [(row.profile, row.way) for row in rows] == [
        ("ASH-22", AS_IT_WAS), ("ASH-22", "by hand"), ("LEAF-40", AS_IT_WAS),
        ("LEAF-40", "by hand"), ("all", AS_IT_WAS), ("all", "by hand")]  # fmt: skip
    for number in (0, 1):
        assert rows[4 + number].found.bought == sum(
            row.found.bought for row in rows[number:4:2]
        )  # fmt: skip
    assert rows[4].late == 3


def test_the_command_shows_each_way_and_writes_csv(bench: Bench, tmp_path: Path) -> None:
    shown = bench(10, "replay", "--by", "profile")
    assert max(map(len, shown.stdout.splitlines())) <= 80
    assert "LEAF-40" in shown.stdout
    assert "2026-11-23 to 2026-12-03: 5 frames cut again" in shown.stderr
    rows: list[dict[str, Any]] = json.loads(bench(10, "replay", "--as", "json").stdout)
    ways = [AS_IT_WAS, "picked by eye", "oldest offcut that fits", "worth alone, frame by frame"]
    assert [row["way"] for row in rows] == ways
    assert len({row["needed_um"] for row in rows}) == 1
    file = tmp_path / "ways.svg"
    bench(10, "replay", "--policy", "eye", "--ahead", "3", "--chart", str(file))
    assert b"picked by eye, 3 days ahead" in file.read_bytes()
    listed = bench(10, "replay", "--policy", "eye", "--by", "profile", "--as", "csv").stdout
    assert listed.splitlines()[0].startswith("profile,way,frames,needed_um,bought_um,more_percent")
    assert len(listed.splitlines()) == 7


def test_a_kept_worth_is_one_of_the_ways(bench: Bench, shop: Shop) -> None:
    assert "worth as learned" not in [one.name for one in policies_named(shop, ())]
    bench(10, "worth", "ASH-22")
    assert "worth as learned" in [one.name for one in policies_named(shop, ())]
    (ahead,) = policies_named(shop, ("worth as learned, together",), 9)
    assert (ahead.name, ahead.ahead) == ("worth as learned, together, 9 days ahead", 9)
    rows = json.loads(
        bench(10, "replay", "--policy", "learned", "--ahead", "9", "--as", "json").stdout
    )
    assert [row["way"] for row in rows] == [AS_IT_WAS, "worth as learned, 9 days ahead", ahead.name]
    assert len({row["frames"] for row in rows[:2]}) == 1
    bench(10, "undo")


def test_a_learned_worth_says_what_the_last_month_would_have_taken(bench: Bench) -> None:
    said = bench(10, "worth", "ASH-22", "-n").stderr
    assert "The last 30 days cut again (4 frames, from the rack as it lay):" in said
    (ash, leaf) = json.loads(bench(10, "worth", "--all", "-n", "--as", "json").stdout)
    assert (ash["profile"], leaf["profile"]) == ("ASH-22", "LEAF-40")
    assert ash["opened_before_um"] > 0 < ash["opened_now_um"]


def test_days_on_which_nothing_was_cut_and_unknown_ways_are_refused(bench: Bench) -> None:
    for words, code, said in (
        (["--until", "2026-11-22", "--since", "2026-11-20"], 12, "nothing was cut"),
        (["--since", "2026-11-24", "--until", "2026-11-23"], 12, "no day lies between"),
        (["--policy", "luck"], 11, "no way of planning 'luck'"),
        (["--ahead", "99"], 12, "0 to 60 days"),
        (["--by", "moon"], 10, "all or profile"),
        (["--profile", "NONE-1"], 11, "NONE-1"),
    ):
        done = run(bench.where, "replay", *words)
        assert (done.exit_code, said in done.stderr) == (code, True), done.stderr


def test_the_last_days_end_today_and_begin_no_earlier_than_the_record(shop: Shop) -> None:
    assert last_days(shop, 30) == (MONDAY, MONDAY)
    later = replace(shop, hand=replace(shop.hand, day=MONDAY + timedelta(90)))
    assert last_days(later, 30) == (MONDAY + timedelta(61), MONDAY + timedelta(90))

"""Offcuts that nobody will use, and the frames that could be made of them."""

import json
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.worth import default_worth
from stockroom.services.insight.advise_offcuts import dead_offcuts as dead
from stockroom.services.insight.ready_made import ready_made, sizes_named
from stockroom.services.shop import Shop
from stockroom.worth.dead_offcuts import dead_offcuts, waits
from tests.stockroom.cli.bench import run

MM = 1_000


def test_offcuts_shorter_than_every_rail_are_dead() -> None:
    assert dead_offcuts({1: 350 * MM, 2: 900 * MM}, [400 * MM, 500 * MM]) == [1]


def test_two_offcuts_for_one_rail_leave_the_longer_dead() -> None:
    assert dead_offcuts({1: 500 * MM, 2: 450 * MM}, [440 * MM]) == [1]


def test_a_long_rail_is_left_to_the_long_offcut() -> None:
    assert dead_offcuts({1: 500 * MM, 2: 450 * MM}, [440 * MM, 490 * MM]) == []


def test_the_wait_is_the_turn_at_the_pace_of_the_rails_that_fit() -> None:
    # Six rails in half a year are twelve a year; the short offcut takes none of the long ones.
    rails = [400 * MM] * 2 + [900 * MM] * 4
    found = {w.number: w for w in waits({1: 450 * MM, 2: 470 * MM, 3: 950 * MM, 4: 300 * MM},
                                        rails, Fraction(1, 2))}  # fmt: skip
    assert [str(found[n].fits) for n in (1, 2, 3)] == ["4", "4", "12"]
    assert [found[n].turn for n in (1, 2, 3)] == [1, 2, 3]
    assert [str(found[n].years) for n in (1, 2, 3)] == ["1/4", "1/2", "1/4"]
    assert (found[4].years, found[4].dead) == (None, True)
    crowded = waits(dict.fromkeys(range(6), 450 * MM), [400 * MM] * 4, Fraction(1))
    assert [w.dead for w in crowded] == [False] * 4 + [True] * 2
    assert [w.years for w in crowded][-1] == Fraction(6, 4)


def test_without_demand_every_offcut_is_dead() -> None:
    assert dead_offcuts({1: 5, 2: 4}, []) == [2, 1]


@given(st.lists(st.integers(1, 9), max_size=5), st.lists(st.integers(1, 9), max_size=5))
def test_as_many_offcuts_are_served_as_any_dealing_could(
    lengths: list[int], rails: list[int]
) -> None:
    def most(offcuts: list[int], left: list[int]) -> int:
        """Every dealing, tried one by one."""
        if not offcuts:
            return 0
        first, rest = offcuts[0], offcuts[1:]
        tries = [most(rest, left)]
        tries += [1 + most(rest, [*left[:i], *left[i + 1 :]])
                  for i, rail in enumerate(left) if rail <= first]  # fmt: skip
        return max(tries)

    dead = dead_offcuts(dict(enumerate(lengths)), rails)
    assert len(lengths) - len(dead) == most(lengths, rails)


@pytest.fixture
def racked(shop: Shop, where: str) -> Shop:
    """Offcuts of ash: two of one batch that make a small frame together, one too short."""
    for batch, length in (("B1", "700 mm"), ("B1", "720 mm"), ("B2", "310 mm")):
        done = run(where, "found", "ASH-22", length, "--batch", batch)
        assert done.exit_code == 0, done.stderr
    return shop


def test_nothing_asked_for_makes_every_offcut_idle_with_length_and_money(
    racked: Shop, where: str
) -> None:
    found = dead(racked, anyway=True).offcuts
    assert [(one.length, one.money) for one in found] == [
        (720 * MM, 444), (700 * MM, 432), (310 * MM, 191)]  # fmt: skip
    assert {(str(one.wait.fits), one.wait.years) for one in found} == {("0", None)}
    done = run(where, "dead", "--anyway")
    assert done.exit_code == 0, done.stderr
    assert "3 offcuts to clear out, 1730 mm, $10.67 as bought." in done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "never" in done.stdout


def test_a_young_record_tells_nothing_of_its_own_accord(racked: Shop, where: str) -> None:
    assert dead(racked).offcuts == ()
    done = run(where, "dead")
    assert (done.exit_code, done.stdout) == (0, "")
    assert "The past known here is 1 day" in done.stderr


def test_an_old_book_tells_what_is_idle_from_the_first_day(
    racked: Shop, where: str, tmp_path: Path
) -> None:
    jobs = [f"{date(2026, 11, 22) - timedelta(10 * n)},ASH-22,600,600,1" for n in range(20)]
    past = tmp_path / "past.csv"
    past.write_text("day,profile,width,height,quantity\n" + "\n".join(jobs) + "\n", "utf-8")
    assert run(where, "load-past", str(past)).exit_code == 0
    advice = dead(racked)
    assert (advice.days, advice.young) == (192, False)
    assert [one.number for one in advice.offcuts] == [3]


def later(shop: Shop, days: int) -> Shop:
    """The shop so many days after."""
    return replace(shop, hand=replace(shop.hand, day=shop.hand.day + timedelta(days)))


def test_an_offcut_that_a_job_wants_is_not_dead(racked: Shop, where: str) -> None:
    take = ["take", "--customer", "A", "-p", "ASH-22", "-w", "600", "--height", "600"]
    assert run(where, *take, "--due", "2026-11-23").exit_code == 0
    assert [one.length for one in dead(racked, anyway=True).offcuts] == [310 * MM]
    # A record of half a year: its four rails count as eight a year, one of a year and more as four.
    for days, fits in ((181, Fraction(4 * 365, 182)), (364, Fraction(4))):
        (short,) = dead(later(racked, days)).offcuts
        assert (short.number, str(short.wait.fits)) == (3, "0")
        assert (
            waits({1: 700 * MM}, [632 * MM] * 4, Fraction(min(days + 1, 365), 365))[0].fits == fits
        )
    assert len(dead(later(racked, 365)).offcuts) == 3


def test_money_that_is_not_known_is_not_said_to_be_nothing(shop: Shop, where: str) -> None:
    assert run(where, "found", "FLOAT-12", "700 mm", "--batch", "B1").exit_code == 0
    assert [one.money for one in dead(shop, anyway=True).offcuts] == [None]
    done = run(where, "dead", "--anyway")
    assert "1 offcut to clear out, 700 mm, 1 of unknown price." in done.stderr
    assert "$" not in done.stdout + done.stderr


def test_of_a_matched_profile_what_makes_no_whole_frame_with_its_batch_is_dead(
    shop: Shop, where: str
) -> None:
    for batch, length in (("L1", "1300"), ("L1", "1310"), ("L2", "1400"), ("L3", "2700")):
        assert run(where, "found", "LEAF-40", length, "--batch", batch).exit_code == 0
    take = ["take", "--customer", "A", "-p", "LEAF-40", "-w", "550", "--height", "550"]
    assert run(where, *take, "--due", "2026-11-23", "--quantity", "2").exit_code == 0
    # Rails of 621 mm: two come out of each of L1, none of L2 makes a frame, L3 makes one alone.
    found = dead(shop, anyway=True).offcuts
    assert [(one.number, one.matched, str(one.wait.fits)) for one in found] == [(3, True, "0")]


def test_ready_made_frames_come_whole_from_one_batch_of_offcuts(racked: Shop, where: str) -> None:
    found = ready_made(racked).frames
    assert found
    lengths = {1: 700 * MM, 2: 720 * MM}
    for one in found:
        assert one.batch == "B1"
        assert set(one.pieces) <= set(lengths)
    assert 2 * sum(sum(one.rails) for one in found) <= sum(lengths.values())
    rows = json.loads(run(where, "readymade", "--as", "json").stdout)
    assert [row["size"] for row in rows] == [one.size.name for one in found]
    gains = [row["gain_minor"] for row in rows]
    assert gains == sorted(gains, reverse=True)


def test_a_gain_is_the_rails_with_their_cuts_less_what_the_offcut_was_worth(
    shop: Shop, where: str
) -> None:
    assert run(where, "found", "ASH-22", "700 mm", "--batch", "B1").exit_code == 0
    (frame,) = ready_made(shop, sizes=sizes_named(shop, ["a6"])).frames
    # 105 x 148 mm with 3 mm of allowance and 22 - 6 mm of moulding on each side.
    assert frame.rails == (140 * MM, 183 * MM)
    need = 2 * 140 * MM + 2 * 183 * MM + 4 * 5_026
    assert 700 * MM - need < 300 * MM
    assert frame.gain == need - default_worth(700 * MM, 300 * MM)
    assert frame.moulding == round(646 * MM * Fraction(1_850, 3 * 1000 * MM))


def test_a_dead_offcut_goes_first_and_is_worth_nothing_else(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    for length in ("700 mm", "670 mm"):
        assert run(where, "found", "ASH-22", length, "--batch", "B1").exit_code == 0
    past = tmp_path / "past.csv"
    past.write_text("day,profile,width,height,quantity\n2026-01-05,ASH-22,640,640,1\n", "utf-8")
    assert run(where, "load-past", str(past)).exit_code == 0
    # A year's rails are of 675 mm: they want the longer one, and no other.
    assert [one.number for one in dead(shop).offcuts] == [2]
    first, _ = ready_made(shop, sizes=sizes_named(shop, ["4x6", "a6"])).frames
    assert first.pieces == (2,)
    assert first.gain == 2 * sum(first.rails) + 4 * 5_026


def test_ready_made_frames_are_a_plan_that_is_accepted_and_cut_like_any_other(
    racked: Shop, where: str, tmp_path: Path
) -> None:
    many = len(ready_made(racked).frames)
    done = run(where, "readymade", "--take")
    assert (done.exit_code, "Plan 1 is proposed" in done.stderr) == (0, True), done.stderr
    assert "sticks opened" in done.stdout
    # Taken again, the jobs that nobody began are let go, and none is there twice.
    assert run(where, "readymade", "--take").exit_code == 0
    jobs = json.loads(run(where, "jobs", "--as", "json").stdout)
    assert {job["customer"] for job in jobs} == {"for stock"}
    assert sum(job["quantity"] for job in jobs) == many
    # Made again with a piece left alone it is still a plan of frames for stock alone.
    assert run(where, "plan", "--again", "--leave-alone", "3").exit_code == 0
    assert json.loads(run(where, "jobs", "--as", "json").stdout) == jobs
    assert run(where, "accept").exit_code == 0
    assert run(where, "sheet", "3", str(tmp_path / "sheet.pdf")).exit_code == 0
    assert run(where, "cut", "--as-planned").exit_code == 0
    assert json.loads(run(where, "jobs", "--as", "json").stdout) == []
    assert run(where, "readymade", "--take").exit_code == 12


def test_frames_for_stock_are_no_demand_and_in_no_days_plan_or_order(
    racked: Shop, where: str
) -> None:
    assert run(where, "readymade", "--take").exit_code == 0
    assert run(where, "plan").exit_code == 12
    assert run(where, "order", "--dry-run").stdout == ""
    learnt = run(where, "worth", "ASH-22", "-n").stderr
    assert "learned from 0 frames" in learnt
    assert {one.wait.fits for one in dead(racked, anyway=True).offcuts} == {0}
    assert run(where, "drop", "1").exit_code == 0
    assert json.loads(run(where, "jobs", "--as", "json").stdout) == []


def test_what_open_jobs_are_cut_from_is_left_alone(racked: Shop, where: str) -> None:
    take = ["take", "--customer", "A", "-p", "ASH-22", "-w", "100", "--height", "150"]
    assert ready_made(racked).left_alone == frozenset()
    assert run(where, *take, "--due", "2026-11-30", "--quantity", "2").exit_code == 0
    offer = ready_made(racked)
    assert offer.left_alone
    assert not offer.left_alone & {piece for one in offer.frames for piece in one.pieces}


def test_sizes_and_dead_offcuts_alone_may_be_asked_for(racked: Shop, where: str) -> None:
    asked = ready_made(racked, sizes=sizes_named(racked, ["A6"])).frames
    assert {one.size.name for one in asked} <= {"A6"}
    take = ["take", "--customer", "A", "-p", "ASH-22", "-w", "600", "--height", "600"]
    assert run(where, *take, "--due", "2026-11-23").exit_code == 0
    assert ready_made(racked, dead_alone=True).frames == ()
    refused = run(where, "readymade", "--size", "9x9")
    assert (refused.exit_code, "cannot read '9x9'" in refused.stderr) == (10, True)


@pytest.mark.unaudited
@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_ready_made_sizes_are_a_list_of_the_shops_own_and_any_size_is_typed(
    racked: Shop, where: str
) -> None:
    def listed() -> str:
        rows = json.loads(run(where, "settings", "sizes", "--as", "json").stdout)
        return str(rows[0]["value"])

    assert "30x40 cm" in listed()
    assert "8x10 in" not in listed()
    done = run(where, "readymade", "--size", "148 x 104,5 mm", "--as", "json")
    assert {row["size"] for row in json.loads(done.stdout)} == {"148x104,5 mm"}
    assert "10,5x15 cm; 8x10 in" in run(where, "settings", "sizes", "10,5x15 cm; 8x10").stdout
    offered = json.loads(run(where, "readymade", "--as", "json").stdout)
    assert {row["size"] for row in offered} == {"10,5x15 cm"}
    run(where, "settings", "sizes", "add 10x12 cm; a6")
    run(where, "settings", "sizes", "drop 8x10")
    assert listed() == "10,5x15 cm; 10x12 cm; A6"
    assert run(where, "settings", "sizes", "drop 30x40 cm").exit_code == 10
    assert run(where, "settings", "sizes", "drop 10,5x15 cm; 10x12; a6").exit_code == 10
    assert "A0" in run(where, "settings", "sizes", "usual").stdout


def test_no_ready_made_frame_is_made_of_a_float_or_of_nothing(shop: Shop) -> None:
    assert ready_made(shop).frames == ()
    assert ready_made(shop, "FLOAT-12").frames == ()

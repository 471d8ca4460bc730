"""The ticket of a job from the record, and the command that shows it."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from stockroom.frame.ticket_told import Bench
from stockroom.refusals import Refused, Unreadable
from stockroom.services.counter.make_ticket import bench_told, grams, ticket_of
from stockroom.services.shop import Shop, change_setting
from stockroom.settings.shop_settings import Settings
from stockroom.views.ticket_rows import Row, hang_rows, heavy, joining_rows, weight_rows
from stockroom.words.language import word
from tests.stockroom.cli.bench import run


@pytest.fixture
def taken(shop: Shop, where: str) -> Shop:
    """A shop with a rabbeted job J1 and a floated canvas J2."""
    for words in (
        ["-p", "ASH-22", "-w", "400", "--height", "500"],
        ["-p", "FLOAT-12", "-w", "600", "--height", "900", "--depth", "32"],
    ):
        done = run(where, "take", "--customer", "A", "--due", "2026-11-30", *words)
        assert done.exit_code == 0, done.stderr
    return shop


def said(rows: list[Row]) -> list[tuple[str, ...]]:
    """Rows of a ticket in words."""
    return [tuple(map(word, row)) for row in rows]


def test_a_part_is_given_or_estimated_and_the_ticket_says_which(taken: Shop) -> None:
    told = bench_told({"artwork": "1.2 kg", "metre": "310 g", "glazing": "glass"}, taken)
    parts = {w.part: w for w in ticket_of(taken, "J1", told).weights}
    assert {name: w.given for name, w in parts.items()} == {
        "moulding": True, "glazing": False, "backing": False, "artwork": True}  # fmt: skip
    assert parts["artwork"].grams == 1200
    assert parts["glazing"].grams == pytest.approx(400 * 500 * 2 * 2.5 / 1000, rel=0.01)


def test_a_float_has_spacers_and_a_screw_that_cannot_come_through(taken: Shop) -> None:
    found = ticket_of(taken, "J2", bench_told({"moulding_height": "46"}, taken))
    assert found.spacer_um == 10_000
    # The bar is guessed at 24 mm: half of it, behind a ledge of 8.
    assert found.screw is not None
    assert (found.screw.longest_um, found.screw.short_of_um) == (8_000 + 12_000, 20_000)
    assert "stretcher bar" in found.estimated
    assert [w.part for w in found.weights] == ["moulding", "artwork"]


def test_a_screw_is_shown_no_longer_than_it_may_be(taken: Shop) -> None:
    found = ticket_of(taken, "J2", bench_told({"moulding_height": "46.9"}, taken))
    assert found.screw is not None
    assert found.screw.longest_um == 20_900
    assert ("longest screw", "20", "mm") in [
        row[:3] for row in said(joining_rows(found, taken.settings))
    ]


def test_a_screw_through_an_estimated_ledge_asks_for_a_measure(taken: Shop) -> None:
    rows = said(joining_rows(ticket_of(taken, "J2", Bench()), taken.settings))
    assert rows[-2][3] == "measure the ledge first"


def test_a_float_is_nailed_and_hung_where_there_is_wood(taken: Shop) -> None:
    found = ticket_of(taken, "J2", bench_told({"moulding_height": "46", "bar": "19"}, taken))
    # Ledge 8, wall 12: the nail goes into the wall and is judged by that, not by 46 mm.
    rows = said(joining_rows(found, taken.settings))
    assert ("V-nail, suggested", "7", "mm", "into the wall, 12 mm thick") in rows
    assert ("stretcher bar", "19", "mm", "") in rows
    assert ("stops short by", "22.5", "mm", "of the canvas") in rows
    # Outside 644; wall 12 and gap 10 each side, and half a bar of 38: fixings 562 apart.
    hung = said(hang_rows(found, taken.settings))
    assert ("fixings, apart", "562", "mm", "in the stretcher bars") in hung
    assert ("hangers", "2", "", "inset in the bar: lies flush") in hung
    load, breaking = (float(row[1]) for row in hung[-2:])
    assert breaking == pytest.approx(4 * load, abs=0.04)


def test_no_glass_is_weighed_over_what_may_be_a_canvas_and_the_board_is_named(
    taken: Shop,
) -> None:
    bare = {w.part: w for w in ticket_of(taken, "J1", Bench()).weights}
    assert bare["glazing"].grams == 0
    assert bare["glazing"].how == "nobody told of any"
    assert bare["backing"].how == "as hardboard, untold"
    foam = {w.part: w for w in ticket_of(taken, "J1", bench_told({"board": "foam"}, taken)).weights}
    # 5 mm of foam board at 110 kg/m3 (from memory) on 400 x 500 mm.
    assert foam["backing"].grams == pytest.approx(0.4 * 0.5 * 0.005 * 110 * 1000, rel=0.01)
    with pytest.raises(Unreadable, match="foam, corrugated or hardboard"):
        bench_told({"board": "straw"}, taken)


def test_a_shop_in_inches_reads_pounds(taken: Shop) -> None:
    # A pound is 453.59237 g exactly, and a pound of force its weight at 9.80665 m/s2.
    inches = replace(taken.settings, unit="in")
    found = ticket_of(taken, "J2", bench_told({"artwork": "3 lb", "metre": "500 g"}, taken))
    assert ("artwork", "3.00", "lb", "given: as weighed") in said(weight_rows(found, inches))
    pull = next(row for row in said(hang_rows(found, inches)) if row[0] == "pull on each hanger")
    assert float(pull[1]) == pytest.approx(found.grams / 453.59237 / 2, abs=0.06)
    assert pull[2] == "lb"


def test_a_height_that_nobody_told_is_said_to_be_estimated(taken: Shop) -> None:
    assert ticket_of(taken, "J1", Bench()).estimated == ("moulding height",)
    assert ticket_of(taken, "J1", Bench(height_um=25_000)).estimated == ()


def test_the_shop_chooses_where_fixings_sit(taken: Shop) -> None:
    changed = replace(taken, settings=change_setting(taken, "fixings", "1/4"))
    found = ticket_of(changed, "J2", Bench())
    assert found.hanging is not None
    assert found.hanging.down_um == found.sizes.outside_um[1] // 4


@pytest.mark.parametrize("typed", ["1/5", "1/2", "a third", "0.3", "1/0"])
def test_fixings_elsewhere_are_refused(taken: Shop, typed: str) -> None:
    with pytest.raises(Unreadable, match="1/4 to 1/3"):
        change_setting(taken, "fixings", typed)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [("1.2 kg", 1200), ("1,2 kg", 1200), ("850g", 850), ("3 lb", 1361), (" 0 kg", 0)],
)
def test_weights_are_read_as_a_framer_writes_them(typed: str, expected: int) -> None:
    assert grams(typed) == expected  # A pound is 453.59237 g exactly.


@pytest.mark.parametrize("typed", ["", "kg", "1,2,3 kg", "-1 kg", "5", "1e3 g", "600 kg", "2 kgg"])
def test_doubtful_weights_are_refused(typed: str) -> None:
    with pytest.raises(Unreadable):
        grams(typed)


def test_a_height_below_the_rabbet_is_refused(taken: Shop) -> None:
    with pytest.raises(Refused, match="rabbet depth"):
        ticket_of(taken, "J1", Bench(height_um=10_000))


def test_hang_shows_the_numbers_and_defers_to_the_makers(taken: Shop, where: str) -> None:
    done = run(where, "hang", "J2", "--moulding-height", "46", "--wire", "--artwork", "4 kg")
    assert done.exit_code == 0, done.stderr
    assert "W / (2 sin a)" in done.stdout
    assert done.stdout.startswith("J2  ")
    assert "makers' ratings, the wall and local practice decide" in done.stderr


def test_scripts_get_the_same_rows(taken: Shop, where: str) -> None:
    rows = json.loads(run(where, "hang", "J1", "--as", "json").stdout)
    assert {"what": "fixings, from the top", "value": "178.5", "unit": "mm",
            "how": "1/3 of the height"} in rows  # fmt: skip


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [(["J9"], 11, "there is no job 'J9'"),
     (["J1", "--wire", "--rise", "2 m"], 12, "a smaller rise"),
     (["J1", "--glazing", "x"], 10, "none, glass or acrylic"),
     (["J1", "--species", "oakk"], 10, "for another wood give what a metre of it weighs"),
     (["J1", "--artwork", "heavy"], 10, "a weight such as 1.2 kg"),
     (["J1", "--artwork", "-3 kg"], 10, "a weight such as 1.2 kg"),
     (["J1", "--artwork", "501 kg"], 10, "at most 500 kg")],
)  # fmt: skip
def test_what_makes_no_ticket_is_refused(
    taken: Shop, where: str, words: list[str], code: int, said: str
) -> None:
    done = run(where, "hang", *words)
    assert (done.exit_code, done.stdout) == (code, "")
    assert said in done.stderr


@pytest.mark.parametrize(
    ("typed", "weighs"),
    [("1.2 kg", 1200), ("850g", 850), ("3 lb", 1361), ("2.5 lbs", 1134), ("8 oz", 227)],
)
def test_a_weight_is_read_as_it_is_said(typed: str, weighs: int) -> None:
    # The international pound is 0.45359237 kg exactly (1959), the ounce a sixteenth of it.
    assert grams(typed) == weighs


def test_what_a_fixing_must_bear_is_rounded_up() -> None:
    assert heavy(1001, Settings(unit="mm"), up=True) == ("1.01", "kg")
    assert heavy(1001, Settings(unit="mm")) == ("1.00", "kg")
    assert heavy(454, Settings(), up=True) == ("1.01", "lb")


def test_a_ticket_is_printed_to_a_new_file_only(taken: Shop, where: str, tmp_path: Path) -> None:
    to = tmp_path / "J2.pdf"
    done = run(where, "ticket", "J2", str(to), "--page", "letter")
    assert done.exit_code == 0, done.stderr
    assert to.read_bytes().startswith(b"%PDF")
    assert run(where, "ticket", "J2", str(to)).exit_code == 15
    assert run(where, "ticket", "J2", str(tmp_path / "x.pdf"), "--page", "a5").exit_code == 10
    assert not (tmp_path / "x.pdf").exists()
    assert run(where, "ticket", "J2", str(tmp_path / "x.txt")).exit_code == 10
    assert not (tmp_path / "x.txt").exists()

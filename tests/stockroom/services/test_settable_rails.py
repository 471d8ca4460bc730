"""Rails are lengths that can be set: re-adding what is printed fits what is printed."""

import re
import sqlite3
from contextlib import closing
from datetime import date
from fractions import Fraction
from math import sqrt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

import planner
from planner.values import Frame, Problem
from stockroom.facts import Fact
from stockroom.frame.notices import Notice
from stockroom.frame.sizes import FrameSizes, Stop
from stockroom.record.catalogue import moulding_of
from stockroom.record.database import changing
from stockroom.record.ledger import RackPiece
from stockroom.record.tables import Profile
from stockroom.screens.plan_screen import piece_lines
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.counter.artwork import Artwork, job_sizes
from stockroom.services.counter.job_list import job_row
from stockroom.services.counter.make_ticket import bench_told, ticket_of
from stockroom.services.counter.take import NewJob, take, try_jobs
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import sheet_pieces
from stockroom.services.planning import rules_for, settable_piece
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from stockroom.units.lengths import parse_length
from stockroom.words.language import Voice
from tests.stockroom.conftest import MONDAY, profiles, stocked

RECORDS = Path(__file__).parents[1] / "hard" / "records"


def ash(**more: object) -> Profile:
    """Ash of 22 mm with a rabbet of 6 mm; its sticks need no trim."""
    made = profiles()[0]
    made.end_trim_um = 0
    for name, value in more.items():
        setattr(made, name, value)
    return made


def sized(settings: Settings, profile: Profile, width: int, height: int) -> FrameSizes:
    """The sizes of a work in this shop, micrometres."""
    return job_sizes(Artwork((width,), (height,)), moulding_of(profile), settings,
                     machine=profile.machine)  # fmt: skip


def printed(
    settings: Settings, profile: Profile, stick: int, works: list[tuple[int, int]]
) -> list[str]:
    """What the screen shows of the pieces of a plan for these works, one text a piece."""
    frames = [Frame(f"J{at}", profile.code, sized(settings, profile, *work).rails_um * 2)
              for at, work in enumerate(works, 1)]  # fmt: skip
    pieces = [
        RackPiece(at, profile.code, "B1", "stick", stick, "", MONDAY, (), None, "")
        for at in range(1, len(works) + 1)
    ]
    problem = Problem(
        rules_for(settings, profile), tuple(settable_piece(piece, settings) for piece in pieces),
        tuple(frames),
    )  # fmt: skip
    answer = planner.plan(problem)
    shown = sheet_pieces(problem, answer, {}, settings, {profile.code: profile}, {}, {})
    return [" ".join("".join(run for run, _ in line) for line in piece_lines(one, settings, 400))
            for one in shown]  # fmt: skip


def added(text: str, settings: Settings, rim: Fraction, sight: Fraction) -> tuple[Fraction, int]:
    """What the printed rails of a piece take of the printed piece beyond its cuts, and how many.

    A plain reader of what stands there: first the measure that the stop reads, to which twice the
    part of the face beyond it is added.
    """
    unit = Fraction(25_400) if settings.unit == "in" else Fraction(1000)

    def number(words: str) -> Fraction:
        return sum((Fraction(word) for word in words.split()), Fraction(0)) * unit

    found = re.search(r"stick ([0-9./ ]*[0-9])", text)
    assert found is not None
    beyond = {"long point": Fraction(0), "inside": 2 * rim, "sight": 2 * sight}[settings.stop]
    total, many = Fraction(0), 0
    for count, words in re.findall(r"(?:(\d+) × )?([0-9./ ]*[0-9]) J\d+", text):
        rails = int(count or 1)
        total += rails * (number(words) + beyond)
        many += rails
    return number(found[1]) - total, many


@pytest.mark.parametrize("stop", ["long point", "inside"])
def test_eight_rails_that_print_14_and_a_half_are_not_cut_from_117_and_a_quarter(
    stop: Stop,
) -> None:
    # Exact rails of 367.775 mm: eight and seven cuts take 117.22 in, as printed 117.385.
    settings = with_setting(Settings(), "stop", stop)
    works = [(332_600, 332_600)] * 2
    exact = 332_600 + 3_175 + 2 * 16_000
    allowance = settings.cut_allowance_um
    assert 8 * exact + 7 * allowance <= 2_978_150 < 8 * Fraction(29, 2) * 25_400 + 7 * allowance
    for text in printed(settings, ash(), 2_978_150, works):
        assert text.count("4 × ") == 1
        rest, many = added(text, settings, Fraction(16_000), Fraction(22_000))
        assert many == 4
        assert rest >= 3 * Fraction(3.2 * sqrt(2) + 0.5) * 1000


def test_two_jobs_of_14_and_a_half_wait_for_more_than_a_stick_of_117_and_a_quarter(
    where: str,
) -> None:
    shop = stocked(where, unit="in")
    change_profile(shop, "ASH-22", {"end_trim": "0"})
    receive(shop, "ASH-22", "B1", [Arrival(parse_length("117 1/4", "in"))])
    work = Artwork((332_600,), (332_600,))
    taken = [take(shop, NewJob("A", "ASH-22", work, MONDAY)) for _ in range(2)]
    rails = [shop.settings.length(um) for one in taken for um in one.sizes.rails_um]
    assert rails == ["14 1/2"] * 4
    assert plan_day(shop, Choices(MONDAY)).tally.frames == 1


SHOPS = st.tuples(
    st.sampled_from([("in", "1/16"), ("in", "1/32"), ("mm", "0.5"), ("mm", "1")]),
    st.sampled_from(["long point", "inside", "sight"]),
)
SIZES = st.tuples(st.integers(80_000, 620_000), st.integers(80_000, 620_000))


@hypothesis_settings(max_examples=25)
@given(SHOPS, st.integers(12_000, 60_000), st.integers(3_000, 9_000),
       st.integers(2_400_000, 3_100_000), st.lists(SIZES, min_size=1, max_size=3))  # fmt: skip
def test_any_printed_sheet_fits_its_printed_pieces_when_it_is_added_up_again(
    shop: tuple[tuple[str, str], str], face: int, rabbet: int, stick: int,
    works: list[tuple[int, int]],
) -> None:  # fmt: skip
    (unit, step), stop = shop
    settings = Settings()
    for name, value in (("unit", unit), ("step", step), ("stop", stop)):
        settings = with_setting(settings, name, value)
    profile = ash(face_um=face, rabbet_width_um=rabbet)
    cut = 3.2 * sqrt(2) * 1000 + 500
    for text in printed(settings, profile, stick, works):
        rest, many = added(text, settings, Fraction(face - rabbet), Fraction(face))
        # The kept allowance is a whole micrometre, at most one above this.
        assert rest >= Fraction((many - 1) * cut) - many


@given(SIZES, st.sampled_from([("in", "1/16"), ("in", "1/32"), ("mm", "0.5"), ("mm", "1")]))
@hypothesis_settings(max_examples=25)
def test_a_rounded_rail_is_less_than_a_step_longer_and_all_sizes_follow_from_it(
    work: tuple[int, int], shop: tuple[str, str]
) -> None:
    settings = with_setting(with_setting(Settings(), "unit", shop[0]), "step", shop[1])
    sizes = sized(settings, ash(), *work)
    for way in (0, 1):
        longer = sizes.rails_um[way] - (work[way] + settings.usual("allowance") + 32_000)
        assert -5 <= longer < settings.step_um + 1
        # Inside + 2 (W - R) = long point; published as rail = opening + 2 (W - R), Vermont
        # Hardwoods, vermonthardwoods.com/picture-framing.
        assert sizes.opening_um[way] + 2 * (22_000 - 6_000) == sizes.rails_um[way]
        assert sizes.sight_um[way] + 2 * 22_000 == sizes.rails_um[way] == sizes.outside_um[way]
        assert sizes.play_um[way] == sizes.opening_um[way] - work[way]


def test_inside_and_twice_the_face_beyond_the_rabbet_are_the_long_point() -> None:
    # W 2, R 1/4, allowance 1/8 on 16 x 20: rails 19 5/8 and 23 5/8, computed from the formula.
    profile = ash(face_um=50_800, rabbet_width_um=6_350)
    for stop in ("long point", "inside", "sight"):
        settings = with_setting(Settings(), "stop", stop)
        (text,) = printed(settings, profile, 3_048_000, [(406_400, 508_000)])
        every = {"long point": ("23 5/8", "19 5/8"), "inside": ("20 1/8", "16 1/8"),
                 "sight": ("19 5/8", "15 5/8")}  # fmt: skip
        for at in (0, 1):
            first = every[stop][at]
            small = ", ".join(f"{name} {every[name][at]}" for name in every if name != stop)
            assert f"2 × {first} J1 ({small})" in text
        assert ("stop reads" in text) == (stop != "long point")


def test_a_record_made_before_keeps_its_rails_and_shows_the_sizes_that_follow_from_them(
    tmp_path: Path,
) -> None:
    path = tmp_path / "shop.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((RECORDS / "0003.sql").read_text())
        # As a program without steps would have kept it.
        old.execute("UPDATE frame SET across_um = 535123 WHERE id = 4")
        old.commit()
    shop = open_shop(str(path), "ada", MONDAY)
    assert (shop.settings.step, shop.settings.shortest_um) == ("", 150_000)
    _, (layer,) = job_row(shop, "J3")
    sizes = layer.sizes
    assert sizes.rails_um == (535_123, 435_000)
    assert sizes.opening_um == (535_123 - 32_000, 435_000 - 32_000)
    assert sizes.play_um == (3_123, 3_000)
    assert ticket_of(shop, "J3", bench_told({}, shop)).sizes.rails_um == (535_123, 435_000)
    fresh = take(shop, NewJob("R. Aldous", "ASH-22", Artwork((500_123,), (400_000,)), MONDAY))
    assert fresh.sizes.rails_um == (535_500, 435_000)


def test_what_a_job_was_taken_in_with_stays_when_the_step_is_changed(shop: Shop) -> None:
    taken = take(shop, NewJob("R. Aldous", "ASH-22", Artwork((500_200,), (400_000,)), MONDAY))
    assert taken.sizes.rails_um == (535_500, 435_000)
    change_setting(shop, "step", "1")
    again = open_shop(shop.engine.url.render_as_string(False), "ada", MONDAY)
    _, (layer,) = job_row(again, f"J{taken.number}")
    sizes = layer.sizes
    assert sizes.rails_um == (535_500, 435_000)


def test_each_profile_is_planned_and_booked_by_the_machine_it_goes_to(tmp_path: Path) -> None:
    shop = stocked(str(tmp_path / "shop.db"))
    for words in (("machine", "chopper"), ("cutter", "guillotine"), ("clean_up", "1 mm"),
                  ("stop", "inside"), ("machine", "main")):  # fmt: skip
        change_setting(shop, *words)
    with changing(shop.engine) as session:
        session.get_one(Profile, "LEAF-40").machine = "chopper"
    shop = open_shop(str(tmp_path / "shop.db"), "ada", MONDAY)
    for code in ("ASH-22", "LEAF-40"):
        receive(shop, code, "B1", [Arrival(3_000_000)])
        take(shop, NewJob("R. Aldous", code, Artwork((300_000,), (200_000,)), MONDAY))
    sheet = plan_day(shop, Choices(date(2026, 11, 30)))
    by_profile = {piece.profile: piece for piece in sheet.pieces}
    saw = {p: {part.length for part in one.parts if part.kind == "saw"}
           for p, one in by_profile.items()}  # fmt: skip
    # A blade of 3.2 mm takes 4.526 mm along the back edge, and 0.5 of clean-up; a guillotine none.
    assert saw == {"ASH-22": {5_026}, "LEAF-40": {1_000}}
    assert by_profile["LEAF-40"].machine == "chopper"
    assert by_profile["LEAF-40"].measures(by_profile["LEAF-40"].rails[0])[0] == ("inside", 303_000)
    assert by_profile["ASH-22"].measures(by_profile["ASH-22"].rails[0])[0][0] == "long point"


def fits(notice: Notice) -> str:
    """Which machine a notice names, and which others would do."""
    assert isinstance(notice.which, Fact)
    return Voice("on_a_page").say(notice.which)


def test_a_profile_that_fits_no_machine_is_said_when_a_job_is_taken_in(tmp_path: Path) -> None:
    shop = stocked(str(tmp_path / "shop.db"))
    change_setting(shop, "machine", "chopper")
    change_setting(shop, "widest", "35 mm")
    change_setting(shop, "shortest", "250 mm")
    shop = open_shop(str(tmp_path / "shop.db"), "ada", MONDAY)
    leaf = NewJob("R. Aldous", "LEAF-40", Artwork((300_000,), (140_000,)), MONDAY)
    (taken,) = try_jobs(shop, [leaf])
    wide, short = taken.sizes.notices
    assert (wide.code, fits(wide)) == ("too wide", "chopper; it fits main")
    assert (short.code, short.amounts) == ("rail short", (211_000, 250_000))
    change_setting(shop, "widest", "35 mm", "main")
    shop = open_shop(str(tmp_path / "shop.db"), "ada", MONDAY)
    (taken,) = try_jobs(shop, [leaf])
    assert fits(taken.sizes.notices[0]) == "chopper; it fits no machine of the shop"


@hypothesis_settings(max_examples=50)
@given(SHOPS, st.integers(1_000, 6_000_000))
def test_what_a_piece_has_is_printed_as_it_is_planned_and_never_more(
    shop: tuple[tuple[str, str], str], length: int
) -> None:
    (unit, step), _ = shop
    settings = with_setting(with_setting(Settings(), "unit", unit), "step", f"{step} {unit}")
    piece = RackPiece(1, "ASH-22", "B1", "stick", length, "", MONDAY, (), None, "")
    shown = settings.stock(length)
    assert shown == settings.length(settable_piece(piece, settings).length) or shown == "0"
    # What was typed with parts of an inch is kept a little short, and prints as it was typed.
    assert parse_length(shown, unit, rounding="down") <= length + 5
    assert settings.stock(parse_length(shown, unit, rounding="down")) == shown

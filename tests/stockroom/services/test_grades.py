"""Pieces that are not for every rail or every job: bowed, seconds, a customer's own, and ornament
that repeats; as said at the rack, planned, printed, given back and undone."""

import pytest

from stockroom.refusals import Refused
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.counter.take import try_jobs
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.insight.shop_numbers import rack_numbers
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.rack.mark_pieces import give_back, mark, marks_of
from stockroom.services.rack.new_piece import Arrival
from stockroom.services.rack.pieces import find, receive
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly.job_cost import price_job, said_price
from stockroom.services.weekly.review import reorder
from stockroom.views.sheet import Sheet
from stockroom.words.plan_reasons import whole
from tests.stockroom.hard.shopwork import UNTIL, accepted, sticks, take


def plan(shop: Shop) -> Sheet:
    """A plan for all that is due."""
    return plan_day(shop, Choices(UNTIL, seconds=5))


def cut_from(sheet: Sheet) -> dict[int, set[str]]:
    """The pieces of a plan, each with the frames that it gives rails to."""
    return {piece.number: {rail.frame for rail in piece.rails} for piece in sheet.pieces}


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_bowed_stick_gives_its_short_rails_and_says_so_wherever_it_lies(shop: Shop) -> None:
    one, two = sticks(shop, 2)
    mark(shop, [one], {"longest": 450_000}, "bowed")
    take(shop)
    sheet = plan(shop)
    assert {p.number: {rail.length for rail in p.rails} for p in sheet.pieces} == {
        two: {535_000, 435_000}}  # fmt: skip
    take(shop, width="400", height="400")
    sheet = plan(shop)
    bowed = next(piece for piece in sheet.pieces if piece.number == one)
    assert {rail.length for rail in bowed.rails} == {435_000}
    assert whole(bowed.marks, shop.settings) == "bowed: rails up to 450 mm"
    for piece in find(shop):
        said = "bowed: rails up to 450 mm" if piece.id == one else ""
        assert whole(marks_of(piece), shop.settings) == said
    undo(shop)  # the second job
    undo(shop)  # the first one
    undo(shop)
    assert [piece.longest for piece in find(shop)] == [None, None]


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_what_a_bowed_second_leaves_is_a_bowed_second_and_goes_to_jobs_that_take_it(
    shop: Shop,
) -> None:
    (piece,) = receive(shop, "ASH-22", "B1", [Arrival(3_000_000, longest=600_000, grade="second")])
    job = take(shop)
    assert [why[0].code for _, why in plan(shop).short] == ["all_kept_for_others"]
    take(shop, takes="seconds")
    assert cut_from(plan(shop)) == {piece.id: {f"J{job + 1}"}}
    done = record_cut(shop, SawReport(accepted(shop), piece.id))
    (left,) = done.offcuts
    assert (left.grade, left.longest, left.owner) == ("second", 600_000, "")


@pytest.mark.parametrize("where", ["sqlite", "postgresql"], indirect=True)
def test_a_client_s_own_moulding_is_cut_for_that_client_alone_and_given_back(shop: Shop) -> None:
    (ours,) = sticks(shop)
    (own,) = receive(shop, "ASH-22", "-", [Arrival(3_000_000, owner="C. Voss")])
    take(shop)
    job = take(shop, customer="c. voss", takes="own")
    assert cut_from(plan(shop)) == {ours: {f"J{job - 1}"}, own.id: {f"J{job}"}}
    # It is no stock of the shop, and asks for no order, price or stick on the list.
    (age,) = rack_numbers(shop, "profile")
    assert (age.sticks, age.offcuts) == (1, 0)
    assert said_price(shop, f"J{job}") is None
    with pytest.raises(Refused):
        price_job(shop, f"J{job}")
    (line,) = [one for one in reorder(shop) if one.profile == "ASH-22"]
    assert f"J{job}" not in str(line)
    number = accepted(shop)
    (left,) = record_cut(shop, SawReport(number, own.id)).offcuts
    with pytest.raises(Refused, match=r"is the shop.s own"):
        give_back(shop, [record_cut(shop, SawReport(number, ours)).offcuts[0].id])
    assert [(p.id, p.owner) for p in give_back(shop, [left.id])] == [(left.id, "C. Voss")]
    assert left.id not in {piece.id for piece in find(shop)}
    undo(shop)
    assert left.id in {piece.id for piece in find(shop)}


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_rails_of_an_ornament_begin_at_motifs_and_what_is_left_knows_its_first(shop: Shop) -> None:
    # Cuts of 5.026 mm: rails of 535 and 435 mm take 600 and 480 of a run that repeats every 60.
    change_profile(shop, "ASH-22", {"repeat": "60 mm"})
    (stick,) = receive(shop, "ASH-22", "B1", [Arrival(3_000_000, motif=40_000)])
    take(shop)
    (piece,) = plan(shop).pieces
    ends = [(part.start, part.start + part.length) for part in piece.rails]
    assert [begin - 40_000 for begin, _ in ends] == [0, 600_000, 1_200_000, 1_680_000]
    (left,) = record_cut(shop, SawReport(accepted(shop), stick.id)).offcuts
    assert left.length == 3_000_000 - ends[-1][1] - 5_026
    assert left.motif == 40_000 + 1_680_000 + 480_000 - ends[-1][1] - 5_026


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_what_is_said_of_a_piece_can_be_so(shop: Shop) -> None:
    (one,) = sticks(shop)
    for told in ({}, {"longest": 0}, {"motif": 3_000_001}):
        with pytest.raises(Refused):
            mark(shop, [one], told)


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_at_the_counter_the_play_or_size_is_offered_that_makes_an_ornament_s_corners_alike(
    shop: Shop,
) -> None:
    # Rails of 535 and 435 mm: of a repeat of 33 mm 1 mm is left over, of one of 60 mm 40.
    def said(**more: str) -> list[str]:
        told = {"customer": "A", "profile": "ASH-22", "width": "500", "height": "400",
                "due": "2026-11-27", **more}  # fmt: skip
        (taken,) = try_jobs(shop, [job_told(told, shop)])
        return [whole([one], shop.settings) for one in taken.sizes.notices
                if one.code.startswith("corners")]  # fmt: skip

    assert said() == []
    change_profile(shop, "ASH-22", {"repeat": "33 mm"})
    (play,) = said()
    assert "1 mm more upright would make them so: a play of 4 mm in all, rails of 436 mm" in play
    assert said(width="499") == []
    change_profile(shop, "ASH-22", {"repeat": "60 mm"})
    (size,) = said()
    assert "the work or its mat 20 mm larger across, with rails of 555 mm" in size
    assert said(width="520") == []

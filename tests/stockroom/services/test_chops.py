"""What comes otherwise than ordered: chops in part, dented, joined; boxes without a batch."""

import pytest

from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.refusals import Refused
from stockroom.services.counter.job_list import job_row
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.record.undo import undo
from stockroom.services.saw.supplied import Chops, chops_awaited, supplied
from stockroom.services.shop import Shop, open_shop
from tests.stockroom.cli.bench import run
from tests.stockroom.hard.shopwork import MONDAY, take

ACROSS, UPRIGHT = 535_000, 435_000
DELIVERY = "D2026-11-23"


def test_of_chops_that_came_in_part_or_dented_the_others_still_wait(shop: Shop) -> None:
    take(shop)
    came = {ACROSS: 2, UPRIGHT: 1}
    got = supplied(shop, "J1", "K4", came, why="one upright is dented")
    assert got == Chops(3, "K4", {UPRIGHT: 1})
    assert got.pairs == {UPRIGHT: 1}
    with reading(shop.engine) as session:
        (frame,) = open_frames(session)
    assert frame.batches == {"K4"}
    assert list(frame.rails.values()) == [UPRIGHT]
    with pytest.raises(Refused, match="J1 waits for 1 rail of 435 mm, and 2 came"):
        supplied(shop, "J1", "K4", {UPRIGHT: 2})
    with pytest.raises(Refused, match="no rail came"):
        supplied(shop, "J1", "K4", {UPRIGHT: 0})
    # The pair that was sent for the dented one: one is used, and the job is joined by then.
    assert supplied(shop, "J1", "K4", {UPRIGHT: 1}, joined=True) == Chops(1, "K4", {})
    assert job_row(shop, "J1")[0].state == "joined"
    undo(shop)
    assert (job_row(shop, "J1")[0].state, chops_awaited(shop, "J1")) == ("part cut", {UPRIGHT: 1})


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_frames_that_lack_a_rail_are_not_joined_and_a_matched_one_has_one_batch(
    shop: Shop,
) -> None:
    take(shop, profile="LEAF-40", quantity="2")
    awaited = chops_awaited(shop, "J1")
    long, short = awaited
    assert awaited == {long: 4, short: 4}
    with pytest.raises(Refused, match="J1 still waits for 7 rails"):
        supplied(shop, "J1", "K4", {long: 1}, joined=True)
    # By the pair: the first frame is whole first.
    supplied(shop, "J1", "K4", {long: 2, short: 1})
    with pytest.raises(Refused, match=r"J1.1 has rails of K4, and must match; these are D2026"):
        supplied(shop, "J1", "", {short: 1})
    assert supplied(shop, "J1", "K4", {short: 1}).awaited == {long: 2, short: 2}
    assert job_row(shop, "J1")[0].frames_cut == 1


def test_what_came_without_a_batch_is_one_of_its_own(shop: Shop, where: str) -> None:
    two = [Arrival(3_000_000)] * 2
    assert {piece.batch for piece in receive(shop, "LEAF-40", "-", two)} == {DELIVERY}
    later = open_shop(where, "ada", MONDAY)
    assert {piece.batch for piece in receive(later, "LEAF-40", "", two)} == {f"{DELIVERY}-2"}
    assert {piece.batch for piece in receive(later, "LEAF-40", DELIVERY, two)} == {DELIVERY}
    take(shop, profile="LEAF-40")
    assert supplied(open_shop(where, "ada", MONDAY), "J1").batch == f"{DELIVERY}-3"


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_the_command_says_what_is_still_to_come_and_by_the_pair(shop: Shop, where: str) -> None:
    take(shop)
    told = ("supplied", "J1", "K4", "--came", "2x 535", "--came", "435", "--why", "one is dented")
    said = run(where, *told).stderr
    assert "3 rails of batch K4 came cut to size (chop)." in said
    assert "Still to come: 1 of 435 mm." in said
    assert "by the pair: 1 pair of 435 mm." in said
    assert "cut to size (chop) by ada, entry 3: supplier -" in run(where, "history", "J1").stdout
    assert "Next: stockroom fitted J1" in run(where, "supplied", "J1", "K4", "--joined").stderr
    assert run(where, "--day", "2026-11-24", "receive", "ASH-22", "-", "2x 3000").exit_code == 0

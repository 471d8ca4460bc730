"""Batches are set right: one piece or many, or one batch that is two; all as entries."""

import pytest
from sqlmodel import select

from stockroom.record.database import reading
from stockroom.record.tables import Frame
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.services.counter.cut_afresh import cut_afresh
from stockroom.services.morning.day_plan import accept
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack.correct_batch import correct_batch, pieces_of_batch
from stockroom.services.rack.pieces import Arrival, find, log_found
from stockroom.services.rack.rails_back import rails_standing
from stockroom.services.record.history import piece_life
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run
from tests.stockroom.hard.shopwork import accepted, drafted, sticks, take


def batches(shop: Shop) -> dict[int, str]:
    """The batch of each piece on the rack."""
    return {piece.id: piece.batch for piece in find(shop)}


def rails(shop: Shop) -> set[tuple[int, str]]:
    """The rails of all frames, with their batches."""
    with reading(shop.engine) as session:
        frames = session.exec(select(Frame)).all()
        return {(rail.rail, rail.batch) for rail in rails_standing(session, frames)}


def test_a_bundle_that_was_two_batches_is_split_and_the_history_says_so(shop: Shop) -> None:
    numbers = sticks(shop, 4)
    result = correct_batch(shop, numbers[2:], "k11", "two papers in the bundle")
    assert (result.batch, result.along, result.frames) == ("K11", (), ())
    assert batches(shop) == {1: "B1", 2: "B1", 3: "K11", 4: "K11"}
    row = piece_life(shop, 3).entries[-1]
    assert (row.kind, row.moved, row.about) == ("batch", (), (("piece", "3"), ("piece", "4")))
    assert row.why == "B1 is K11; two papers in the bundle"
    undo(shop)
    assert set(batches(shop).values()) == {"B1"}
    assert piece_life(shop, 3).entries[-1].moved == ()


def test_with_a_piece_goes_all_that_was_cut_from_its_stick(shop: Shop) -> None:
    sticks(shop, 2)
    take(shop)
    number = accepted(shop)
    (stick,) = to_settle(shop, number)
    (offcut,) = record_cut(shop, SawReport(number, stick)).offcuts
    other = ({1, 2} - {stick}).pop()
    result = correct_batch(shop, [offcut.id], "K11")
    assert (result.frames, result.mixed) == (("J1",), ())
    assert batches(shop) == {other: "B1", offcut.id: "K11"}
    assert rails(shop) == {(rail, "K11") for rail in range(4)}
    with pytest.raises(Clash, match="is built on by"):
        undo(shop, number=result.entry - 1)
    # What goes back of it now is of the batch that it really is.
    cut_afresh(shop, "J1")
    assert batches(shop)[offcut.id + 1] == "K11"
    undo(shop)
    undo(shop)
    assert rails(shop) == {(rail, "B1") for rail in range(4)}
    assert batches(shop) == {other: "B1", offcut.id: "B1"}


def test_a_frame_begun_in_a_batch_goes_on_in_the_batch_that_it_really_is(shop: Shop) -> None:
    log_found(shop, "LEAF-40", "UNKNOWN", Arrival(1_200_000))
    take(shop, profile="LEAF-40", width="432", height="332")
    number = accepted_or_none(shop)
    assert number is None
    log_found(shop, "LEAF-40", "OLD", Arrival(1_200_000))
    correct_batch(shop, [1], "OLD")
    number = accepted_or_none(shop)
    assert number is not None
    assert set(to_settle(shop, number)) == {1, 2}


def accepted_or_none(shop: Shop) -> int | None:
    """The number of a plan, made and accepted; None where it cuts nothing."""
    number = drafted(shop)
    try:
        accept(shop, number)
    except Refused:
        return None
    return number


def test_what_a_plan_holds_keeps_its_batch_and_a_draft_is_out_of_date(shop: Shop) -> None:
    sticks(shop, 1)
    take(shop)
    draft = drafted(shop)
    correct_batch(shop, [1], "K11")
    with pytest.raises(Clash, match="out of date: piece 1: batch by"):
        accept(shop, draft)
    accepted(shop)
    with pytest.raises(Clash, match="piece 1 is held by plan"):
        correct_batch(shop, [1], "K12")


def test_pieces_of_a_batch_are_named_together_and_nonsense_is_refused(shop: Shop) -> None:
    sticks(shop, 2)
    log_found(shop, "LEAF-40", "L1", Arrival(900_000))
    assert pieces_of_batch(find(shop), "ash-22", "b1") == [1, 2]
    with pytest.raises(Unknown, match="did you mean B1"):
        pieces_of_batch(find(shop), "ASH-22", "B2")
    with pytest.raises(Refused, match="of ASH-22, LEAF-40"):
        correct_batch(shop, [1, 3], "K11")
    with pytest.raises(Refused, match="of batch B1 already"):
        correct_batch(shop, [1, 2], "b1")
    assert batches(shop) == {1: "B1", 2: "B1", 3: "L1"}


def test_the_command_names_pieces_or_a_whole_batch_and_says_what_came_along(
    shop: Shop, where: str
) -> None:
    sticks(shop, 3)
    take(shop)
    number = accepted(shop)
    record_cut(shop, SawReport(number, to_settle(shop, number)[0]))
    said = run(where, "batch", "4", "--to", "K11", "--why", "bundle tag").output
    assert "So are rails of J1." in said
    assert "stockroom labels 4" in said
    assert run(where, "batch", "-p", "ash-22", "--of", "b1", "--to", "K12").exit_code == 0
    assert batches(shop) == {2: "K12", 3: "K12", 4: "K11"}
    for words in (["2"], ["--to", "K1"], ["2", "--of", "K12", "-p", "ASH-22", "--to", "K1"]):
        assert run(where, "batch", *words).exit_code == 12

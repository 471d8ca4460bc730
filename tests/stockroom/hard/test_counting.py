"""Counting: by place or profile, while others cut; settled in one entry, with length and money."""

from pathlib import Path

import pytest

from stockroom.record.stocktake import Scope, Sighting
from stockroom.refusals import BadFile, Refused, StockroomError
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.count import compare, count_sheet, settle
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.typed_sightings import numbers_told, sightings_told, unlabelled_told
from stockroom.services.record.history import entry_rows
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.words.language import Voice, word
from tests.stockroom.hard.shopwork import accepted, as_hand, sticks, take

A1 = Scope("A1")
IN_ENGLISH = Voice("on_a_page")


def seen(*numbers: int) -> list[Sighting]:
    """Labels that were read."""
    return [Sighting(number) for number in numbers]


def on_hand(shop: Shop) -> dict[int, int]:
    """The rack's pieces with their lengths."""
    return {piece.id: piece.length for piece in rack.find(shop)}


def test_a_sheet_lists_what_should_be_at_a_place_or_of_a_profile(shop: Shop) -> None:
    first = sticks(shop, 2)
    other = sticks(shop, 1, spot="B2")
    leaf = sticks(shop, 1, profile="LEAF-40")
    assert [p.id for p in count_sheet(shop, A1).pieces] == [*first, *leaf]
    assert [p.id for p in count_sheet(shop, Scope("", "ash-22")).pieces] == [*first, *other]
    assert [p.id for p in count_sheet(shop, Scope("B", "ASH-22")).pieces] == other
    assert count_sheet(shop, A1).as_of == 4


def test_what_was_not_seen_is_missing_with_its_length_and_its_money(shop: Shop) -> None:
    first, second = sticks(shop, 2)
    told = compare(shop, A1, 2, seen(first))
    (row,) = told.missing
    assert (told.agreed, row.number, row.difference, row.money) == ((first,), second,
                                                                    -3_000_000, -1_850)  # fmt: skip
    assert set(on_hand(shop)) == {first, second}


def test_a_count_is_settled_in_one_entry_and_undone_with_one(shop: Shop) -> None:
    first, second, third = sticks(shop, 3)
    before = on_hand(shop)
    told = [*seen(first), Sighting(second, 2_990_000),
            Sighting(None, 812_000, "ash-22", "b1", spot="A1", note="behind the saw")]  # fmt: skip
    entry, settled = settle(shop, A1, 2, told, "Friday's count")
    (found,) = settled.found
    assert on_hand(shop) == {first: 3_000_000, second: 2_990_000, found.number: 812_000}
    row = entry_rows(shop)[0]
    assert (row.number, row.kind, row.why) == (entry, "count", "Friday's count")
    assert sorted(um for place, um in row.moved if word(place).startswith("missing")) == [
        10_000,
        3_000_000,
    ]
    assert third not in on_hand(shop)
    undo(shop)
    assert on_hand(shop) == before


def test_a_count_needs_a_reason(shop: Shop) -> None:
    sticks(shop)
    with pytest.raises(Refused, match="settled with a reason"):
        settle(shop, A1, 2, [], "  ")


def test_others_cut_while_the_rack_is_counted_and_nothing_is_lost_or_called_missing(
    shop: Shop,
) -> None:
    take(shop)
    cut, moved, gone, kept = sticks(shop, 4)
    sheet = count_sheet(shop, A1)
    ben = as_hand(shop, "ben")
    number = accepted(ben)
    (taken,) = to_settle(shop, number)
    assert taken == cut
    offcut = record_cut(ben, SawReport(number, cut, spot="C2")).offcuts[0].id
    rack.move(ben, moved, "B2")
    rack.write_off(ben, gone, "split")
    (late,) = sticks(ben)
    told = compare(shop, A1, sheet.as_of, seen(kept, cut, late))
    assert (told.agreed, told.missing, told.found, told.misplaced) == ((kept,), (), (), ())
    stories = {piece: IN_ENGLISH.say(story) for piece, story in told.meanwhile}
    assert set(stories) == {cut, moved, gone, late}
    assert "cut by ben at" in stories[cut]
    assert stories[moved] == "was put at B2"
    assert "write off by ben" in stories[gone]
    settle(shop, A1, sheet.as_of, seen(kept, cut, late), "count")
    assert set(on_hand(shop)) == {moved, kept, late, offcut}


def test_a_piece_that_a_plan_holds_and_that_was_not_seen_may_be_at_the_saw(shop: Shop) -> None:
    take(shop)
    (stick,) = sticks(shop)
    number = accepted(shop)
    told = compare(shop, A1, 3, [])
    assert (told.missing, told.at_saw) == ((), ((stick, number),))


def test_a_piece_seen_at_another_place_is_put_there(shop: Shop) -> None:
    (stick,) = sticks(shop, spot="B2")
    _, told = settle(shop, A1, 2, seen(stick), "count")
    assert told.misplaced == ((stick, "A1"),)
    assert rack.find(shop)[0].spot == "A1"


def test_a_label_that_left_the_rack_long_ago_gets_a_new_number_once_it_is_measured(
    shop: Shop,
) -> None:
    (stick,) = sticks(shop)
    rack.write_off(shop, stick, "thought lost")
    with pytest.raises(Refused, match="left the rack before this count: write off by ada"):
        compare(shop, A1, 3, seen(stick))
    _, told = settle(shop, A1, 3, [Sighting(stick, 2_000_000)], "it was behind the door")
    (row,) = told.found
    assert row.number != stick
    assert on_hand(shop) == {row.number: 2_000_000}


def test_all_that_makes_no_sense_is_named_at_once_and_nothing_is_changed(shop: Shop) -> None:
    take(shop)
    first, second = sticks(shop, 2)
    rack.mark_flaw(shop, second, 2_900_000, 2_950_000)
    number = accepted(shop)
    (held,) = to_settle(shop, number)
    assert held == first
    told = [Sighting(99), Sighting(first, 2_000_000), Sighting(second, 2_000_000, row=7),
            Sighting(second), Sighting(None, 5, "OAK")]  # fmt: skip
    with pytest.raises(Refused) as refused:
        settle(shop, A1, 4, told, "count")
    said = str(refused.value)
    for part in ("no piece '99'", f"piece {first} is held by plan", "row 7: piece 2 has a flaw to",
                 "seen twice", "no profile 'OAK'"):  # fmt: skip
        assert part in said
    assert on_hand(shop) == {first: 3_000_000, second: 3_000_000}


def test_a_count_that_begins_at_no_entry_is_refused(shop: Shop) -> None:
    with pytest.raises(Refused, match="no entry 40"):
        compare(shop, A1, 40, [])


@pytest.mark.parametrize(
    ("text", "numbers"),
    [("3 4 7-9", [3, 4, 7, 8, 9]), ("3,4", [3, 4]), ("", []), ("12-12", [12])],
)
def test_numbers_are_typed_quickly(text: str, numbers: list[int]) -> None:
    assert numbers_told(text) == numbers


@pytest.mark.parametrize("text", ["x", "9-3", "1-999999999", "-3", "1--2", "٣"])
def test_numbers_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(StockroomError):
        numbers_told(text)


def test_what_was_seen_comes_from_a_file_with_all_its_faults_by_row(
    shop: Shop, tmp_path: Path
) -> None:
    first, second = sticks(shop, 2)
    path = tmp_path / "seen.csv"
    path.write_text(f"id,length,profile,batch,place\n{first},,,,\n{second},2998 mm,,,\n"
                    ",812 mm,ASH-22,B1,A1\n")  # fmt: skip
    told = compare(shop, A1, 2, sightings_told(path, shop))
    assert (told.agreed, [row.difference for row in told.rows]) == ((first,), [812_000, -2_000])
    path.write_text("id,length,profile\nx,,\n,,\n,5 mm,\n1,long,\n")
    with pytest.raises(BadFile) as refused:
        sightings_told(path, shop)
    assert [row for row, _ in refused.value.faults] == [2, 4, 5]


def test_an_unlabelled_piece_is_typed_by_its_length(shop: Shop) -> None:
    ash = Scope("A1", "ASH-22")
    assert unlabelled_told("812 mm", ash, shop.settings).length == 812_000
    assert unlabelled_told("LEAF-40=8 in", A1, shop.settings).profile == "LEAF-40"
    with pytest.raises(Refused, match="give its profile"):
        unlabelled_told("812 mm", A1, shop.settings)


def test_a_length_longer_than_any_piece_is_refused() -> None:
    for bad in ({"length": 0}, {"length": 10**9}, {"kind": "plank"}):
        with pytest.raises(Refused):
            Sighting(1, **bad)


def test_a_profile_without_a_price_is_counted_without_money(shop: Shop) -> None:
    rack.log_found(shop, "FLOAT-12", "B1", Arrival(1_000_000), "A1")
    assert compare(shop, A1, 2, []).missing[0].money is None

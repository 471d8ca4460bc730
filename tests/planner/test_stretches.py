"""What a piece yields and leaves: its ends, its trims, and the margin kept back on offcuts."""

import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import plan
from planner.judge import faults
from planner.score import offcut_left
from planner.stretches import stretches
from planner.values import Piece, Rules
from tests.planner.rack import MM, day, frame, offcut, stick

RULES = Rules(5 * MM, 10 * MM, 300 * MM)


def test_a_stick_leaves_what_the_tape_says_with_the_trim_that_its_far_end_still_wants() -> None:
    # 3000 mm, both ends as bought: 10 of trim, four rails of 485 and four cuts of 5 leave 1030.
    (cut,) = plan(day([stick("S1")], [frame("F1", 485, 485, 485, 485)])).cuts
    assert (cut.leftover, cut.kept) == (1030 * MM, True)


@pytest.mark.parametrize(
    ("ends", "left"),
    [(("factory", "factory"), 490), (("factory", "cut"), 500), (("cut", "factory"), 500),
     (("cut", "cut"), 500), (("square", "factory"), 500), (("square", "square"), 500)],
)  # fmt: skip
def test_a_factory_end_loses_its_trim_only_when_it_is_cut(ends: tuple[str, str], left: int) -> None:
    piece = offcut("O1", 1000, ends=ends)
    (cut,) = plan(day([piece], [frame("F1", 495)])).cuts
    assert cut.leftover == left * MM


def test_what_is_left_within_the_far_trim_is_scrap() -> None:
    problem = day([offcut("O1", 1000, ends=("cut", "factory"))], [frame("F1", 985)])
    (cut,) = plan(problem).cuts
    assert (cut.leftover, cut.kept) == (0, False)


def test_an_offcut_is_kept_by_what_is_clear_of_trims() -> None:
    # 305 by the tape, 295 clear: under the 300 that are worth keeping.
    problem = day([offcut("O1", 800, ends=("cut", "factory"))], [frame("F1", 490)])
    (cut,) = plan(problem).cuts
    assert (cut.leftover, cut.kept) == (305 * MM, False)


def test_a_margin_is_kept_back_on_offcuts_alone() -> None:
    rules = Rules(5 * MM, 10 * MM, 300 * MM, margin=3 * MM)
    tight = day([offcut("O1", 1002)], [frame("F1", 1000)], rules=rules)
    assert plan(tight).reached.frames_cut == 0
    assert plan(day([offcut("O1", 1003)], [frame("F1", 1000)], rules=rules)).reached.frames_cut == 1
    assert plan(day([stick("S1", 1020)], [frame("F1", 1000)], rules=rules)).reached.frames_cut == 1


def test_a_margin_that_was_not_needed_is_in_the_leftover() -> None:
    rules = Rules(5 * MM, 10 * MM, 300 * MM, margin=3 * MM)
    problem = day([offcut("O1", 1000, ends=("factory", "cut"))], [frame("F1", 500)], rules=rules)
    (cut,) = plan(problem).cuts
    assert cut.leftover == 495 * MM
    assert faults(problem, plan(problem)) == ()


def test_an_end_at_a_flaw_is_cut_and_wants_no_trim() -> None:
    piece = stick("S1", 3000, flaws=((1200 * MM, 1230 * MM),))
    first, last = stretches(piece, RULES)
    assert (first.ends, first.length) == (("factory", "cut"), 1190 * MM)
    assert (last.ends, last.length) == (("cut", "factory"), 1760 * MM)
    assert (first.from_last, last.from_last) == (True, False)
    assert first.left_ends((500,)) == last.left_ends((500,)) == ("cut", "factory")


def test_pieces_of_unknown_batch_never_share_a_matched_frame() -> None:
    four = [offcut(f"O{n}", 600, batch="") for n in range(4)]
    asked = frame("F1", 500, 500, 500, 500, one_batch=True)
    answer = plan(day([*four, stick("S1", 3000)], [asked]))
    assert {cut.piece for cut in answer.cuts} == {"S1"}
    assert plan(day(four, [asked])).reached.frames_cut == 0


def test_a_piece_of_unknown_batch_may_give_a_whole_matched_frame_alone() -> None:
    asked = frame("F1", 500, 500, 500, 500, one_batch=True)
    answer = plan(day([offcut("O1", 2100, batch=""), stick("S1", 3000)], [asked]))
    assert {cut.piece for cut in answer.cuts} == {"O1"}


@given(
    st.sampled_from(["factory", "cut", "square"]), st.sampled_from(["factory", "cut", "square"]),
    st.integers(300, 3000), st.lists(st.integers(50, 400), max_size=6), st.integers(0, 8),
    st.sampled_from([0, 0, 40]),
)  # fmt: skip
def test_rails_losses_and_leftover_are_all_of_a_stretch(
    first: str, last: str, length: int, rails: list[int], margin: int, repeat: int
) -> None:
    rules = Rules(5 * MM, 10 * MM, 300 * MM, margin * MM, repeat * MM)
    ends: Any = first, last
    piece = Piece("O1", "A", "b", "offcut", length * MM, ends=ends, motif=31 * MM)
    (run,) = stretches(piece, rules)
    cut = [rail * MM for rail in rails]
    if sum(map(rules.taken, cut)) - rules.cut_allowance > run.length:
        return
    lost, (left, clear) = run.lost(cut), run.leftover(cut)
    falls = (lost.trim, lost.motifs, lost.saw, lost.scrap, lost.far_trim, left)
    assert min(*falls, clear) >= 0
    assert sum(cut) + sum(falls) == length * MM


@pytest.mark.parametrize("seed", range(12))
def test_rails_of_an_ornament_begin_at_its_motifs_and_so_does_what_is_left(seed: int) -> None:
    # Cut off a drawn stick one after another; the marks go with what is left, its label at the cut.
    rng = random.Random(seed)
    repeat, first = rng.choice([20, 33, 70]) * MM, rng.randrange(60) * MM
    rules = Rules(5 * MM, 10 * MM, 300 * MM, repeat=repeat)
    piece = offcut("S1", 2500, motif=first)
    marks = range(first % repeat, piece.length, repeat)
    problem = day([piece], [frame("F1", *[rng.randrange(150, 350) for _ in "12"] * 2)], rules=rules)
    (cut,) = plan(problem).cuts
    begins = marks[0]
    for number, rail in enumerate(cut.rails):
        assert begins in marks
        end = begins + rail.length + rules.cut_allowance
        begins = next(mark for mark in marks if mark >= end)
        assert (begins - marks[0]) == sum(rules.taken(r.length) for r in cut.rails[: number + 1])
    assert cut.leftover == piece.length - end
    left = offcut_left(piece, rules, cut)
    assert left.motif == begins - end


def test_where_no_one_knows_its_first_motif_a_piece_loses_a_whole_repeat() -> None:
    rules, asked = Rules(5 * MM, 0, 300 * MM, repeat=50 * MM), [frame("F1", 595, 595)]
    for length, motif, cut in ((1200, 0, 1), (1200, 6 * MM, 0), (1200, None, 0), (1245, None, 1)):
        problem = day([offcut("O1", length, motif=motif)], asked, rules=rules)
        assert plan(problem).reached.frames_cut == cut


def test_ends_of_no_known_kind_are_refused() -> None:
    with pytest.raises(ValueError, match="two of 'factory', 'cut' and 'square'"):
        offcut("O1", 700, ends=("cut", "bitten"))

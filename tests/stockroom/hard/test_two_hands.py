"""Two hands and more: processes race for the same pieces; each goes to one, none is lost."""

import json
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

from planner import hand_plan
from planner.io.schema import plan_to_json, problem_to_json
from planner.values import Cut, Problem
from planner.values import Plan as Answer
from stockroom.record.database import changing, reading
from stockroom.record.numbering import serial
from stockroom.record.tables import Plan
from stockroom.services.counter import take as counter
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning.problem import Choices, todays_work
from stockroom.services.morning.sheets import plan_rows
from stockroom.services.rack import pieces as rack
from stockroom.services.shop import Shop
from tests.stockroom.hard.shopwork import EVERY, MONDAY, UNTIL, sticks

HANDS = 8
PIECES = 30 if EVERY else 15
"""Eight hands after the same 15 pieces: 120 acceptances on each database."""
ROOT = Path(__file__).parents[3]
WHO_AND_WHEN = re.compile(
    r"plan \d+ is out of date: piece \d+ (is held by plan \d+ \(accept|has left the rack: cut) "
    r"by hand-\d at \d{4}-\d\d-\d\d \d\d:\d\d UTC, entry \d+\)?; plan again"
)


def drafts_for_all(shop: Shop) -> list[list[int]]:
    """For each hand a draft for each of the same pieces and frames."""
    sticks(shop, PIECES)
    told = {"customer": "R. Aldous", "profile": "ASH-22", "width": "800", "height": "550",
            "due": "2026-11-27"}  # fmt: skip
    counter.take_many(shop, [job_told(told, shop)] * PIECES)
    with reading(shop.engine) as session:
        work = todays_work(session, shop.settings, Choices(UNTIL))
    answer = hand_plan(work.problem)
    parts = [part_of(work.problem, answer, cut) for cut in answer.cuts]
    assert len(parts) == PIECES
    kept = {label: [frame.id, *frame.rails] for label, frame in work.frames.items()}
    return [write_drafts(shop, f"hand-{hand}", parts, kept) for hand in range(HANDS)]


def part_of(problem: Problem, answer: Answer, cut: Cut) -> tuple[Problem, Answer]:
    """The plan of one piece alone."""
    frames = {rail.frame for rail in cut.rails}
    pieces = tuple(piece for piece in problem.pieces if piece.id == cut.piece)
    wanted = tuple(frame for frame in problem.frames if frame.id in frames)
    return (replace(problem, pieces=pieces, frames=wanted),
            replace(answer, cuts=(cut,), short=()))  # fmt: skip


def write_drafts(
    shop: Shop, who: str, parts: list[tuple[Problem, Answer]], kept: dict[str, list[int]]
) -> list[int]:
    """Keeps these plans as drafts of a hand; gives their numbers."""
    with changing(shop.engine) as session:
        first = serial(session, Plan)
        for offset, (problem, answer) in enumerate(parts):
            frames = {frame.id: kept[frame.id] for frame in problem.frames}
            session.add(Plan(
                id=first + offset, made_at=shop.hand.at, day=MONDAY, who=who, until=UNTIL,
                problem=problem_to_json(problem), answer=plan_to_json(answer),
                choices={"frames": frames, "why_opened": {}},
            ))  # fmt: skip
    return list(range(first, first + len(parts)))


def raced(where: str, plans: list[list[int]]) -> list[dict[str, Any]]:
    """What all the hands said, each a process, having begun together."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.stockroom.hard.hand", "race", where, json.dumps(plans)],
        cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True,
    )  # fmt: skip
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_eight_hands_race_for_the_same_pieces_and_each_piece_goes_to_one_of_them(
    shop: Shop, where: str
) -> None:
    said = raced(where, drafts_for_all(shop))
    tries = [line for line in said if "plan" in line]
    won = Counter(piece for line in tries for piece in line.get("won", ()))
    lost = [line for line in tries if "refused" in line]
    # Every acceptance was answered, every piece went to one hand, and none was left over.
    assert len(tries) == HANDS * PIECES
    assert (len(won), set(won.values())) == (PIECES, {1})
    assert len(lost) == HANDS * PIECES - PIECES
    # Who lost is told who has it, since when, and what to do.
    assert [line["refused"] for line in lost if not WHO_AND_WHEN.fullmatch(line["refused"])] == []
    # The record agrees with what the hands were told.
    states = Counter(row.state for row in plan_rows(shop))
    assert states["drafted"] == len(lost)
    held = [piece.id for piece in rack.find(shop) if piece.held_by is not None]
    assert len(held) == states["accepted"]
    assert states["accepted"] + states["finished"] == PIECES

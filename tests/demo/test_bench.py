"""The benchmarks themselves: each runs, and what spreads work gives the same plan."""

import json
import random
from concurrent.futures import Executor
from contextlib import AbstractContextManager
from dataclasses import replace

import pytest

import planner
from demo.bench import built, sizes
from demo.bench.__main__ import main
from demo.bench.filler import Try
from demo.bench.large import dask_cluster, process_pool
from demo.bench.textbook import textbook
from planner.cuttingstock import solve
from planner.score import cuts_of, score_of
from planner.values import Plan, Reason
from tests.planner.rack import day, frame, offcut, stick


def lines(capsys: pytest.CaptureFixture[str]) -> list[dict[str, object]]:
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_a_day_is_planned_and_the_textbook_model_proves_the_same(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["day", "--days", "1", "--textbook", "1", "--profiles", "3"]) == 0
    said = capsys.readouterr().out
    assert "profiles proven by both: planner" in said


def test_a_contract_is_told_a_line_a_run(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["contract", "--count", "1", "--frames", "12", "--json"]) == 0
    (line,) = lines(capsys)
    assert line["name"] == "contract 0"
    assert line["value"][0] == line["bound"][0] == 12  # type: ignore[index]


def test_growth_is_a_table_of_the_times_asked(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["growth", "--count", "1", "--times", "1", "--seconds", "1"]) == 0
    assert "1 times, day 0" in capsys.readouterr().out


def test_limits_are_read_from_the_longest_run(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["limits", "--each", "1", "--at", "5", "--json"]) == 0
    (line,) = lines(capsys)
    assert line["name"] == "triplets 0 at 5 s"


def test_memory_is_measured_in_a_process_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["memory", "--only", "day", "--json"]) == 0
    nothing, one_day = lines(capsys)
    assert 0 < nothing["value"][0] < one_day["value"][0]  # type: ignore[index]


@pytest.mark.parametrize("workers", [process_pool(2), dask_cluster(2)], ids=["pool", "dask"])
def test_a_day_spread_over_processes_is_planned_alike(
    workers: AbstractContextManager[Executor],
) -> None:
    whole = sizes.day(1, seconds=600.0)
    problem = replace(whole, frames=whole.frames[:10])
    with workers as executor:
        spread = planner.plan(problem, executor=executor)
    alone = planner.plan(problem)
    assert (spread.cuts, spread.short, spread.bounds) == (alone.cuts, alone.short, alone.bounds)


def test_a_show_is_planned_beside_the_hand_rule_and_a_filler(
    capsys: pytest.CaptureFixture[str],
) -> None:
    main(["show", "--frames", "3", "--ties", "both", "--seeds", "0", "--seconds", "5", "--json"])
    (line,) = lines(capsys)
    assert line["frames"] == 3
    assert line["at_least"] <= line["filled"]  # type: ignore[operator]
    assert line["opened"] <= line["by_hand"]  # type: ignore[operator]


def test_the_filler_lays_out_plans_that_the_judge_passes() -> None:
    problem = sizes.show(0, 6, "both")
    laid = next(found for n in range(99) if (found := Try(problem, random.Random(n)).laid()))
    cuts = cuts_of(problem, laid)
    why = {
        cut.piece: Reason("told", {"words": "filled"}) for cut in cuts if cut.piece.startswith("S")
    }
    reached = score_of(problem, cuts)
    assert not planner.faults(problem, Plan(cuts, (), reached, reached, "feasible", 0.0, why))


def test_the_textbook_model_has_the_three_aims_in_order() -> None:
    problem = day([stick("S1"), offcut("O1", 1005)], [frame("F1", 500, 500)])
    run, plan = textbook("one", problem, 10.0), planner.plan(problem)
    assert run.proof == plan.proof == "optimal"
    assert run.value == (1, 0, plan.reached.worth)


@pytest.mark.parametrize("seed", range(20))
def test_stocks_cut_up_without_waste_are_found_again(seed: int) -> None:
    capacity, items = built.cut_up(seed, stocks=12, capacity=1000, most=5)
    found = solve(capacity, items)
    assert found.value == found.bound == 12


@pytest.mark.parametrize("seed", range(5))
def test_triplets_cut_up_without_waste_are_found_again(seed: int) -> None:
    capacity, items = built.triplets(seed, stocks=20)
    found = solve(capacity, items)
    assert found.value == found.bound == 20


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["day", "--days", "-3"], "'-3' is no whole number from 1 up"),
        (["day", "--days", "many"], "'many' is no whole number from 1 up"),
        (["growth", "--times", "2", "0"], "'0' is no whole number from 1 up"),
        (["contract", "--seconds", "0"], "'0' is no number of seconds above 0"),
        (["factory", "--seconds", "inf"], "'inf' is no number of seconds above 0"),
        (["limits", "--at", "1", "soon"], "'soon' is no number of seconds above 0"),
        (["csp", ".", "--seconds", "-1"], "'-1' is no number of seconds above 0"),
    ],
)
def test_numbers_that_mean_nothing_are_refused_by_what_was_read(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == 2
    assert said in capsys.readouterr().err

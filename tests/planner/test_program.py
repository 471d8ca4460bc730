"""``python -m planner`` as a real process."""

import io
import json
import os
import pty
import random
import signal
import subprocess
import sys
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from planner.__main__ import main
from planner.errors import ProblemRefused
from planner.io.schema import problem_from_json

ROOT = Path(__file__).parents[2]
PROBLEM: dict[str, Any] = {
    "rules": {"cut_allowance_mm": 5, "end_trim_mm": 10, "keep_mm": 300},
    "pieces": [
        {"id": "S1", "profile": "A", "batch": "b1", "kind": "stick", "length_mm": 3000,
         "since": "2026-11-02", "flaws_mm": [[12, 30.5]]},
        {"id": "O1", "profile": "A", "batch": "b2", "kind": "offcut", "length_mm": 1300.125,
         "longest_rail_mm": 1300, "kept_for": "seconds", "motif_mm": 12.5},
    ],
    "frames": [
        {"id": "F1", "profile": "A", "rails_mm": [812.8, 609.6, 812.8, 609.6],
         "due": "2026-11-25", "one_batch": True, "one_piece": False, "pin": None},
        {"id": "F2", "profile": "A", "rails_mm": [1.3e3], "batch": "b2", "takes": ["", "seconds"]},
        {"id": "F3", "profile": "A", "rails_mm": [3000]},
    ],
    "profiles": {"A": {"cut_allowance_mm": 5.001, "end_trim_mm": 10, "keep_mm": 100},
                 "B": {"repeat_mm": 40}},
    "worth": {"A": [[300, 130], [600, 540], [3000, 2900]]},
    "aims": "ordered",
    "limits": {"seconds": 10, "workers": 1},
}  # fmt: skip


def run(text: str | bytes) -> subprocess.CompletedProcess[bytes]:
    data = text.encode() if isinstance(text, str) else text
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-m", "planner"], input=data, capture_output=True, env=env, check=False
    )


def changed(**change: Any) -> str:
    return json.dumps({**PROBLEM, **change})


def piece(**change: Any) -> str:
    return changed(pieces=[{**PROBLEM["pieces"][0], **change}, PROBLEM["pieces"][1]])


def asked(**change: Any) -> str:
    return changed(frames=[{**PROBLEM["frames"][0], **change}])


def test_a_problem_is_planned_and_every_length_printed_exactly() -> None:
    done = run(json.dumps(PROBLEM))
    assert (done.returncode, done.stderr) == (0, b"")
    answer = json.loads(done.stdout)
    assert answer["cuts"] == [
        {"piece": "O1", "stretch": 0, "leftover_mm": 0, "kept": False,
         "rails": [{"frame": "F2", "rail": 0, "length_mm": 1300}]},
        {"piece": "S1", "stretch": 0, "rails": [], "leftover_mm": 12, "kept": False},
        {"piece": "S1", "stretch": 1, "leftover_mm": 104.696, "kept": False,
         "rails": [{"frame": "F1", "rail": n, "length_mm": length}
                   for n, length in ((0, 812.8), (2, 812.8), (1, 609.6), (3, 609.6))]},
    ]  # fmt: skip
    assert answer["reached"] == answer["bounds"]
    assert answer["reached"] == {"frames_cut": 2, "stick_opened_mm": 3000,
                                 "worth_mm": -1228.456}  # fmt: skip
    assert answer["proof"] == "optimal"
    assert [s["frame"] for s in answer["short"]] == ["F3"]
    assert answer["short"][0]["why"] == {
        "code": "rail_longer_than_any", "rail_mm": 3000, "longest_mm": 2959.5
    }  # fmt: skip
    assert set(answer["why_opened"]) == {"S1"}


REFUSED: list[tuple[str, str | bytes]] = [
    ("not JSON", "{"),
    ("not JSON", ""),
    ("an object in braces is expected", "[]"),
    ("NaN was read", json.dumps(PROBLEM).replace("3000", "NaN", 1)),
    ("Infinity was read", json.dumps(PROBLEM).replace("3000", "Infinity", 1)),
    ("1E+400 mm was read; at most", json.dumps(PROBLEM).replace("3000", "1e400", 1)),
    ("1E+999999999 mm was read; at most", json.dumps(PROBLEM).replace("3000", "1e999999999", 1)),
    ("Infinity was read", json.dumps(PROBLEM).replace("3000", "1e" + "9" * 30, 1)),
    ("at most 3 decimals", json.dumps(PROBLEM).replace("3000", "1e-999999", 1)),
    ("999... mm was read; at most", json.dumps(PROBLEM).replace("3000", "9" * 5000, 1)),
    ("given twice", '{"rules": 1, "rules": 2}'),
    ("not UTF-8", b"\xff\xfe{}"),
    ("nested too deeply", "[" * 200_000),
    ("frames is missing", json.dumps({k: v for k, v in PROBLEM.items() if k != "frames"})),
    ('unknown key "colour"', changed(colour="red")),
    ('unknown key "lenght_mm"', piece(lenght_mm=3)),
    ("3000.0001 mm was read; at most 3 decimals", piece(length_mm=3000.0001)),
    ('"3000" was read; a number', piece(length_mm="3000")),
    ("true was read; a number", piece(length_mm=True)),
    ("must be positive", piece(length_mm=-5)),
    ("'stick' or 'offcut' is expected", piece(kind="plank")),
    ("'stick' or 'offcut' is expected", piece(kind=["stick"])),
    ('"2026-13-01" was read; a date', piece(since="2026-13-01")),
    ("flaws_mm[0]: a list was read; a pair", piece(flaws_mm=[[1, 2, 3]])),
    ("is not inside", piece(flaws_mm=[[2990, 3010]])),
    ("the id is given 2 times", piece(id="O1")),
    ("a text is expected", piece(id=7)),
    ("opposite rails differ", asked(rails_mm=[800, 600, 800.001, 600])),
    ("it has no rails", asked(rails_mm=[])),
    ("true or false", asked(one_batch="yes")),
    ("not on the rack", asked(pin="S9")),
    ("the points must rise", changed(worth={"A": [[300, 130], [200, 540]]})),
    ("worth.A[0]: 300 was read; a pair", changed(worth={"A": [300]})),
    ("aims", changed(aims="best")),
    ("half a character can't be written", piece(kind="\ud800")),
    ("must be positive", changed(limits={"seconds": 0})),
    ("at most 2147483648 seconds", changed(limits={"seconds": 10**20})),
    ("at least 1 is needed", changed(limits={"workers": 0})),
    ("cannot be negative", changed(rules={**PROBLEM["rules"], "keep_mm": -1})),
    ("keep_mm is missing", changed(rules={"cut_allowance_mm": 1, "end_trim_mm": 1})),
    ("half a character can't be written", piece(id="S\ud800")),
    ("no text that can be written", changed(worth={"\ud800": [[300, 130]]})),
    ("at most 1000", asked(rails_mm=[800] * 1001)),
    ("at most 1000000 mm", piece(length_mm=1e7)),
    ("a list in brackets", changed(pieces={"id": 1})),
]


def here(text: str | bytes) -> tuple[int, str, str]:
    """The program in this process: its exit code, what it writes, and what it says."""
    data = text.encode() if isinstance(text, str) else text
    streams: Any = [io.TextIOWrapper(io.BytesIO(held)) for held in (data, b"", b"")]
    with ExitStack() as all_:
        for name, stream in zip(("stdin", "stdout", "stderr"), streams, strict=True):
            all_.enter_context(mock.patch.object(sys, name, stream))
        code = main()
    written, said = (stream.buffer.getvalue().decode() for stream in streams[1:])
    return code, written, said


def refused(words: str, code: int, written: str, errors: str) -> None:
    assert code == 10, errors
    assert written == ""
    assert words in errors
    assert "Traceback" not in errors
    assert all(line.startswith("refused: ") and len(line) < 200 for line in errors.splitlines())


@pytest.mark.parametrize(("words", "text"), REFUSED, ids=[f"{w}-{n}" for n, (w, _) in
                                                          enumerate(REFUSED)])  # fmt: skip
def test_bad_input_gets_a_clear_line_and_exit_code_10(words: str, text: str | bytes) -> None:
    refused(words, *here(text))


def test_a_process_of_its_own_refuses_alike() -> None:
    done = run("[" * 200_000)
    refused("nested too deeply", done.returncode, done.stdout.decode(), done.stderr.decode())


def test_nothing_of_the_schema_is_loaded_before_a_problem_is_there() -> None:
    code = "import sys, planner.__main__; sys.exit('pydantic_core' in sys.modules)"
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)


def test_all_faults_are_listed_at_once() -> None:
    bad = json.loads(json.dumps(PROBLEM))
    bad["pieces"][0]["length_mm"] = "x"
    bad["pieces"][1]["kind"] = "plank"
    bad["frames"][0]["due"] = "soon"
    bad["extra"] = 1
    assert len(here(json.dumps(bad))[2].splitlines()) == 4


def test_what_is_there_is_read_where_something_is_missing_and_ids_given_twice_are_named() -> None:
    bad = json.loads(json.dumps(PROBLEM))
    del bad["pieces"][0]["batch"]
    bad["pieces"][0]["length_mm"] = "x"
    del bad["frames"][0]["profile"]
    bad["frames"][0]["due"] = "soon"
    bad["pieces"] += [bad["pieces"][1]]
    errors = here(json.dumps(bad).replace('"aims"', '"limits": {}, "aims"'))[2]
    for words in ("batch is missing", '"x" was read', "profile is missing", '"soon" was read',
                  "the id is given 2 times", "given twice in one object"):  # fmt: skip
        assert words in errors
    assert len(errors.splitlines()) == 6


def test_the_limit_covers_starting_and_reading_too() -> None:
    with mock.patch("planner.__main__.time") as clock, mock.patch("planner.__main__.plan") as plan:
        clock.monotonic.side_effect, clock.process_time.return_value = [100.0, 104.0], 1.0
        plan.side_effect = ProblemRefused(("planned no further",))
        assert "planned no further" in here(changed())[2]
    assert plan.call_args.kwargs["stop"].left() <= 5


def test_an_id_may_be_a_longer_number_than_python_reads() -> None:
    code, _, errors = here(piece(id="9" * 5000).replace('"seconds": 10', '"seconds": 0.1'))
    assert (code, errors) == (0, "")


def test_a_profile_s_rules_may_be_given_in_part() -> None:
    in_part = problem_from_json(changed(profiles={"A": {"keep_mm": 200}}))
    general = in_part.rules
    assert in_part.rules_of("A") == replace(general, keep=200_000)


def test_a_piece_s_ends_may_be_told_and_are_else_as_its_kind_implies() -> None:
    told = problem_from_json(piece(ends=["factory", "cut"])).pieces
    assert [one.ends for one in told] == [("factory", "cut"), ("cut", "cut")]
    assert problem_from_json(changed()).pieces[0].ends == ("factory", "factory")


def test_a_pipe_that_nobody_reads_is_no_traceback() -> None:
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    reads, writes = os.pipe()
    os.close(reads)
    with open(writes, "wb") as broken:
        done = subprocess.run(
            [sys.executable, "-m", "planner"], input=changed().encode(), env=env, check=False,
            stdout=broken, stderr=subprocess.PIPE,
        )  # fmt: skip
    assert (done.returncode, done.stderr) == (141, b"")


def without_waste(offcuts: int) -> dict[str, Any]:
    """Offcuts cut up without waste, to be found again: too many for any search."""
    rng, rails, pieces = random.Random(0), [], []
    for number in range(offcuts):
        cuts = [rng.randint(150, 700) for _ in range(3)]
        rails += cuts
        pieces.append({"id": f"O{number}", "profile": "A", "batch": "b1", "kind": "offcut",
                       "length_mm": sum(cuts) + 10})  # fmt: skip
    sticks = [{**pieces[0], "id": f"S{n}", "kind": "stick", "length_mm": 3000} for n in range(6)]
    frames = [{"id": f"F{n}", "profile": "A", "rails_mm": [r]} for n, r in enumerate(rails)]
    return {"rules": PROBLEM["rules"], "pieces": [*pieces, *sticks], "frames": frames,
            "limits": {"seconds": 500}}  # fmt: skip


def test_progress_is_told_on_a_terminal_and_ctrl_c_gives_the_best_so_far() -> None:
    screen, terminal = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "planner"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=terminal, env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as program:  # fmt: skip
        os.close(terminal)
        assert program.stdin is not None
        program.stdin.write(json.dumps(without_waste(30)).encode())
        program.stdin.close()
        program.stdin = None
        told = b""
        while b"bound_mm" not in told:
            told += os.read(screen, 1000)
        program.send_signal(signal.SIGINT)
        answer = json.loads(program.communicate()[0])
    assert program.returncode == 0
    assert b"planning A: sticks opened" in told
    os.close(screen)
    assert answer["reached"]["frames_cut"] == 90
    assert answer["proof"] == "feasible"
    assert answer["seconds"] < 400

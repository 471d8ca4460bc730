"""The benchmark on published instances: what it prints, and what it says when it cannot read."""

import json
from pathlib import Path

import pytest

from demo.bench.csp import main

LINE = '{"name": "a", "capacity": 10, "items": [[6, 2], [4, 2]], "lower": 2, "upper": 2}\n'


def test_a_class_is_a_line_of_its_counts_and_times(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pairs.jsonl").write_text(LINE * 3)
    assert main([str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("pairs")
    assert "3 asked" in printed
    assert "3 closed" in printed


def test_each_instance_is_a_line_of_json_when_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pairs.jsonl").write_text(LINE)
    (tmp_path / "other.jsonl").write_text(LINE)
    assert main([str(tmp_path), "--json", "--only", "pairs"]) == 0
    (row,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert row.pop("seconds") >= 0
    assert row.pop("processor") >= 0
    assert row == {"class": "pairs", "name": "a", "value": 2, "bound": 2, "proof": "proven"}


def test_an_answer_below_the_published_bound_is_reported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pairs.jsonl").write_text(LINE.replace('"lower": 2', '"lower": 3'))
    assert main([str(tmp_path)]) == 1
    assert "a: the answer contradicts the published bounds" in capsys.readouterr().err


@pytest.mark.parametrize(
    "line", ["[1, 2]", "{", '{"name": "a"}', LINE.replace("6", "6.5"), LINE.replace("[6, 2]", "6"),
             LINE.replace("6", "16")],
)  # fmt: skip
def test_a_line_that_is_no_instance_is_named(
    line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.jsonl").write_text(line)
    assert main([str(tmp_path)]) == 2
    assert "odd.jsonl" in capsys.readouterr().err


def test_a_folder_that_is_missing_or_empty_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([str(tmp_path / "nowhere")]) == 2
    assert "there is no folder" in capsys.readouterr().err
    assert main([str(tmp_path)]) == 2
    assert "holds no *.jsonl" in capsys.readouterr().err

"""Pictures by command: the suffix decides, and no file is overwritten."""

from pathlib import Path

from tests.stockroom.cli.bench import run


def test_a_plan_and_the_rack_are_drawn_to_new_files(
    shop: object, where: str, tmp_path: Path
) -> None:
    for words in (["receive", "ASH-22", "B1", "2x 3 m", "--at", "A1"],
                  ["take", "--customer", "A", "-p", "ASH-22", "-w", "900", "--height", "900",
                   "--due", "2026-11-23"], ["plan", "--accept"]):  # fmt: skip
        assert run(where, *words).exit_code == 0
    for words, starts in (
        (["plan", "1", "a.svg"], b"<?xml"), (["plan", "1", "a.PNG"], b"\x89PNG"),
        (["rack", "r.svg"], b"<?xml"), (["rack", "r.png"], b"\x89PNG"),
        (["job", "J1", "j.svg"], b"<?xml"),
    ):  # fmt: skip
        to = tmp_path / words.pop()
        done = run(where, "picture", *words, str(to))
        assert done.exit_code == 0, done.stderr
        assert to.read_bytes().startswith(starts)
        assert run(where, "picture", *words, str(to)).exit_code == 15
    assert run(where, "picture", "plan", "9", str(tmp_path / "b.svg")).exit_code == 11
    assert run(where, "picture", "rack", str(tmp_path / "b.gif")).exit_code == 10
    assert not (tmp_path / "b.gif").exists()


def test_a_rack_of_several_pages_is_drawn_to_several_files_or_to_none(
    shop: object, where: str, tmp_path: Path
) -> None:
    assert run(where, "receive", "ASH-22", "B1", "20x 3 m", "--at", "A1").exit_code == 0
    (tmp_path / "r-2.svg").touch()
    assert run(where, "picture", "rack", str(tmp_path / "r.svg")).exit_code == 15
    assert [file.name for file in tmp_path.glob("r*.svg")] == ["r-2.svg"]
    (tmp_path / "r-2.svg").unlink()
    assert "r-1.svg .. r-2.svg" in run(where, "picture", "rack", str(tmp_path / "r.svg")).stderr
    assert sorted(file.name for file in tmp_path.glob("r*.svg")) == ["r-1.svg", "r-2.svg"]


def test_without_a_file_they_are_drawn_on_the_screen(shop: object, where: str) -> None:
    for words in (["receive", "ASH-22", "B1", "3 m", "--at", "A1"],
                  ["take", "--customer", "A", "-p", "ASH-22", "-w", "300", "--height", "300",
                   "--due", "2026-11-23"], ["plan", "--accept"]):  # fmt: skip
        assert run(where, *words).exit_code == 0
    drawn = run(where, "picture", "rack")
    assert drawn.exit_code == 0
    assert "A1    1   ASH-22   batch B1   stick 3000, held by plan 1" in drawn.stdout
    assert "· 3000 ·" in drawn.stdout
    assert "stick 3000" in run(where, "picture", "rack", "--at", "a", "-p", "ash-22").stdout
    assert "stick 3000" not in run(where, "picture", "rack", "--at", "B").stdout
    plan = run(where, "picture", "plan", "1")
    assert plan.exit_code == 0
    assert "J1" in plan.stdout
    assert "Plan 1, accepted" in plan.stdout

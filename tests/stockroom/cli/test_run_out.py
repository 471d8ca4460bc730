"""A begun frame whose batch has run out is cut afresh from another; plan, order and job say so."""

from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run

REMEDY = "stockroom afresh J1"


def begun_and_run_out(where: str) -> None:
    """A frame in leaf with its two long rails from batch OLD, of which nothing is left; a stick of
    batch NEW lies there."""
    take = ("take", "--customer", "A", "-p", "LEAF-40", "-w", "432", "--height", "332", "--due",
            "2026-11-23")  # fmt: skip
    for words in (
        take, ("found", "LEAF-40", "1100", "--batch", "OLD"),
        ("found", "LEAF-40", "850", "--batch", "OLD"), ("plan", "--accept"),
        ("cut", "--piece", "2", "--miscut", "1=0", "--miscut", "2=0", "--odd"),
        ("cut", "--as-planned", "--no-labels"), ("receive", "LEAF-40", "NEW", "3000"),
    ):  # fmt: skip
        done = run(where, *words)
        assert done.exit_code == 0, done.output


def test_plan_order_and_job_say_how_a_frame_goes_on_whose_batch_has_run_out(
    shop: Shop, where: str
) -> None:
    begun_and_run_out(where)
    for words in (("plan",), ("order",), ("job", "J1")):
        said = " ".join(run(where, *words).output.split())
        assert "batch OLD has run out" in said
        assert REMEDY in said


def test_a_frame_cut_afresh_comes_whole_from_another_batch_and_its_rails_are_offcuts(
    shop: Shop, where: str
) -> None:
    begun_and_run_out(where)
    said = run(where, "afresh", "J1", "--at", "C1").output
    assert "J1 waits for all its rails again" in said
    rack = run(where, "find", "LEAF-40", "--as", "csv").stdout
    assert rack.count("OLD,offcut,503000") == 2
    planned = run(where, "plan", "--accept").stdout
    assert "batch NEW" in planned
    assert "batch OLD" not in planned
    assert run(where, "cut", "--as-planned", "--no-labels").exit_code == 0
    assert "cut" in run(where, "job", "J1").output
    assert "No job waits" in run(where, "jobs").output


def test_a_frame_that_is_cut_can_be_made_once_more_and_that_is_undone(
    shop: Shop, where: str
) -> None:
    take = ("take", "--customer", "A", "-p", "ASH-22", "-w", "400", "--height", "300", "--due",
            "2026-11-23")  # fmt: skip
    for words in (take, ("receive", "ASH-22", "A1", "2x 3000"), ("plan", "--accept"),
                  ("cut", "--as-planned", "--no-labels")):  # fmt: skip
        assert run(where, *words).exit_code == 0
    assert "to scrap" in run(where, "afresh", "J1", "--scrap", "--why", "dropped").output
    assert "4 rails to cut" in run(where, "job", "J1").output
    assert run(where, "undo").exit_code == 0
    assert "1 cut, 0 rails to cut" in run(where, "job", "J1").output
    assert run(where, "plan").exit_code != 0


def test_what_is_not_cut_is_not_cut_afresh(shop: Shop, where: str) -> None:
    for quantity in ("1", "2"):
        run(where, "take", "--customer", "A", "-p", "ASH-22", "-w", "400", "--height", "300",
            "--due", "2026-11-23", "-n", quantity)  # fmt: skip
    assert "no rail of J1 is cut" in run(where, "afresh", "J1").output
    assert (
        "there is no frame 'J2.3'; did you mean J2.1 or J2.2?"
        in run(where, "afresh", "J2.3").output
    )

"""Where a plan weighs, what the offcuts of a batch would make together decides which is cut."""

import pytest

from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run


def take(where: str, side: str, due: str, count: int) -> None:
    """Square frames of a matched profile, whose rails are 71 mm longer than the artwork."""
    done = run(where, "take", "--customer", "A", "-p", "LEAF-40", "-w", side, "--height", side,
               "--due", due, "--quantity", str(count))  # fmt: skip
    assert done.exit_code == 0, done.stderr


def lay_out(where: str, stick: str) -> None:
    """A small frame due today: two offcuts of batch OLD yield it, or a short stick of batch NEW."""
    take(where, "265", "2026-11-23", 1)
    assert run(where, "receive", "LEAF-40", "NEW", stick).exit_code == 0
    for _ in range(2):
        assert run(where, "found", "LEAF-40", "1010 mm", "--batch", "OLD").exit_code == 0


def batches(where: str, *words: str) -> set[str]:
    """The batches that a plan cuts from."""
    done = run(where, "plan", *words)
    assert done.exit_code == 0, done.stderr
    return {batch for batch in ("OLD", "NEW") if f"batch {batch} " in done.stdout}


@pytest.mark.parametrize(
    ("stick", "asked", "alone", "together"),
    [
        # Two rails of 500 mm come out of each offcut: the frames asked for take both whole.
        ("1.65 m", "429", "OLD", "NEW"),
        # Of rails of 536 mm each offcut holds one: no frame asked for comes out of both.
        ("1.5 m", "465", "NEW", "OLD"),
    ],
)
def test_frames_asked_for_tell_what_two_offcuts_are_worth_together(
    shop: Shop, where: str, stick: str, asked: str, alone: str, together: str
) -> None:
    lay_out(where, stick)
    assert batches(where, "--weighed") == {alone}
    take(where, asked, "2026-12-20", 60)
    assert batches(where, "--weighed") == {together}
    # In strict order no stick is opened where offcuts do, whatever is weighed.
    assert batches(where) == {"OLD"}
    # What is pinned is cut from its piece.
    assert batches(where, "--weighed", "--pin", "J1=1") == {"NEW"}
    assert run(where, "audit").exit_code == 0

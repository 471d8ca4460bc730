"""Progress in words: profile by profile, and how the gap of the one under way closes."""

from stockroom.screens.working import Telling, working


class Status:
    """Keeps what a spinner is told."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def update(self, words: str) -> None:
        self.said.append(words)


def test_profiles_done_and_the_gap_of_the_next_are_shown() -> None:
    status = Status()
    tell = Telling("planning", status)
    tell.gap("ASH-22", "sticks opened 118 in, at least 0 in")
    tell("ASH-22", 1, 3)
    tell.gap("LEAF-40", "frames cut 3, at most 4")
    assert status.said == [
        "planning: ASH-22: sticks opened 118 in, at least 0 in (Ctrl-C: best so far) …",
        "planning: ASH-22, 1 of 3 done …",
        "planning: LEAF-40: frames cut 3, at most 4, 1 of 3 done (Ctrl-C: best so far) …",
    ]


def test_without_a_terminal_nothing_is_shown() -> None:
    with working("planning") as tell:
        tell.gap("ASH-22", "frames cut 3")
        tell("ASH-22", 1, 1)

"""Sheets for the tests of what is shown: one fixed, the others made by Hypothesis."""

from datetime import date

from hypothesis import strategies as st

from planner.values import Reason
from stockroom.views.sheet import Part, PartKind, Sheet, SheetFrame, SheetPiece, Tally

MM = 1000
MONDAY = date(2026, 11, 23)
NASTY = "[bold]x[/]\x1b[2J\x07\u202e\u0645\u0631\n" + "工房" * 30


def told(words: str) -> Reason:
    """A reason in words that a test can tell."""
    return Reason("told", {"words": words})


def row(*parts: tuple[PartKind, int] | tuple[PartKind, int, str, int]) -> tuple[Part, ...]:
    """Parts one after another: (kind, mm) or, for a rail, (kind, mm, frame, number)."""
    made: list[Part] = []
    at = 0
    for part in parts:
        kind, mm = part[0], part[1]
        frame, number = (part[2], part[3]) if len(part) == 4 else ("", -1)
        hard = kind == "rail" and mm < 150
        made.append(Part(kind, at, mm * MM, frame, number, hard))
        at += mm * MM
    return tuple(made)


def fixed() -> Sheet:
    """A plan with a stick and two offcuts: a flaw, a rail that is short to hold, a short frame."""
    pieces = (
        SheetPiece(214, "ASH-22", "B7", "offcut", "A1", 1_375 * MM, row(
            ("rail", 610, "J12", 0), ("saw", 5), ("rail", 610, "J12", 2), ("saw", 5),
            ("scrap", 145))),
        SheetPiece(9, "ASH-22", "B7", "stick", "A3", 3_000 * MM, row(
            ("trim", 10), ("rail", 813, "J12", 1), ("saw", 5), ("rail", 813, "J12", 3),
            ("saw", 5), ("leftover", 400), ("flaw", 30), ("leftover", 914), ("trim", 10)),
            why_opened=told("for J12: at least 118 1/8 in of sticks must be opened")),
        SheetPiece(40, "LEAF-40", "G2", "offcut", "", 640 * MM, row(
            ("rail", 140, "J3.2", 0), ("saw", 5), ("rail", 140, "J3.2", 2), ("saw", 5),
            ("leftover", 350))),
    )  # fmt: skip
    frames = {
        "J12": SheetFrame("J12", "R. Aldous", "Harbour", "ASH-22", MONDAY, 610 * MM, 813 * MM),
        "J15": SheetFrame("J15", "B. Ide", "", "LEAF-40", MONDAY, 900 * MM, 900 * MM),
    }
    tally = Tally(frames=2, rails=6, pieces=3, sticks=1, offcuts=2, stick_length=3_000 * MM,
                  offcut_length=2_015 * MM, rail_length=3_126 * MM, saw=30 * MM, scrap=195 * MM,
                  leftover=1_664 * MM, kept=3)  # fmt: skip
    hand = Tally(
        frames=2,
        rails=6,
        pieces=4,
        sticks=2,
        offcuts=2,
        stick_length=6_000 * MM,
        rail_length=3_126 * MM,
        saw=30 * MM,
        scrap=500 * MM,
        leftover=4_000 * MM,
    )
    short = (("J15", (told("900 mm rails: 1 fits on the rack, 4 are asked"),
                      told("buy 2 sticks of LEAF-40"))),)  # fmt: skip
    return Sheet(7, MONDAY, MONDAY, "The Glue Pot", "drafted", pieces, frames, short, tally, hand,
                 (told("Proven: no plan cuts more frames"),), 5 * MM)  # fmt: skip


KINDS: tuple[PartKind, ...] = ("trim", "flaw", "rail", "saw", "leftover", "scrap")
NAMES = st.one_of(st.text(max_size=60), st.just(NASTY), st.just("工" * 40))
REASONS = NAMES.map(told)


@st.composite
def any_piece(draw: st.DrawFn) -> SheetPiece:
    """A piece of 1 to 70 parts of any kind, lengths from 1 um to 4 m."""
    parts, at = [], 0
    for kind in draw(st.lists(st.sampled_from(KINDS), min_size=1, max_size=70)):
        length = draw(st.integers(1, 4_000_000))
        frame = draw(st.sampled_from(["J1", "J12.34", "J99999.999"])) if kind == "rail" else ""
        parts.append(Part(kind, at, length, frame, 0 if frame else -1, length < 150_000))
        at += length
    return SheetPiece(
        draw(st.integers(1, 10**6)), draw(NAMES), draw(NAMES),
        draw(st.sampled_from(["stick", "offcut"])), draw(NAMES), at, tuple(parts),
        draw(st.none() | REASONS),
    )  # fmt: skip


@st.composite
def any_sheet(draw: st.DrawFn) -> Sheet:
    """A sheet of up to four such pieces, with names of any script."""
    whose = SheetFrame("J1", draw(NAMES), draw(NAMES), draw(NAMES), MONDAY, 1, 1)
    tally = Tally(*[draw(st.integers(0, 10**10)) for _ in range(12)])
    hand = draw(st.none() | st.just(tally))
    pieces = tuple(draw(st.lists(any_piece(), max_size=4)))
    return Sheet(draw(st.none() | st.integers(1, 10**6)), MONDAY, MONDAY, draw(NAMES), "drafted",
                 pieces, {"J1": whose}, (("J1", [draw(REASONS)]),), tally, hand, [draw(REASONS)],
                 5 * MM)  # fmt: skip

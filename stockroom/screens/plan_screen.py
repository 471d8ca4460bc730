"""A plan on the screen: every piece to fetch, drawn; totals beside what eyes would pick."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from stockroom.screens.console import clean, folded, print_spans, width, width_of
from stockroom.screens.pager import paging
from stockroom.screens.piece_line import LABEL_END, bar, rails_listed
from stockroom.views.collating import alike_told
from stockroom.views.sheet import CAUTIONS, Because, Sheet, SheetPiece, plan_state
from stockroom.views.sheet_rows import cut_on, measured, sayings, tally_rows
from stockroom.words.language import word
from stockroom.words.plan_reasons import in_words, proof_in_words, whole

if TYPE_CHECKING:
    from stockroom.screens.console import Span
    from stockroom.settings.shop_settings import Settings

__all__ = ["plan_lines", "show_piece", "show_plan"]

MARGIN = "  "


def show_plan(sheet: Sheet, settings: "Settings") -> None:
    """Prints a plan."""
    with paging():
        print_spans(plan_lines(sheet, settings, width()))


def show_piece(piece: SheetPiece, settings: "Settings") -> None:
    """Prints one piece of a plan."""
    print_spans(piece_lines(piece, settings, width()))


def plan_lines(sheet: Sheet, settings: "Settings", columns: int) -> "Iterator[list[Span]]":
    """A plan in lines of at most this many columns."""
    name = word("Plan") if sheet.plan is None else word("Plan {number}", number=sheet.plan)
    yield [(f"{name}, {word(plan_state(sheet.state))}", "bold")]
    yield from wrapped(
        f"{word('frames due by {day:day}', day=sheet.until)}   {clean(sheet.shop, 30)}", columns, ""
    )
    yield from wrapped(word(measured(sheet, settings)), columns, "dim")
    for piece in sheet.pieces:
        yield []
        yield from piece_lines(piece, settings, columns)
    yield from frame_lines(word("Can't be cut today"), sheet.short, sheet, settings, columns)
    yield from frame_lines(word("Pinned"), sheet.pinned, sheet, settings, columns)
    yield from frame_lines(word("Matched"), sheet.matched, sheet, settings, columns)
    yield from ahead_lines(sheet, columns)
    yield []
    yield from tally_lines(sheet, settings)
    yield []
    proof = proof_in_words(sheet.proof, settings)
    yield from wrapped(clean(proof, 400), columns, "")
    if sheet.pieces:
        yield []
        for caution in CAUTIONS:
            yield from wrapped(f"! {word(caution)}", columns, "dim")


def piece_lines(piece: SheetPiece, settings: "Settings", columns: int) -> "Iterator[list[Span]]":
    """One piece: its label, its drawing, its rails, what is left, why it was opened."""
    yield from heading(piece, settings, columns)
    yield [(LABEL_END, "bold"), *bar(piece, settings, columns - len(MARGIN))]
    machine = f"{word(on)}: " if (on := cut_on(piece)) else ""
    cut = machine + word("cut {rails}", rails=tuple(rails_listed(piece, settings)))
    yield from wrapped(cut, columns, "", MARGIN)
    yield from wrapped(left_over(piece, settings), columns, "", MARGIN)
    if any(part.hard_to_hold for part in piece.rails):
        yield from wrapped(
            word("(!) shorter than {clear}: use a clamp or jig, never fingers",
                 clear=settings.length_with_unit(piece.shortest)), columns, "bold", MARGIN,
        )  # fmt: skip
    for said in sayings(piece):
        yield from wrapped(word(said), columns, "bold", MARGIN)
    for mark in piece.marks:
        yield from wrapped(in_words(mark, settings), columns, "bold", MARGIN)
    if piece.why_opened:
        why = in_words(piece.why_opened, settings)
        yield from wrapped(clean(why, 300), columns, "dim", MARGIN)


def heading(piece: SheetPiece, settings: "Settings", columns: int) -> "Iterator[list[Span]]":
    """Where a piece lies, its number, and what it is; on more lines where names are long."""
    spot = f"{clean(piece.spot, 12) or '?':<5} "
    batch = word("batch {batch}", batch=clean(piece.batch, 24))
    rest = (f"   {clean(piece.profile, 24)}   {batch}   {word(piece.kind)} "
            f"{settings.stock(piece.length)}")  # fmt: skip
    if width_of(f"{spot}{piece.number}{rest}") <= columns:
        yield [(spot, ""), (f"{piece.number}", "bold"), (rest, "")]
    else:
        yield from wrapped(f"{spot}{piece.number}{rest}", columns, "")


def left_over(piece: SheetPiece, settings: "Settings") -> str:
    """What a piece leaves, in words."""
    kept = [part.length for part in piece.parts if part.kind == "leftover"]
    words = [word("rack {length}", length=settings.stock(length)) for length in kept]
    words.append(word("cutting loss {length}", length=settings.length(piece.total("saw"))))
    waste = piece.total("scrap") + piece.total("trim") + piece.total("flaw")
    if waste:
        words.append(word("scrap {length}", length=settings.length(waste)))
    return word("then {what}", what=tuple(words))


def frame_lines(
    heading: str, said: Sequence[Because], sheet: Sheet, settings: "Settings", columns: int
) -> "Iterator[list[Span]]":
    """What is said of some frames: why each can't be cut today, or what its pin costs."""
    if said:
        yield []
        yield [(heading, "bold")]
    for label, first, reasons in alike_told(said):
        why = clean(whole(reasons, settings), 400)
        yield from wrapped(f"{named(sheet, first, word(label))}: {why}", columns, "", MARGIN)


def named(sheet: Sheet, first: str, label: str) -> str:
    """A frame, or several from the first on, by their label, their customer and their profile."""
    frame = sheet.frames.get(first)
    whose = f" ({clean(frame.customer, 30)}, {clean(frame.profile, 24)})" if frame else ""
    return f"{clean(label, 24)}{whose}"


def ahead_lines(sheet: Sheet, columns: int) -> "Iterator[list[Span]]":
    """The frames that are cut although they are due later."""
    if early := sheet.cut_ahead:
        yield []
        yield [(word("Ahead"), "bold")]
    for frame in early:
        text = word("{frame}: due {day:day}, cut with today's",
                    frame=named(sheet, frame.label, frame.label), day=frame.due)  # fmt: skip
        yield from wrapped(text, columns, "", MARGIN)


def tally_lines(sheet: Sheet, settings: "Settings") -> "Iterator[list[Span]]":
    """The totals of a plan, beside what the hand rule would have taken."""
    beside = (word("picked"), word("by eye")) if sheet.hand is not None else ("", "")
    yield [(f"{'':<30}{beside[0]:>10}".rstrip(), "bold")]
    yield [(f"{'':<20}{word('this plan'):>10}{beside[1]:>10}", "bold")]
    for label, show in tally_rows(settings):
        other = show(sheet.hand) if sheet.hand is not None else ""
        yield [(f"{word(label):<20}{show(sheet.tally):>10}{other:>10}", "")]


def wrapped(text: str, columns: int, style: str, margin: str = "") -> "Iterator[list[Span]]":
    """A text in lines of at most this many columns, the later ones set in."""
    lines = folded(text, columns - len(margin) - 2)
    for number, line in enumerate(lines):
        yield [(f"{margin}{'  ' if number else ''}{line}", style)]

"""Commands for the rack: receive, found, find, flaw, move, remeasure, write-off."""

from typing import Annotated

import typer

from stockroom.cli.app import How, bench, done, how_option
from stockroom.cli.asking.completing import pieces_known, profiles_known
from stockroom.cli.asking.questions import unless_odd
from stockroom.cli.asking.rack_questions import ask_found
from stockroom.cli.making.printing import labels_of
from stockroom.cli.next_steps import plan_step
from stockroom.record.ledger import RackPiece
from stockroom.screens.lists import Column, show_rows
from stockroom.services.rack.likely_length import check_found, check_remeasured, check_usual
from stockroom.services.rack.mark_pieces import marks_of
from stockroom.services.rack.new_piece import Arrival
from stockroom.services.rack.pieces import find as look
from stockroom.services.rack.pieces import log_found, mark_flaw
from stockroom.services.rack.pieces import move as put_at
from stockroom.services.rack.pieces import receive as put_on_rack
from stockroom.services.rack.pieces import remeasure as correct
from stockroom.services.rack.pieces import write_off as scrap
from stockroom.services.rack.typed_pieces import (
    flaws_typed,
    marks_typed,
    sticks_typed,
    stock_length,
    typed_whole,
)
from stockroom.services.rack.typed_sightings import ends_told
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import parse_length, parse_span
from stockroom.words.language import word
from stockroom.words.plan_reasons import whole

__all__ = ["Labels", "Longest", "Motif", "Odd", "Owner", "Why", "show_pieces"]

Profile = Annotated[
    str, typer.Argument(help="The profile's code, such as ASH-22.", autocompletion=profiles_known)
]
Number = Annotated[
    int, typer.Argument(help="The piece's number, as on its label.", autocompletion=pieces_known)
]
Place = Annotated[str, typer.Option("--at", help="Place on the rack, such as A3.")]
Odd = Annotated[
    bool, typer.Option("--odd", help="The lengths are right, far from the usual as they are.")
]
Labels = Annotated[
    bool, typer.Option("--labels/--no-labels", help="Print the labels of what came to a file.")
]
Longest = Annotated[
    str | None, typer.Option("--longest", help="Bowed: the longest rail that it may give.")
]
Second = Annotated[bool, typer.Option("--second", help="Only for jobs that take seconds.")]
Owner = Annotated[str | None, typer.Option("--owner", help="The customer whose own it is.")]
Motif = Annotated[
    str | None, typer.Option("--motif", help="From the label's end to the first motif.")
]
Why = Annotated[str, typer.Option("--why", help="The reason, for the record.")]
Flaws = Annotated[
    list[str] | None,
    typer.Option("--flaw", metavar="FROM..TO", help="A flaw, both from the end the label is on."),
]


def receive(
    ctx: typer.Context,
    profile: Profile,
    batch: Annotated[str, typer.Argument(help="The batch on the bundle; - if none is printed.")],
    lengths: Annotated[
        list[str], typer.Argument(help="Each stick's measured length; 12x for twelve of it.")
    ],
    at: Place = "",
    longest: Longest = None,
    second: Second = False,
    owner: Owner = None,
    motif: Motif = None,
    why: Why = "",
    odd: Odd = False,
) -> None:
    """Put sticks from the supplier on the rack, each with its measured length.

    [dim]Example: stockroom receive ASH-22 B7 "3002 mm" "12x 2998 mm" --at A3[/dim]
    """
    shop = bench(ctx).open()
    marks = marks_typed(shop.settings, longest, second or None, owner, motif)
    sticks = [Arrival(um, **marks) for text in typed_whole(lengths)
              for um in sticks_typed(text, shop.settings)]  # fmt: skip
    unless_odd(odd, lambda: check_usual(shop, profile, [stick.length for stick in sticks]))
    pieces = put_on_rack(shop, profile, batch, sticks, at, why)
    show_pieces(pieces, shop.settings, "table")
    first, last = pieces[0].id, pieces[-1].id
    step = (
        word("label it: stockroom labels {id}", id=first)
        if first == last
        else word("label them: stockroom labels {id}..{id_2}", id=first, id_2=last)
    )
    done(word("Received {pieces:stick} of {profile}.", pieces=len(pieces),
              profile=pieces[0].profile), step)  # fmt: skip


def found(
    ctx: typer.Context,
    profile: Annotated[
        str, typer.Argument(help="The profile's code; without a length, a line a piece is asked.")
    ] = "",
    length: Annotated[str, typer.Argument(help="Length along the back edge.")] = "",
    batch: Annotated[str, typer.Option("--batch", help="Its batch, if known.")] = "UNKNOWN",
    at: Place = "",
    flaws: Flaws = None,
    stick: Annotated[bool, typer.Option("--stick", help="It is a whole stick.")] = False,
    ends: Annotated[
        str, typer.Option("--ends", help="Label's end and far end: factory, cut or square.")
    ] = "",
    number: Annotated[
        int | None, typer.Option("--number", help="The number on its label, if it has one.")
    ] = None,
    longest: Longest = None,
    second: Second = False,
    owner: Owner = None,
    motif: Motif = None,
    why: Why = "",
    odd: Odd = False,
) -> None:
    """Log pieces that no list knew; measure an offcut along its back edge.

    With no length it asks, a line for each piece.

    [dim]Example: stockroom found ASH-22 "31 1/2" --batch B7 --at C2[/dim]
    """
    shop = bench(ctx).open()
    if not length:
        log_lines(shop, profile, batch)
        return
    piece = Arrival(
        stock_length(length, shop.settings),
        number,
        flaws_typed(flaws, shop.settings),
        ends=ends_told(ends),
        **marks_typed(shop.settings, longest, second or None, owner, motif),
    )
    unless_odd(odd, lambda: check_found(shop, profile, piece.length, stick=stick))
    logged = log_found(shop, profile, batch, piece, at, why, "stick" if stick else "offcut")
    show_pieces([logged], shop.settings, "table")
    done(word("Piece {id} is on the record.", id=logged.id), word("label it: stockroom labels {id}",
                                                                  id=logged.id))  # fmt: skip


def log_lines(shop: Shop, profile: str, batch: str) -> None:
    """Logs pieces a line each, then prints their labels, however it ended."""
    pieces: list[RackPiece] = []
    try:
        for piece in ask_found(shop, profile, batch):
            pieces.append(piece)
    finally:
        if pieces:
            labels_of(shop, pieces)
    done(word("{pieces:piece} on the record.", pieces=len(pieces)), plan_step(shop))


def find(
    ctx: typer.Context,
    profile: Annotated[
        str | None, typer.Argument(help="A profile's code; all if left out.")
    ] = None,
    over: Annotated[str, typer.Option("--over", help="Clear of flaws over at least this.")] = "",
    batch: Annotated[str | None, typer.Option("--batch", help="Of this batch.")] = None,
    kind: Annotated[str | None, typer.Option("--kind", metavar="stick|offcut")] = None,
    at: Annotated[str | None, typer.Option("--at", help="Places that begin so.")] = None,
    free: Annotated[bool, typer.Option("--free", help="Not held by a plan.")] = False,
    how: How = "table",
) -> None:
    """Find pieces on the rack.

    [dim]Example, anything of ASH-22 over 30 in: stockroom find ASH-22 --over 30[/dim]
    """
    shop = bench(ctx).open()
    least = parse_length(over, shop.settings.unit) if over else 0
    pieces = look(shop, profile, at_least=least, batch=batch, kind=kind, spot=at, free=free)
    show_pieces(pieces, shop.settings, how_option(how))
    if not pieces:
        done("No piece fits that.", "ask for less, or see what to buy: stockroom order")


def flaw(
    ctx: typer.Context,
    number: Number,
    start: Annotated[
        str,
        typer.Argument(metavar="FROM..TO", help="The flaw, both from the end the label is on."),
    ],
    end: Annotated[str, typer.Argument(hidden=True)] = "",
    why: Why = "",
) -> None:
    """Mark a stretch of a piece that cannot be used.

    [dim]Example: stockroom flaw 214 "12..13 1/4" --why dent[/dim]
    """
    shop = bench(ctx).open()
    typed = f"{start}..{end}" if end else start
    piece = mark_flaw(shop, number, *parse_span(typed, shop.settings.unit), why)
    show_pieces([piece], shop.settings, "table")
    done(word("The flaw on piece {number} is marked.", number=number), "chalk it on the piece too.")


def move(
    ctx: typer.Context,
    number: Number,
    place: Annotated[str, typer.Argument(help="Place on the rack, such as A3.")],
) -> None:
    """Say that a piece is now at another place on the rack.

    [dim]Example: stockroom move 214 B4[/dim]
    """
    put_at(bench(ctx).open(), number, place)
    done(word("Piece {number} is at {place}.", number=number, place=place))


def remeasure(
    ctx: typer.Context,
    number: Number,
    length: Annotated[str, typer.Argument(help="What the tape says, along the back edge.")],
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")],
    odd: Odd = False,
) -> None:
    """Correct a piece's length to what the tape says.

    [dim]Example: stockroom remeasure 214 "30 7/16" --why "end was split"[/dim]
    """
    shop = bench(ctx).open()
    um = stock_length(length, shop.settings)
    unless_odd(odd, lambda: check_remeasured(shop, number, um))
    before, after = correct(shop, number, um, why)
    show = shop.settings.stock_with_unit
    done(word("Piece {number}: the record said {length}, now {length_2}.", number=number,
              length=show(before.length), length_2=show(after.length)))  # fmt: skip


def write_off(
    ctx: typer.Context,
    number: Number,
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")],
) -> None:
    """Send a piece to scrap.

    [dim]Example: stockroom write-off 214 --why "twisted"[/dim]
    """
    shop = bench(ctx).open()
    piece = scrap(shop, number, why)
    done(word("Piece {number} ({profile}, {length}) is written off.", number=number,
              profile=piece.profile, length=shop.settings.stock_with_unit(piece.length)),
         "take it off the rack.")  # fmt: skip


def show_pieces(pieces: list[RackPiece], settings: Settings, how: str) -> None:
    """Prints pieces as a list."""

    def span(flaw: tuple[int, int]) -> str:
        return f"{settings.length(flaw[0])}..{settings.length(flaw[1])}"

    marks = [whole(marks_of(piece), settings) for piece in pieces]
    told = [Column("marks", "marks", wraps=True)] if any(marks) or how != "table" else []
    columns = [
        Column("piece", "piece", "right"), Column("place", "place"), Column("profile", "profile"),
        Column("batch", "batch"), Column("kind", "kind", show=word),
        Column("length_um", word("length, {unit}", unit=settings.unit), "right", settings.stock),
        Column("flaws", "flaws", wraps=True), *told, Column("plan", "plan", "right"),
        Column("since", "since", spare=True),
    ]  # fmt: skip
    rows = [
        (p.id, p.spot, p.profile, p.batch, p.kind, p.length, "; ".join(map(span, p.flaws)),
         *[mark] * bool(told), p.held_by, p.since)
        for p, mark in zip(pieces, marks, strict=True)
    ]  # fmt: skip
    show_rows(columns, rows, how)

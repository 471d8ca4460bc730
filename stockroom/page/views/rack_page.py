"""The rack: every piece by its place, drawn to scale, and looked up."""

from collections import Counter
from itertools import groupby

from starlette.responses import Response

from stockroom.page.asking import Ask, render, shown
from stockroom.record.ledger import RackPiece
from stockroom.services.rack.mark_pieces import marks_of
from stockroom.services.rack.pieces import find
from stockroom.services.record.history import PieceLife, piece_life
from stockroom.services.saw.print_labels import pieces_named
from stockroom.units.places import place_order
from stockroom.views.rack_row import RackRow, placed

__all__ = ["ROUTES", "piece"]

MOST_DRAWN = 150
"""More pieces than anybody walks through on a screen: places, or a search, show the others."""


def rack(ask: Ask) -> Response:
    """The rack by place; what is looked for, or a place, narrows it."""
    wanted, at = ask.query.get("find", "").strip(), ask.query.get("at")
    rows = [row_of(piece) for piece in find(ask.shop)]
    chosen = [row for row in rows if matches(row, wanted.upper())]
    here = [row for row in chosen if at is None or row.spot == at]
    drawn = placed(here)[:MOST_DRAWN]
    shelves = [(spot, list(group)) for spot, group in groupby(drawn, lambda row: row.spot)]
    return render(ask, "rack.html", shelves=shelves, drawn=len(drawn), here=len(here),
                  of=len(rows), longest=max((row.length for row in rows), default=1),
                  wanted=wanted, shelf=at, places=by_place(chosen))  # fmt: skip


def row_of(piece: RackPiece) -> RackRow:
    """A piece as the rack's page tells it."""
    return RackRow(piece.id, piece.profile, piece.batch, piece.kind, piece.spot, piece.length,
                   piece.flaws, piece.held_by, marks_of(piece))  # fmt: skip


def by_place(rows: list[RackRow]) -> list[tuple[str, int]]:
    """The places of these pieces as one walks along them, each with how many lie there."""
    return sorted(Counter(row.spot for row in rows).items(),
                  key=lambda pair: place_order(pair[0]))  # fmt: skip


def matches(row: RackRow, wanted: str) -> bool:
    """True where a piece's number, profile, batch or place is what is looked for."""
    if not wanted:
        return True
    if wanted.isdecimal():
        return wanted == str(row.number)
    return wanted in row.profile.upper() or wanted in (row.batch.upper(), row.spot.upper())


def piece(ask: Ask) -> Response:
    """A piece's life: where it came from, what happened to it, what came of it."""
    number = ask.path["number"]
    life = piece_life(ask.shop, number)
    here = pieces_named(ask.shop, [number])[0] if lies_there(life, number) else None
    return render(ask, "piece.html", life=life, here=here, row=row_of(here) if here else None)


def lies_there(life: PieceLife, number: int) -> bool:
    """True where the piece of this number, in its family, is on the rack."""
    return (life.on_rack if life.number == number
            else any(lies_there(child, number) for child in life.offspring))  # fmt: skip


ROUTES = (
    shown("/rack", rack),
    shown("/rack/{number:number}", piece),
)

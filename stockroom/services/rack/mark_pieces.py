"""What is said of pieces on the rack: bowed, seconds, a customer's own, where their first motif is;
and a customer's own given back."""

from collections.abc import Mapping, Sequence
from typing import Any

from stockroom.facts import Fact
from stockroom.record.database import changing
from stockroom.record.ledger import Flow, RackPiece, add_lines, on_rack, open_entry, take_off
from stockroom.record.tables import Piece
from stockroom.refusals import Refused
from stockroom.services.rack.new_piece import OWNERS, check_marks
from stockroom.services.rack.pieces import the_piece
from stockroom.services.shop import Shop
from stockroom.units.texts import kept_text

__all__ = ["SECOND", "give_back", "mark", "marks_of"]

SECOND = "second"
MARKS = {"longest": "longest_um", "grade": "grade", "owner": "owner", "motif": "motif_um"}
"""What is said of a piece, and the column that keeps it."""


def mark(
    shop: Shop, numbers: Sequence[int], told: Mapping[str, Any], why: str = ""
) -> list[RackPiece]:
    """Says of pieces what is told: the ``longest`` rail they give and their first ``motif`` (um,
    None takes it away), their ``grade`` ("second" or none), their ``owner``.

    Raises:
        Unknown, Clash: a piece has left the rack, or a plan holds it.
        Refused: nothing is told, or it can't be a piece's of that length.
    """
    if not numbers or not told:
        raise Refused("no_piece_given" if told else "nothing_said_of_pieces")
    if "owner" in told:
        kept_text(told["owner"], "customer")
    with changing(shop.engine, shop.waiting) as session:
        pieces = [the_piece(session, number) for number in dict.fromkeys(numbers)]
        for piece in pieces:
            check_marks(piece.length, told.get("longest"), told.get("motif"))
        was = {str(piece.id): {MARKS[name]: getattr(piece, name) for name in told}
               for piece in pieces}  # fmt: skip
        open_entry(session, shop.hand, "mark", why=why, detail={"marks": was},
                   touches=[("piece", piece.id) for piece in pieces])  # fmt: skip
        for piece in pieces:
            row = session.get_one(Piece, piece.id)
            for name, value in told.items():
                setattr(row, MARKS[name], value)
        session.flush()
        return on_rack(session, ids=[piece.id for piece in pieces])


def marks_of(piece: RackPiece) -> tuple[Fact, ...]:
    """What is to be known of a piece beside its length, batch and flaws."""
    told = (("mark_bowed", "longest_um", piece.longest),
            ("mark_second", "grade", piece.grade or None),
            ("mark_owner", "owner", piece.owner or None),
            ("mark_motif", "motif_um", piece.motif))  # fmt: skip
    return tuple(Fact(code, {name: value}) for code, name, value in told if value is not None)


def give_back(shop: Shop, numbers: Sequence[int], why: str = "") -> list[RackPiece]:
    """A customer's own pieces go back to them; gives the pieces as they last were.

    Raises:
        Unknown, Clash: a piece has left the rack, or a plan holds it.
        Refused: none is named, one is nobody's own, or they are of several customers.
    """
    if not numbers:
        raise Refused("no_piece_given")
    with changing(shop.engine, shop.waiting) as session:
        pieces = [the_piece(session, number) for number in dict.fromkeys(numbers)]
        owners = {piece.owner.casefold(): piece for piece in pieces}
        if "" in owners:
            raise Refused("piece_of_the_shop", number=owners[""].id)
        if len(owners) > 1:
            raise Refused("pieces_of_many_owners", owners=tuple(p.owner for p in owners.values()))
        entry = open_entry(session, shop.hand, "give back", why=why,
                           touches=[("piece", piece.id) for piece in pieces])  # fmt: skip
        add_lines(session, entry, [
            flow for piece in pieces for flow in (
                Flow("rack", -piece.length, piece.profile, piece.batch, piece=piece.id),
                Flow(OWNERS, piece.length, piece.profile, piece.batch),
            )
        ])  # fmt: skip
        for piece in pieces:
            take_off(session, entry, piece.id)
        return pieces

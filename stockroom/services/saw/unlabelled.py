"""Pieces that came to the rack and have no printed label yet, whatever broke the printing off.

Which labels were printed is kept beside them, in a file: a fact of this computer's printer.
"""

import os
from collections.abc import Iterable
from pathlib import Path

from sqlmodel import Session, col, select

from stockroom.files.new_file import opened_own, private_folder
from stockroom.record.columns import PARTED
from stockroom.record.copies import folder_beside
from stockroom.record.database import reading
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.stocktake import not_seen
from stockroom.record.tables import Entry, Piece
from stockroom.refusals import NoShop
from stockroom.services.shop import Shop

__all__ = ["mark_labelled", "unlabelled"]

COME_IN = ("cut", "receive", "found", "change", "cancel", "afresh", *PARTED)
LOADED = "loaded from "
"""How the reason begins of pieces that came from a list: their numbers were on them before."""


def unlabelled(shop: Shop) -> list[RackPiece]:
    """The pieces on the rack whose label was never printed here, by number; one that was looked
    for in vain gets none."""
    known = labelled(shop)
    with reading(shop.engine) as session:
        numbers = [number for number in come_in(session) if number not in known]
        lost = not_seen(session, numbers)
        numbers = [number for number in numbers if number not in lost]
        return on_rack(session, ids=numbers) if numbers else []


def come_in(session: Session) -> list[int]:
    """The pieces on the rack that were cut, received, found one by one, or went back there."""
    asked = (
        select(Piece.id)
        .join(Entry, col(Entry.id) == Piece.came_in)
        .where(col(Piece.left_in).is_(None), col(Entry.kind).in_(COME_IN),
               col(Entry.why).not_like(f"{LOADED}%"))
        .order_by(col(Piece.id))
    )  # fmt: skip
    return list(session.exec(asked))


def labelled(shop: Shop) -> frozenset[int]:
    """The numbers of the pieces whose label was printed here."""
    try:
        words = file_of(shop).read_text().split()
    except (OSError, UnicodeDecodeError):
        return frozenset()
    return frozenset(int(word) for word in words if word.isascii() and word.isdecimal())


def mark_labelled(shop: Shop, pieces: Iterable[int]) -> None:
    """Keeps that these pieces have a label; where that cannot be kept, they stay on the list."""
    file = file_of(shop)
    try:
        private_folder(file.parent)
        with os.fdopen(opened_own(file, os.O_APPEND), "a") as kept:
            kept.write("".join(f"{number}\n" for number in pieces))
    except (OSError, NoShop):
        return


def file_of(shop: Shop) -> Path:
    """The file of the labels that were printed, one for each record."""
    name = Path(shop.engine.url.database or "shop").stem
    return folder_beside(shop.engine, "labels") / f"labelled-{name}.txt"

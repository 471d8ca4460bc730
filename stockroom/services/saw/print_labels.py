"""Labels of pieces, printed to files beside the record; which label of a used sheet is next."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlmodel import col, select

from stockroom.files.new_file import opened_own, private_folder, write_new
from stockroom.record.copies import folder_beside, untaken
from stockroom.record.database import reading
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.tables import Piece, Plan, Touch
from stockroom.refusals import NoShop, Refused, Unknown, Unreadable
from stockroom.remedies import Do, Remedy
from stockroom.services.rack.mark_pieces import marks_of
from stockroom.services.saw.unlabelled import mark_labelled
from stockroom.services.shop import Shop
from stockroom.settings.label_sheet import read_label_sheet

if TYPE_CHECKING:
    from stockroom.paper.label_layout import Wording

__all__ = ["Printed", "offcuts_of", "pieces_named", "print_grid", "print_labels", "print_worded"]

NEXT = "next-label.txt"
"""Which label of the sheet in the printer is the first unused one: a fact of this computer's
printer, not of the shop's record."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A file of labels: how many, from which label of the first sheet, and which is next; the
    letters that its typeface lacks."""

    file: Path
    count: int
    start: int
    next: int
    a_sheet: int
    lost: str = ""


def pieces_named(shop: Shop, numbers: Sequence[int]) -> list[RackPiece]:
    """The pieces of these numbers, in this order.

    Raises:
        Refused: one of them is not on the rack.
    """
    with reading(shop.engine) as session:
        found = {piece.id: piece for piece in on_rack(session, ids=list(numbers))}
    gone = [number for number in numbers if number not in found]
    if gone:
        raise Refused(
            "not_on_rack", Remedy(Do.SEE_LIFE, gone[0]), pieces=tuple(map(str, gone[:10]))
        )
    return [found[number] for number in dict.fromkeys(numbers)]


def offcuts_of(shop: Shop, plan: int) -> list[RackPiece]:
    """The offcuts that the cuts of a plan left and that are on the rack now.

    Raises:
        Unknown: there is no such plan.
    """
    with reading(shop.engine) as session:
        if session.get(Plan, plan) is None:
            raise Unknown("unknown_plan", str(plan))
        cuts = select(Touch.entry_id).where(Touch.what == "plan", Touch.which == f"{plan}")
        ids = session.exec(
            select(Piece.id).where(col(Piece.came_in).in_(cuts), col(Piece.left_in).is_(None))
        ).all()
        return on_rack(session, ids=sorted(ids)) if ids else []


def print_labels(
    shop: Shop, pieces: Sequence[RackPiece], start: int | None = None, to: Path | None = None
) -> Printed:
    """Writes a PDF of labels, in the record's own folder ``labels`` unless told.

    It begins at label ``start`` of a used sheet: where the last labels ended, unless told.

    Raises:
        Unreadable: the sheet has no such label.
        Refused: a label is too small for what it is to say.
        NoShop: the file cannot be written.
    """
    from stockroom.paper.label_words import Label

    settings = shop.settings
    labels = [
        Label(piece.id, piece.profile, piece.batch, piece.kind,
              settings.stock_with_unit(piece.length), piece.spot, piece.since,
              marks_of(piece), settings)
        for piece in pieces
    ]  # fmt: skip
    ends = sorted({labels[0].number, labels[-1].number})
    printed = print_worded(shop, [label.wording for label in labels],
                           f"labels-{'-'.join(map(str, ends))}", start, to)  # fmt: skip
    mark_labelled(shop, [piece.id for piece in pieces])
    return printed


def print_worded(
    shop: Shop, labels: "Sequence[Wording]", name: str, start: int | None = None,
    to: Path | None = None,
) -> Printed:  # fmt: skip
    """Writes a PDF of labels whatever they say, as ``print_labels`` does; ``name`` is its file's.

    Raises:
        Unreadable: the sheet has no such label.
        Refused: a label is too small for what it is to say.
        NoShop: the file cannot be written.
    """
    from stockroom.paper.labels import label_pages

    settings = shop.settings
    sheet = read_label_sheet(settings.labels)
    folder = folder_beside(shop.engine, "labels")
    if start is not None and not 1 <= start <= sheet.count:
        raise Unreadable(str(start), "of_label_of_sheet", count=sheet.count)
    first = start or next_label(folder, sheet.count)
    content = label_pages(labels, sheet, settings.label_code, shop.hand.day, first,
                          settings.font)  # fmt: skip
    file = to or untaken(private_folder(folder), name, "pdf")
    write_new(file, [content])
    after = (first - 1 + len(labels)) % sheet.count + 1
    keep_next(folder, after)
    return Printed(file, len(labels), first, after, sheet.count, content.lost)


def next_label(folder: Path, count: int) -> int:
    """The first unused label of the sheet in the printer; 1 where nothing sensible is kept."""
    try:
        kept = (folder / NEXT).read_text().strip()
    except (OSError, UnicodeDecodeError):
        return 1
    known = kept.isascii() and kept.isdecimal() and len(kept) < 6 and 1 <= int(kept) <= count
    return int(kept) if known else 1


def keep_next(folder: Path, number: int) -> None:
    """Keeps which label is next; where that cannot be written, the next labels begin at 1."""
    try:
        with os.fdopen(opened_own(private_folder(folder) / NEXT, os.O_TRUNC), "w") as kept:
            kept.write(f"{number}\n")
    except (OSError, NoShop):
        return


def print_grid(shop: Shop, to: Path) -> None:
    """Writes the grid of the shop's label sheet.

    Raises:
        NoShop: the file cannot be written.
    """
    from stockroom.paper.labels import label_grid

    write_new(to, [label_grid(read_label_sheet(shop.settings.labels), shop.hand.day)])

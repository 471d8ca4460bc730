"""Pieces know what their ends are, profiles what margin their offcuts want."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0005", "0004"
branch_labels = depends_on = None

PIECE = sa.table("piece", *map(sa.column, (
    "id", "profile_code", "batch_code", "kind", "parent_id", "came_in", "left_in", "label_end",
    "far_end")))  # fmt: skip
ENTRY = sa.table(
    "entry", sa.column("id"), sa.column("kind"), sa.column("detail", sa.JSON),
    sa.column("at", sa.DateTime), sa.column("day", sa.Date), sa.column("who"), sa.column("why"),
)  # fmt: skip
LINE = sa.table("line", *map(sa.column, (
    "id", "entry_id", "place", "cause", "profile_code", "batch_code", "piece_id",
    "length_um")))  # fmt: skip
RAIL = sa.table("planrail", *map(sa.column, ("piece_id", "stretch", "settled_in")))
TOUCH = sa.table("touch", *map(sa.column, ("entry_id", "what", "which")))
KINDS = "IN ('factory', 'cut', 'square')"
Row = Any


def upgrade() -> None:
    """The ends of every piece, told from the record's lines; a margin of its own for a profile"""
    with op.batch_alter_table("profile", schema=None) as batch_op:
        batch_op.add_column(sa.Column("margin_um", sa.Integer(), nullable=True))
        batch_op.create_check_constraint("margin_not_negative", "margin_um >= 0")
    with op.batch_alter_table("piece", schema=None) as batch_op:
        batch_op.add_column(sa.Column("label_end", sa.String(), nullable=True))
        batch_op.add_column(sa.Column("far_end", sa.String(), nullable=True))
    tell_ends(op.get_bind())
    with op.batch_alter_table("piece", schema=None) as batch_op:
        for name in ("label_end", "far_end"):
            batch_op.alter_column(name, existing_type=sa.String(), nullable=False)
            batch_op.create_check_constraint(f"{name}_known", f"{name} {KINDS}")


def tell_ends(record: sa.Connection) -> None:
    """Fills in the ends of all pieces, and gives back trims that were booked and never cut.

    Before, both trims of a stick were booked as lost when it was cut, and an offcut's length was
    reckoned without the trim that its far end still has. What the tape said since is right.
    """
    pieces = sa.select(PIECE).order_by(PIECE.c.came_in, PIECE.c.id)
    rows = {row.id: row for row in record.execute(pieces)}
    told = _Told(record, rows)
    for row in rows.values():
        told.tell(row)
    for number, (label_end, far_end) in told.ends.items():
        record.execute(
            PIECE.update().where(PIECE.c.id == number)
            .values(label_end=label_end, far_end=far_end)
        )  # fmt: skip
    give_back(record, list(told.lacking()))


class _Told:
    """What the ends of pieces are, parents first, and which lengths lack their far end's trim."""

    def __init__(self, record: sa.Connection, rows: dict[int, Row]) -> None:
        self.rows = rows
        self.ends: dict[int, tuple[str, str]] = {}
        self.lacks: dict[int, int] = {}
        cuts = sa.select(ENTRY.c.id, ENTRY.c.detail).where(ENTRY.c.kind == "cut")
        self.cuts = dict(record.execute(cuts).all())
        trims = sa.select(LINE.c.entry_id, LINE.c.length_um).where(LINE.c.cause == "end trim")
        self.trims = {number: length // 2 for number, length in record.execute(trims)}
        lines = sa.select(LINE.c.piece_id, LINE.c.length_um)
        born = sa.and_(PIECE.c.id == LINE.c.piece_id, PIECE.c.came_in == LINE.c.entry_id)
        self.came = dict(record.execute(lines.join(PIECE, born)).all())
        measured = sa.select(LINE.c.piece_id).join(ENTRY, ENTRY.c.id == LINE.c.entry_id)
        kinds = ENTRY.c.kind.in_(("remeasure", "count"))
        self.measured = set(record.execute(measured.where(kinds)).scalars())
        first = sa.select(RAIL.c.piece_id, RAIL.c.settled_in).where(RAIL.c.stretch == 0)
        self.from_first = {(piece, entry) for piece, entry in record.execute(first)}
        self.next: dict[int, int] = {}

    def tell(self, row: Row) -> None:
        """One piece, after its parent."""
        implied = "factory" if row.kind == "stick" else "cut"
        self.ends[row.id] = (implied, implied)
        parent, detail = self.rows.get(row.parent_id), self.cuts.get(row.came_in)
        if parent is None or detail is None:
            return
        near, far = self.ends[parent.id]
        lefts = detail["measured_um"]
        place = self.place(row, lefts)
        if place == len(lefts) - 1:
            self.ends[row.id] = ("cut", far)
        elif place == 0 and (parent.id, row.came_in) not in self.from_first:
            self.ends[row.id] = ("cut", near)
        trim = self.trims.get(row.came_in, 0) or self.lacks.get(parent.id, 0)
        if self.ends[row.id][1] == "factory" and not detail.get("was_measured"):
            self.lacks[row.id] = trim
        if row.id in self.measured:
            self.lacks.pop(row.id, None)

    def place(self, row: Row, lefts: list[int]) -> int:
        """Which stretch of its parent a piece is left of: they were racked in their order."""
        at = self.next.get(row.came_in, 0)
        while at < len(lefts) - 1 and lefts[at] != self.came.get(row.id):
            at += 1
        self.next[row.came_in] = at + 1
        return at

    def lacking(self) -> Iterator[tuple[Row, int]]:
        """The pieces on the rack whose lengths lack a trim, and how long it is."""
        for number, trim in self.lacks.items():
            if trim and self.rows[number].left_in is None:
                yield self.rows[number], trim


def give_back(record: sa.Connection, lacking: list[tuple[Row, int]]) -> None:
    """An entry of its own takes the trims out of scrap again, onto the pieces that have them."""
    if not lacking:
        return
    number = record.execute(sa.select(sa.func.max(ENTRY.c.id))).scalar_one() + 1
    next_line = record.execute(sa.select(sa.func.max(LINE.c.id))).scalar_one() + 1
    now = datetime.now(UTC).replace(tzinfo=None)
    record.execute(ENTRY.insert().values(
        id=number, at=now, day=now.date(), kind="remeasure", who="stockroom", detail={},
        why="far ends that were never cut still have the trims that were booked as lost",
    ))  # fmt: skip
    for row, trim in lacking:
        at = {"entry_id": number, "profile_code": row.profile_code, "batch_code": row.batch_code}
        for place, cause, piece, length in (
            ("rack", "", row.id, trim), ("scrap", "end trim", None, -trim),
        ):  # fmt: skip
            record.execute(LINE.insert().values(
                id=next_line, place=place, cause=cause, piece_id=piece, length_um=length, **at
            ))  # fmt: skip
            next_line += 1
        record.execute(TOUCH.insert().values(entry_id=number, what="piece", which=f"{row.id}"))

"""The shop's record as tables: facts that are appended, and a few pointers from fact to entry.

Lengths are whole micrometres (``_um``), money whole minor units (``_minor``), times aware UTC.
What lies on the rack is folded from lines; pointers such as ``Piece.left_in`` are proven by them.
"""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, Index, text
from sqlmodel import Field, SQLModel

from stockroom.record.columns import ENDS, LIST, PLACES, STAGES, UtcTime, added, one_of
from stockroom.record.order_tables import Plan, PlanPiece, PlanRail

__all__ = ["ENDS", "PLACES", "STAGED", "STAGES", "Batch", "Entry", "Flaw", "Frame", "Job", "Line",
           "Move", "Piece", "Plan", "PlanPiece", "PlanRail", "Profile", "Setting", "Supplier",
           "Touch"]  # fmt: skip

OPEN, STAGED = text("left_in IS NULL"), text("stage <> ''")
LAYERED, MATCHED = text("profile_code IS NOT NULL"), text("match_job IS NOT NULL")
STANDING = text("dropped_in IS NULL")


class Setting(SQLModel, table=True):
    """One setting of the shop, as text."""

    name: str = Field(primary_key=True)
    value: str


class Supplier(SQLModel, table=True):
    """Who sells mouldings to the shop, and on what terms; None where they have none."""

    code: str = Field(primary_key=True)
    name: str
    note: str = ""
    lead_days: int | None = None
    delivery_day: int | None = None
    order_minimum_minor: int | None = None
    carriage_minor: int | None = None
    free_carriage_minor: int | None = None
    cut_percent: int | None = None
    cut_fee_minor: int | None = None
    cut_minimum_minor: int | None = None


class Profile(SQLModel, table=True):
    """One moulding shape and finish, as a supplier sells it."""

    __table_args__ = (
        one_of("kind", ("rabbeted", "float", "plain")),
        CheckConstraint("face_um > 0", name="face_positive"),
        CheckConstraint("stick_length_um > 2 * end_trim_um", name="stick_longer_than_trims"),
        CheckConstraint("keep_um >= 0 AND end_trim_um >= 0", name="keep_and_trim_not_negative"),
        CheckConstraint("margin_um >= 0", name="margin_not_negative"),
        CheckConstraint("minimum_sticks >= 0", name="minimum_not_negative"),
    )

    code: str = Field(primary_key=True)
    supplier_code: str = Field(foreign_key="supplier.code", index=True)
    name: str
    kind: str
    face_um: int
    rabbet_width_um: int | None = None
    rabbet_depth_um: int | None = None
    wall_um: int | None = None
    recess_depth_um: int | None = None
    height_um: int | None = None
    stick_length_um: int
    stick_price_minor: int | None = None
    metre_price_minor: int | None = None
    batch_matched: bool = False
    keep_um: int
    end_trim_um: int
    margin_um: int | None = None
    minimum_sticks: int = 0
    species: str = ""
    box_sticks: int | None = None
    discontinued: bool = False
    last_order: date | None = None
    last_sticks: int | None = None
    machine: str = ""
    wait_cost: str | None = Field(default=None, sa_column_kwargs=added())
    repeat_um: int | None = Field(default=None, sa_column_kwargs=added())
    price_breaks: str | None = Field(default=None, sa_column_kwargs=added())


class Batch(SQLModel, table=True):
    """Sticks of a profile that were finished together."""

    profile_code: str = Field(primary_key=True, foreign_key="profile.code")
    code: str = Field(primary_key=True)


class Entry(SQLModel, table=True):
    """One thing that happened: written once, never changed. A mistake is reversed by another."""

    __table_args__ = (
        Index("uq_entry_reverses", "reverses", unique=True),
        Index("uq_entry_key", "key", unique=True),
    )

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    at: datetime = Field(sa_type=UtcTime)
    day: date = Field(index=True)
    kind: str
    who: str
    why: str = ""
    reverses: int | None = Field(default=None, foreign_key="entry.id")
    detail: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    key: str | None = None
    seal: str | None = None


class Line(SQLModel, table=True):
    """Length that an entry moves into a place (positive) or out of it (negative)."""

    __table_args__ = (
        one_of("place", PLACES),
        CheckConstraint("length_um <> 0", name="length_not_zero"),
        CheckConstraint("(place = 'rack') = (piece_id IS NOT NULL)", name="rack_names_a_piece"),
        CheckConstraint(
            "(place = 'rails') = (frame_id IS NOT NULL AND rail IS NOT NULL)",
            name="rails_name_a_frame",
        ),
        Index("ix_line_frame_id_rail", "frame_id", "rail"),
    )

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    entry_id: int = Field(foreign_key="entry.id", index=True)
    place: str
    cause: str = ""
    profile_code: str = Field(foreign_key="profile.code")
    batch_code: str
    piece_id: int | None = Field(default=None, foreign_key="piece.id", index=True)
    frame_id: int | None = Field(default=None, foreign_key="frame.id")
    rail: int | None = None
    length_um: int


class Touch(SQLModel, table=True):
    """What an entry is about: pieces, jobs, plans. History and undo follow these."""

    __table_args__ = (one_of("what", ("piece", "job", "plan", "order", "profile", "shop")),)

    entry_id: int = Field(primary_key=True, foreign_key="entry.id")
    what: str = Field(primary_key=True)
    which: str = Field(primary_key=True)


Index("ix_touch_what_which", Touch.__table__.c.what, Touch.__table__.c.which)  # type: ignore[attr-defined]


class Piece(SQLModel, table=True):
    """A stick or an offcut: one physical thing with an id on its label.

    ``label_end`` and ``far_end`` are what its two ends are: as bought, mitred, or square. A bowed
    one gives rails up to ``longest_um`` alone; its ``grade`` is "second" where it is one; a
    customer may be its ``owner``. ``motif_um`` is where its first motif begins.
    """

    __table_args__ = (
        one_of("kind", ("stick", "offcut")),
        one_of("label_end", ENDS),
        one_of("far_end", ENDS),
        Index("ix_piece_open", "profile_code", sqlite_where=OPEN, postgresql_where=OPEN),
    )

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    profile_code: str = Field(foreign_key="profile.code")
    batch_code: str
    kind: str
    label_end: str
    far_end: str
    parent_id: int | None = Field(default=None, foreign_key="piece.id", index=True)
    came_in: int = Field(foreign_key="entry.id", index=True)
    left_in: int | None = Field(default=None, foreign_key="entry.id", index=True)
    since: date
    note: str = ""
    longest_um: int | None = Field(default=None, sa_column_kwargs=added())
    grade: str = Field(default="", sa_column_kwargs=added(""))
    owner: str = Field(default="", sa_column_kwargs=added(""))
    motif_um: int | None = Field(default=None, sa_column_kwargs=added())


class Flaw(SQLModel, table=True):
    """A stretch of a piece that cannot be used, from the end that its label is on."""

    __table_args__ = (CheckConstraint("0 <= start_um AND start_um < end_um", name="ordered"),)

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    piece_id: int = Field(foreign_key="piece.id", index=True)
    start_um: int
    end_um: int
    marked_in: int = Field(foreign_key="entry.id", index=True)
    lifted_in: int | None = Field(default=None, foreign_key="entry.id", index=True)


class Move(SQLModel, table=True):
    """A piece put at a place on the rack; its last move that stands says where it is."""

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    piece_id: int = Field(foreign_key="piece.id", index=True)
    spot: str
    moved_in: int = Field(foreign_key="entry.id", index=True)
    lifted_in: int | None = Field(default=None, foreign_key="entry.id", index=True)


class Job(SQLModel, table=True):
    """An artwork to be framed, as taken in at the counter; ``layers`` are its mouldings beyond the
    one that the artwork lies in. Jobs that match one job, and that job, are a set."""

    __table_args__ = (
        one_of("state", ("open", "held", "cancelled")),
        one_of("stage", STAGES),
        CheckConstraint("quantity >= 1", name="quantity_positive"),
        Index("ix_job_state_due", "state", "due"),
        Index("ix_job_staged", "taken_in", sqlite_where=STAGED, postgresql_where=STAGED),
        Index("ix_job_match_job", "match_job", sqlite_where=MATCHED, postgresql_where=MATCHED),
    )

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    customer: str
    title: str = ""
    profile_code: str = Field(foreign_key="profile.code", index=True)
    widths_um: list[int] = Field(sa_type=JSON)
    heights_um: list[int] = Field(sa_type=JSON)
    depth_um: int | None = None
    gap_um: int | None = None
    allowance_um: int | None = None
    mat_um: list[int] | None = Field(default=None, sa_type=JSON)
    mat_overlap_um: int | None = None
    due: date
    quantity: int = 1
    one_batch: bool = False
    one_piece: bool = False
    note: str = ""
    state: str = "open"
    bench_days: int | None = None
    phone: str = ""
    stage: str = ""
    layers: list[dict[str, Any]] | None = Field(
        default=None, sa_type=JSON, sa_column_kwargs=added()
    )
    match_job: int | None = Field(default=None, sa_column_kwargs=added())
    shape: str = Field(default="", sa_column_kwargs=added(""))
    lengths_um: list[int] | None = Field(default=None, sa_type=LIST, sa_column_kwargs=added())
    match_batch: str = Field(default="", sa_column_kwargs=added(""))
    takes: str = Field(default="", sa_column_kwargs=added(""))
    taken_in: int = Field(foreign_key="entry.id", index=True)


class Frame(SQLModel, table=True):
    """One frame of a job: the long points of its two pairs of rails, or all in ``rails_um``.

    Frames of one ``number`` lie in one another; ``layer`` 0 is the one that the artwork lies in,
    and the others' mouldings are their ``profile_code``'s.
    """

    __table_args__ = (
        CheckConstraint("across_um > 0 AND upright_um > 0", name="rails_positive"),
        Index(
            "uq_frame_job_id_number_layer",
            "job_id",
            "number",
            "layer",
            unique=True,
            sqlite_where=STANDING,
            postgresql_where=STANDING,
        ),
        Index("ix_frame_job_id", "job_id"),
        Index(
            "ix_frame_profile_code", "profile_code", sqlite_where=LAYERED, postgresql_where=LAYERED
        ),
    )

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    job_id: int = Field(foreign_key="job.id")
    number: int
    layer: int = Field(default=0, sa_column_kwargs=added(0))
    profile_code: str | None = Field(
        default=None, foreign_key="profile.code", sa_column_kwargs=added()
    )
    across_um: int
    upright_um: int
    rails_um: list[int] | None = Field(default=None, sa_type=LIST, sa_column_kwargs=added())
    done_in: int | None = Field(default=None, foreign_key="entry.id", index=True)
    dropped_in: int | None = Field(default=None, foreign_key="entry.id", index=True)

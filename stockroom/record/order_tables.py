"""What is ordered, as tables: of the saw by plans, of suppliers by orders, and what came of it.

An accepted plan holds pieces and rails until they are settled. How much of an order's line has come
is folded from its receipts; nothing here is a balance.
"""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, Index, Text, text
from sqlmodel import Field, SQLModel

from stockroom.record.columns import UtcTime, one_of

__all__ = ["Plan", "PlanPiece", "PlanRail", "Purchase", "PurchaseLine", "Receipt"]

HELD = text("settled_in IS NULL")


class Purchase(SQLModel, table=True):
    """An order to a supplier: a draft, placed, received (what did not come is given up), or not."""

    __table_args__ = (one_of("state", ("draft", "placed", "received", "cancelled")),)

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    supplier_code: str = Field(foreign_key="supplier.code", index=True)
    state: str = Field(default="draft", index=True)
    reference: str = ""
    due: date | None = None
    drafted_in: int = Field(foreign_key="entry.id", index=True)
    placed_in: int | None = Field(default=None, foreign_key="entry.id", index=True)
    closed_in: int | None = Field(default=None, foreign_key="entry.id", index=True)


class PurchaseLine(SQLModel, table=True):
    """Sticks of a profile on an order; none where the line was struck out."""

    __table_args__ = (
        CheckConstraint("sticks >= 0", name="sticks_not_negative"),
        CheckConstraint("stick_length_um > 0", name="length_positive"),
        Index("uq_purchaseline_profile", "purchase_id", "profile_code", unique=True),
    )

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    purchase_id: int = Field(foreign_key="purchase.id")
    profile_code: str = Field(foreign_key="profile.code")
    sticks: int
    stick_length_um: int
    price_minor: int | None = None
    why: str = ""


class Receipt(SQLModel, table=True):
    """A piece that came for a line of an order; lifted where its receiving was undone."""

    piece_id: int = Field(primary_key=True, foreign_key="piece.id",
                          sa_column_kwargs={"autoincrement": False})  # fmt: skip
    line_id: int = Field(foreign_key="purchaseline.id", index=True)
    received_in: int = Field(foreign_key="entry.id", index=True)
    lifted_in: int | None = Field(default=None, foreign_key="entry.id", index=True)
    price_minor: int | None = None


class Plan(SQLModel, table=True):
    """A plan of cuts, drafted and perhaps accepted, with the problem it answers."""

    __table_args__ = (one_of("state", ("drafted", "accepted", "finished", "dropped")),)

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    made_at: datetime = Field(sa_type=UtcTime)
    day: date
    who: str
    state: str = Field(default="drafted", index=True)
    until: date
    problem: str = Field(sa_type=Text)
    answer: str = Field(sa_type=Text)
    choices: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    accepted_in: int | None = Field(default=None, foreign_key="entry.id", index=True)
    closed_in: int | None = Field(default=None, foreign_key="entry.id", index=True)


class PlanPiece(SQLModel, table=True):
    """A piece that an accepted plan holds until it is settled: cut, or let go."""

    __table_args__ = (
        Index("uq_planpiece_held", "piece_id", unique=True, sqlite_where=HELD,
              postgresql_where=HELD),
    )  # fmt: skip

    plan_id: int = Field(primary_key=True, foreign_key="plan.id")
    piece_id: int = Field(primary_key=True, foreign_key="piece.id")
    position: int
    held_in: int = Field(foreign_key="entry.id", index=True)
    settled_in: int | None = Field(default=None, foreign_key="entry.id", index=True)


class PlanRail(SQLModel, table=True):
    """A rail that an accepted plan takes from a piece; held until cut, miscut or let go."""

    __table_args__ = (
        Index("uq_planrail_held", "frame_id", "rail", unique=True,
              sqlite_where=HELD, postgresql_where=HELD),
        Index("ix_planrail_plan_id_piece_id", "plan_id", "piece_id"),
    )  # fmt: skip

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    plan_id: int = Field(foreign_key="plan.id")
    piece_id: int = Field(foreign_key="piece.id", index=True)
    stretch: int
    position: int
    frame_id: int = Field(foreign_key="frame.id")
    rail: int
    length_um: int
    held_in: int = Field(foreign_key="entry.id", index=True)
    settled_in: int | None = Field(default=None, foreign_key="entry.id", index=True)

"""Orders to suppliers as tables: what was asked for, and which pieces came of it.

How much of a line has come is folded from its receipts; nothing here is a balance.
"""

from datetime import date

from sqlalchemy import CheckConstraint, Index
from sqlmodel import Field, SQLModel

from stockroom.record.columns import one_of

__all__ = ["Purchase", "PurchaseLine", "Receipt"]


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

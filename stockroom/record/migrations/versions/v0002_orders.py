"""Orders as things, the terms of suppliers, boxes, and profiles that are sold no more."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0002", "0001"
branch_labels = depends_on = None

SUBJECTS = "what IN ('piece', 'job', 'plan', 'order', 'profile', 'shop')"


def upgrade() -> None:
    """Orders, their lines and receipts; terms of suppliers; entries may be about an order"""
    op.create_table(
        "purchase",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("supplier_code", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("reference", sa.String(), nullable=False),
        sa.Column("due", sa.Date(), nullable=True),
        sa.Column("drafted_in", sa.Integer(), nullable=False),
        sa.Column("placed_in", sa.Integer(), nullable=True),
        sa.Column("closed_in", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "state IN ('draft', 'placed', 'received', 'cancelled')",
            name=op.f("ck_purchase_state_known"),
        ),
        sa.ForeignKeyConstraint(["closed_in"], ["entry.id"], name=op.f("fk_purchase_closed_in")),
        sa.ForeignKeyConstraint(["drafted_in"], ["entry.id"], name=op.f("fk_purchase_drafted_in")),
        sa.ForeignKeyConstraint(["placed_in"], ["entry.id"], name=op.f("fk_purchase_placed_in")),
        sa.ForeignKeyConstraint(
            ["supplier_code"], ["supplier.code"], name=op.f("fk_purchase_supplier_code")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purchase")),
    )
    with op.batch_alter_table("purchase", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_purchase_closed_in"), ["closed_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_purchase_drafted_in"), ["drafted_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_purchase_placed_in"), ["placed_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_purchase_state"), ["state"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_purchase_supplier_code"), ["supplier_code"], unique=False
        )

    op.create_table(
        "purchaseline",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("purchase_id", sa.Integer(), nullable=False),
        sa.Column("profile_code", sa.String(), nullable=False),
        sa.Column("sticks", sa.Integer(), nullable=False),
        sa.Column("stick_length_um", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=True),
        sa.Column("why", sa.String(), nullable=False),
        sa.CheckConstraint("stick_length_um > 0", name=op.f("ck_purchaseline_length_positive")),
        sa.CheckConstraint("sticks >= 0", name=op.f("ck_purchaseline_sticks_not_negative")),
        sa.ForeignKeyConstraint(
            ["profile_code"], ["profile.code"], name=op.f("fk_purchaseline_profile_code")
        ),
        sa.ForeignKeyConstraint(
            ["purchase_id"], ["purchase.id"], name=op.f("fk_purchaseline_purchase_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purchaseline")),
    )
    with op.batch_alter_table("purchaseline", schema=None) as batch_op:
        batch_op.create_index(
            "uq_purchaseline_profile", ["purchase_id", "profile_code"], unique=True
        )

    op.create_table(
        "receipt",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=False),
        sa.Column("received_in", sa.Integer(), nullable=False),
        sa.Column("lifted_in", sa.Integer(), nullable=True),
        sa.Column("price_minor", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["lifted_in"], ["entry.id"], name=op.f("fk_receipt_lifted_in")),
        sa.ForeignKeyConstraint(["line_id"], ["purchaseline.id"], name=op.f("fk_receipt_line_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_receipt_piece_id")),
        sa.ForeignKeyConstraint(["received_in"], ["entry.id"], name=op.f("fk_receipt_received_in")),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_receipt")),
    )
    with op.batch_alter_table("receipt", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_receipt_lifted_in"), ["lifted_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_receipt_line_id"), ["line_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_receipt_received_in"), ["received_in"], unique=False)

    with op.batch_alter_table("profile", schema=None) as batch_op:
        batch_op.add_column(sa.Column("box_sticks", sa.Integer(), nullable=True))
        batch_op.add_column(
            sa.Column("discontinued", sa.Boolean(), nullable=False, server_default=sa.false())
        )

    with op.batch_alter_table("supplier", schema=None) as batch_op:
        batch_op.add_column(sa.Column("lead_days", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("delivery_day", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("order_minimum_minor", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("carriage_minor", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("free_carriage_minor", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("cut_percent", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("cut_fee_minor", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("cut_minimum_minor", sa.Integer(), nullable=True))

    with op.batch_alter_table("touch") as batch_op:
        batch_op.drop_constraint(op.f("ck_touch_what_known"), type_="check")
        batch_op.create_check_constraint(op.f("ck_touch_what_known"), SUBJECTS)

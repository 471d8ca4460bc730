"""The last day of orders of a profile that its supplier gives up, and how many sticks are left."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0003", "0002"
branch_labels = depends_on = None


def upgrade() -> None:
    """Profiles know their end"""
    with op.batch_alter_table("profile", schema=None) as batch_op:
        batch_op.add_column(sa.Column("last_order", sa.Date(), nullable=True))
        batch_op.add_column(sa.Column("last_sticks", sa.Integer(), nullable=True))

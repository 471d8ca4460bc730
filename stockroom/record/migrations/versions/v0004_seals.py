"""Entries carry a seal and the key of the command that made them; sums of the other tables."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0004", "0003"
branch_labels = depends_on = None


def upgrade() -> None:
    """Entries carry seals and keys"""
    op.create_table(
        "seal",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_seal")),
    )
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.add_column(sa.Column("seal", sa.String(), nullable=True))
        batch_op.add_column(sa.Column("key", sa.String(), nullable=True))
        batch_op.create_index("uq_entry_key", ["key"], unique=True)

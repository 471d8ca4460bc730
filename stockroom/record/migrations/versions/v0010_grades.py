"""Pieces may be bowed, seconds, a customer's own, or have their first motif measured.
Profiles may have an ornament that repeats; jobs may take seconds or their customer's own."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0010", "0009"
branch_labels = depends_on = None


def upgrade() -> None:
    """Columns that the rows of before know nothing of."""
    for name in ("longest_um", "motif_um"):
        op.add_column("piece", sa.Column(name, sa.Integer(), nullable=True))
    for name in ("grade", "owner"):
        op.add_column("piece", sa.Column(name, sa.String(), nullable=False, server_default=""))
    op.add_column("profile", sa.Column("repeat_um", sa.Integer(), nullable=True))
    op.add_column("job", sa.Column("takes", sa.String(), nullable=False, server_default=""))

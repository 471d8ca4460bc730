"""Profiles may cost less a stick where many are bought together."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0011", "0010"
branch_labels = depends_on = None


def upgrade() -> None:
    """A column that the rows of before know nothing of."""
    op.add_column("profile", sa.Column("price_breaks", sa.String(), nullable=True))

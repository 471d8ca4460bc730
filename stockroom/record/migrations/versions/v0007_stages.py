"""Jobs keep their customer's phone, and how far they are after they are cut."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0007", "0006"
branch_labels = depends_on = None


def upgrade() -> None:
    """Jobs get their columns."""
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.add_column(sa.Column("phone", sa.String(), nullable=False, server_default=""))
        batch_op.add_column(sa.Column("stage", sa.String(), nullable=False, server_default=""))
        batch_op.create_check_constraint(
            "stage_known", "stage IN ('', 'joined', 'fitted', 'ready', 'collected')"
        )
    staged = sa.text("stage <> ''")
    op.create_index("ix_job_staged", "job", ["taken_in"], sqlite_where=staged,
                    postgresql_where=staged)  # fmt: skip

"""Jobs may be of several mouldings, of other shapes, and match one another.
Profiles may say what a frame that waits costs."""

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0009", "0008"
branch_labels = depends_on = None


def upgrade() -> None:
    """Jobs, frames and profiles get their columns; frames of one number are told apart by layer."""
    op.add_column("job", sa.Column("layers", sa.JSON(), nullable=True))
    op.add_column("profile", sa.Column("wait_cost", sa.String(), nullable=True))
    op.add_column("frame", sa.Column("layer", sa.Integer(), nullable=False, server_default="0"))
    # SQLite adds such a column in place, where alembic would write the whole table anew.
    op.execute("ALTER TABLE frame ADD COLUMN profile_code VARCHAR "
               "CONSTRAINT fk_frame_profile_code REFERENCES profile (code)")  # fmt: skip
    op.drop_index("uq_frame_job_id_number", "frame")
    op.create_index("ix_frame_job_id", "frame", ["job_id"])
    standing = sa.text("dropped_in IS NULL")
    op.create_index("uq_frame_job_id_number_layer", "frame", ["job_id", "number", "layer"],
                    unique=True, sqlite_where=standing, postgresql_where=standing)  # fmt: skip
    layered = sa.text("profile_code IS NOT NULL")
    op.create_index("ix_frame_profile_code", "frame", ["profile_code"], sqlite_where=layered,
                    postgresql_where=layered)  # fmt: skip
    sets_of_jobs()
    other_sticks()


def sets_of_jobs() -> None:
    """A job may be of one set with another."""
    op.add_column("job", sa.Column("match_job", sa.Integer(), nullable=True))
    matched = sa.text("match_job IS NOT NULL")
    op.create_index("ix_job_match_job", "job", ["match_job"], sqlite_where=matched,
                    postgresql_where=matched)  # fmt: skip


def other_sticks() -> None:
    """Jobs have a shape, lengths and a batch to match; a profile may be plain."""
    for name in ("shape", "match_batch"):
        op.add_column("job", sa.Column(name, sa.String(), nullable=False, server_default=""))
    op.add_column("job", sa.Column("lengths_um", sa.JSON(), nullable=True))
    op.add_column("frame", sa.Column("rails_um", sa.JSON(), nullable=True))
    with op.batch_alter_table("profile", schema=None) as batch_op:
        batch_op.drop_constraint(op.f("ck_profile_kind_known"), type_="check")
        batch_op.create_check_constraint("kind_known", "kind IN ('rabbeted', 'float', 'plain')")

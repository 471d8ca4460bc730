"""The first record: catalogue, ledger, jobs, plans"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """The first record: catalogue, ledger, jobs, plans"""
    op.create_table(
        "entry",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("reverses", sa.Integer(), nullable=True),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["reverses"], ["entry.id"], name=op.f("fk_entry_reverses")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
    )
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_entry_day"), ["day"], unique=False)
        batch_op.create_index("uq_entry_reverses", ["reverses"], unique=True)

    op.create_table(
        "setting",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
    )
    op.create_table(
        "supplier",
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_supplier")),
    )
    op.create_table(
        "plan",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("until", sa.Date(), nullable=False),
        sa.Column("problem", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("accepted_in", sa.Integer(), nullable=True),
        sa.Column("closed_in", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "state IN ('drafted', 'accepted', 'finished', 'dropped')",
            name=op.f("ck_plan_state_known"),
        ),
        sa.ForeignKeyConstraint(["accepted_in"], ["entry.id"], name=op.f("fk_plan_accepted_in")),
        sa.ForeignKeyConstraint(["closed_in"], ["entry.id"], name=op.f("fk_plan_closed_in")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan")),
    )
    with op.batch_alter_table("plan", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_plan_accepted_in"), ["accepted_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_plan_closed_in"), ["closed_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_plan_state"), ["state"], unique=False)

    op.create_table(
        "profile",
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("supplier_code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("face_um", sa.Integer(), nullable=False),
        sa.Column("rabbet_width_um", sa.Integer(), nullable=True),
        sa.Column("rabbet_depth_um", sa.Integer(), nullable=True),
        sa.Column("wall_um", sa.Integer(), nullable=True),
        sa.Column("recess_depth_um", sa.Integer(), nullable=True),
        sa.Column("height_um", sa.Integer(), nullable=True),
        sa.Column("stick_length_um", sa.Integer(), nullable=False),
        sa.Column("stick_price_minor", sa.Integer(), nullable=True),
        sa.Column("metre_price_minor", sa.Integer(), nullable=True),
        sa.Column("batch_matched", sa.Boolean(), nullable=False),
        sa.Column("keep_um", sa.Integer(), nullable=False),
        sa.Column("end_trim_um", sa.Integer(), nullable=False),
        sa.Column("minimum_sticks", sa.Integer(), nullable=False),
        sa.Column("species", sa.String(), nullable=False),
        sa.CheckConstraint("kind IN ('rabbeted', 'float')", name=op.f("ck_profile_kind_known")),
        sa.CheckConstraint("face_um > 0", name=op.f("ck_profile_face_positive")),
        sa.CheckConstraint(
            "keep_um >= 0 AND end_trim_um >= 0", name=op.f("ck_profile_keep_and_trim_not_negative")
        ),
        sa.CheckConstraint("minimum_sticks >= 0", name=op.f("ck_profile_minimum_not_negative")),
        sa.CheckConstraint(
            "stick_length_um > 2 * end_trim_um", name=op.f("ck_profile_stick_longer_than_trims")
        ),
        sa.ForeignKeyConstraint(
            ["supplier_code"], ["supplier.code"], name=op.f("fk_profile_supplier_code")
        ),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_profile")),
    )
    with op.batch_alter_table("profile", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_profile_supplier_code"), ["supplier_code"], unique=False
        )

    op.create_table(
        "touch",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("which", sa.String(), nullable=False),
        sa.CheckConstraint(
            "what IN ('piece', 'job', 'plan', 'profile', 'shop')", name=op.f("ck_touch_what_known")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_touch_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "what", "which", name=op.f("pk_touch")),
    )
    with op.batch_alter_table("touch", schema=None) as batch_op:
        batch_op.create_index("ix_touch_what_which", ["what", "which"], unique=False)

    op.create_table(
        "batch",
        sa.Column("profile_code", sa.String(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["profile_code"], ["profile.code"], name=op.f("fk_batch_profile_code")
        ),
        sa.PrimaryKeyConstraint("profile_code", "code", name=op.f("pk_batch")),
    )
    op.create_table(
        "job",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("customer", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("profile_code", sa.String(), nullable=False),
        sa.Column("widths_um", sa.JSON(), nullable=False),
        sa.Column("heights_um", sa.JSON(), nullable=False),
        sa.Column("depth_um", sa.Integer(), nullable=True),
        sa.Column("gap_um", sa.Integer(), nullable=True),
        sa.Column("allowance_um", sa.Integer(), nullable=True),
        sa.Column("mat_um", sa.JSON(), nullable=True),
        sa.Column("mat_overlap_um", sa.Integer(), nullable=True),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("one_batch", sa.Boolean(), nullable=False),
        sa.Column("one_piece", sa.Boolean(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("taken_in", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "state IN ('open', 'held', 'cancelled')", name=op.f("ck_job_state_known")
        ),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_job_quantity_positive")),
        sa.ForeignKeyConstraint(
            ["profile_code"], ["profile.code"], name=op.f("fk_job_profile_code")
        ),
        sa.ForeignKeyConstraint(["taken_in"], ["entry.id"], name=op.f("fk_job_taken_in")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_profile_code"), ["profile_code"], unique=False)
        batch_op.create_index("ix_job_state_due", ["state", "due"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_taken_in"), ["taken_in"], unique=False)

    op.create_table(
        "piece",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("profile_code", sa.String(), nullable=False),
        sa.Column("batch_code", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("parent_id", sa.Integer(), nullable=True),
        sa.Column("came_in", sa.Integer(), nullable=False),
        sa.Column("left_in", sa.Integer(), nullable=True),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("kind IN ('stick', 'offcut')", name=op.f("ck_piece_kind_known")),
        sa.ForeignKeyConstraint(["came_in"], ["entry.id"], name=op.f("fk_piece_came_in")),
        sa.ForeignKeyConstraint(["left_in"], ["entry.id"], name=op.f("fk_piece_left_in")),
        sa.ForeignKeyConstraint(["parent_id"], ["piece.id"], name=op.f("fk_piece_parent_id")),
        sa.ForeignKeyConstraint(
            ["profile_code"], ["profile.code"], name=op.f("fk_piece_profile_code")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_piece")),
    )
    with op.batch_alter_table("piece", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_piece_came_in"), ["came_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_piece_left_in"), ["left_in"], unique=False)
        batch_op.create_index(
            "ix_piece_open",
            ["profile_code"],
            unique=False,
            sqlite_where=sa.text("left_in IS NULL"),
            postgresql_where=sa.text("left_in IS NULL"),
        )
        batch_op.create_index(batch_op.f("ix_piece_parent_id"), ["parent_id"], unique=False)

    op.create_table(
        "flaw",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("start_um", sa.Integer(), nullable=False),
        sa.Column("end_um", sa.Integer(), nullable=False),
        sa.Column("marked_in", sa.Integer(), nullable=False),
        sa.Column("lifted_in", sa.Integer(), nullable=True),
        sa.CheckConstraint("0 <= start_um AND start_um < end_um", name=op.f("ck_flaw_ordered")),
        sa.ForeignKeyConstraint(["lifted_in"], ["entry.id"], name=op.f("fk_flaw_lifted_in")),
        sa.ForeignKeyConstraint(["marked_in"], ["entry.id"], name=op.f("fk_flaw_marked_in")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_flaw_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_flaw")),
    )
    with op.batch_alter_table("flaw", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_flaw_lifted_in"), ["lifted_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_flaw_marked_in"), ["marked_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_flaw_piece_id"), ["piece_id"], unique=False)

    op.create_table(
        "frame",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("across_um", sa.Integer(), nullable=False),
        sa.Column("upright_um", sa.Integer(), nullable=False),
        sa.Column("done_in", sa.Integer(), nullable=True),
        sa.Column("dropped_in", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "across_um > 0 AND upright_um > 0", name=op.f("ck_frame_rails_positive")
        ),
        sa.ForeignKeyConstraint(["done_in"], ["entry.id"], name=op.f("fk_frame_done_in")),
        sa.ForeignKeyConstraint(["dropped_in"], ["entry.id"], name=op.f("fk_frame_dropped_in")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_frame_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame")),
    )
    with op.batch_alter_table("frame", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_frame_done_in"), ["done_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_frame_dropped_in"), ["dropped_in"], unique=False)
        batch_op.create_index("uq_frame_job_id_number", ["job_id", "number"], unique=True)

    op.create_table(
        "move",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("spot", sa.String(), nullable=False),
        sa.Column("moved_in", sa.Integer(), nullable=False),
        sa.Column("lifted_in", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["lifted_in"], ["entry.id"], name=op.f("fk_move_lifted_in")),
        sa.ForeignKeyConstraint(["moved_in"], ["entry.id"], name=op.f("fk_move_moved_in")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_move_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_move")),
    )
    with op.batch_alter_table("move", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_move_lifted_in"), ["lifted_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_move_moved_in"), ["moved_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_move_piece_id"), ["piece_id"], unique=False)

    op.create_table(
        "planpiece",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("held_in", sa.Integer(), nullable=False),
        sa.Column("settled_in", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["held_in"], ["entry.id"], name=op.f("fk_planpiece_held_in")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_planpiece_piece_id")),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name=op.f("fk_planpiece_plan_id")),
        sa.ForeignKeyConstraint(["settled_in"], ["entry.id"], name=op.f("fk_planpiece_settled_in")),
        sa.PrimaryKeyConstraint("plan_id", "piece_id", name=op.f("pk_planpiece")),
    )
    with op.batch_alter_table("planpiece", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_planpiece_held_in"), ["held_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_planpiece_settled_in"), ["settled_in"], unique=False)
        batch_op.create_index(
            "uq_planpiece_held",
            ["piece_id"],
            unique=True,
            sqlite_where=sa.text("settled_in IS NULL"),
            postgresql_where=sa.text("settled_in IS NULL"),
        )

    op.create_table(
        "line",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("cause", sa.String(), nullable=False),
        sa.Column("profile_code", sa.String(), nullable=False),
        sa.Column("batch_code", sa.String(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("frame_id", sa.Integer(), nullable=True),
        sa.Column("rail", sa.Integer(), nullable=True),
        sa.Column("length_um", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "(place = 'rack') = (piece_id IS NOT NULL)", name=op.f("ck_line_rack_names_a_piece")
        ),
        sa.CheckConstraint(
            "(place = 'rails') = (frame_id IS NOT NULL AND rail IS NOT NULL)",
            name=op.f("ck_line_rails_name_a_frame"),
        ),
        sa.CheckConstraint(
            "place IN ('supplier', 'rack', 'rails', 'saw', 'scrap', 'found', "
            "'missing', 'returned')",
            name=op.f("ck_line_place_known"),
        ),
        sa.CheckConstraint("length_um <> 0", name=op.f("ck_line_length_not_zero")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_line_entry_id")),
        sa.ForeignKeyConstraint(["frame_id"], ["frame.id"], name=op.f("fk_line_frame_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_line_piece_id")),
        sa.ForeignKeyConstraint(
            ["profile_code"], ["profile.code"], name=op.f("fk_line_profile_code")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_line")),
    )
    with op.batch_alter_table("line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_line_entry_id"), ["entry_id"], unique=False)
        batch_op.create_index("ix_line_frame_id_rail", ["frame_id", "rail"], unique=False)
        batch_op.create_index(batch_op.f("ix_line_piece_id"), ["piece_id"], unique=False)

    op.create_table(
        "planrail",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("stretch", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("frame_id", sa.Integer(), nullable=False),
        sa.Column("rail", sa.Integer(), nullable=False),
        sa.Column("length_um", sa.Integer(), nullable=False),
        sa.Column("held_in", sa.Integer(), nullable=False),
        sa.Column("settled_in", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["frame_id"], ["frame.id"], name=op.f("fk_planrail_frame_id")),
        sa.ForeignKeyConstraint(["held_in"], ["entry.id"], name=op.f("fk_planrail_held_in")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_planrail_piece_id")),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name=op.f("fk_planrail_plan_id")),
        sa.ForeignKeyConstraint(["settled_in"], ["entry.id"], name=op.f("fk_planrail_settled_in")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planrail")),
    )
    with op.batch_alter_table("planrail", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_planrail_held_in"), ["held_in"], unique=False)
        batch_op.create_index(batch_op.f("ix_planrail_piece_id"), ["piece_id"], unique=False)
        batch_op.create_index("ix_planrail_plan_id_piece_id", ["plan_id", "piece_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_planrail_settled_in"), ["settled_in"], unique=False)
        batch_op.create_index(
            "uq_planrail_held",
            ["frame_id", "rail"],
            unique=True,
            sqlite_where=sa.text("settled_in IS NULL"),
            postgresql_where=sa.text("settled_in IS NULL"),
        )

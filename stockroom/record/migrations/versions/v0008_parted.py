"""Length may leave the shop outside any plan: sold, as a sample, as a gift."""

from alembic import op

revision, down_revision = "0008", "0007"
branch_labels = depends_on = None


def upgrade() -> None:
    """Lines get the places that such lengths go to."""
    with op.batch_alter_table("line", schema=None) as batch_op:
        batch_op.drop_constraint(op.f("ck_line_place_known"), type_="check")
        batch_op.create_check_constraint(
            "place_known",
            "place IN ('supplier', 'rack', 'rails', 'saw', 'scrap', 'found', 'missing', "
            "'returned', 'sold', 'sample', 'gift')",
        )

"""Profiles go to machines, jobs may have days at the bench, lengths are set in steps."""

import json

import sqlalchemy as sa
from alembic import op

revision, down_revision = "0006", "0005"
branch_labels = depends_on = None

STEPS = {"16": "1/16 in", "32": "1/32 in", "64": "1/64 in"}


def upgrade() -> None:
    """Profiles and jobs get their columns; the settings are put as they are spelt now."""
    with op.batch_alter_table("profile", schema=None) as batch_op:
        batch_op.add_column(sa.Column("machine", sa.String(), nullable=False, server_default=""))
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.add_column(sa.Column("bench_days", sa.Integer(), nullable=True))
    put_settings(op.get_bind())


def put_settings(connection: sa.Connection) -> None:
    """The part that inches were printed to is the step; what held rails clear is the shortest.

    Machines that are not in use were lists of cutter, kerf and clean-up.
    """
    setting = sa.table("setting", sa.column("name", sa.String), sa.column("value", sa.String))
    kept = {row.name: row.value for row in connection.execute(sa.select(setting))}
    new = {}
    if "fraction" in kept:
        new["step"] = STEPS.get(kept["fraction"], "") if kept.get("unit", "in") == "in" else ""
    if "hold_clear_um" in kept:
        new["shortest_um"] = kept["hold_clear_um"]
    if "machines" in kept:
        shortest = int(kept.get("hold_clear_um", 150_000))
        new["machines"] = json.dumps({
            name: {"cutter": cutter, "kerf_um": kerf, "clean_up_um": clean_up,
                   "stop": "long point", "shortest_um": shortest, "widest_um": None,
                   "tallest_um": None}
            for name, (cutter, kerf, clean_up) in json.loads(kept["machines"]).items()
        }, sort_keys=True)  # fmt: skip
    gone = ("fraction", "hold_clear_um", *new)
    connection.execute(sa.delete(setting).where(setting.c.name.in_(gone)))
    if new:
        rows = [{"name": name, "value": value} for name, value in new.items()]
        connection.execute(sa.insert(setting), rows)

"""Run by Alembic: brings the connection it is handed to the newest schema."""

from alembic import context
from sqlmodel import SQLModel

import stockroom.record.order_tables
import stockroom.record.seal
import stockroom.record.tables  # noqa: F401  (all fill the metadata)

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
)
context.run_migrations()

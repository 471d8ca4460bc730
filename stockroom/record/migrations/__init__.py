"""The record's schema, version by version, as Alembic runs it."""

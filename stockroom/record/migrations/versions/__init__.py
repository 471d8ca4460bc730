"""One module a version of the schema."""

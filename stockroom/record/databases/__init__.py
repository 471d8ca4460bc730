"""The kinds of database that a record may be in, each in a module of its own."""

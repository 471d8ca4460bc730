"""Statements are compiled once for all the databases of a kind that the tests open.

A command opens an engine of its own, as it does in a shop, and an engine begins with no compiled
statement: a third of the time of the tests of commands went there. What a statement becomes
depends on the kind of database alone, since all of a run have the same version.
"""

from typing import Any

from sqlalchemy import Engine
from sqlalchemy.engine.default import DefaultDialect
from sqlalchemy.util import LRUCache

STATEMENTS = 4_000
COMPILED: dict[type, LRUCache[Any, Any]] = {}


def share() -> None:
    """From now on, engines of one kind share what they compiled."""
    opens = Engine.__init__

    def shared(self: Engine, pool: Any, dialect: Any, url: Any, **options: Any) -> None:
        opens(self, pool, dialect, url, **options)
        cache = COMPILED.setdefault(type(dialect), LRUCache(STATEMENTS))
        self.update_execution_options(compiled_cache=cache)

    Engine.__init__ = shared  # type: ignore[method-assign, assignment]
    # The cache's keys name the dialect: two of a kind are one.
    DefaultDialect.__hash__ = lambda self: hash(type(self))  # type: ignore[method-assign]
    DefaultDialect.__eq__ = lambda self, other: type(self) is type(other)  # type: ignore[method-assign]

"""Linear algebra in one thread: as many plans as cores share them best, and sums come out alike.

The only module of the planner that has threadpoolctl.
"""

from contextlib import AbstractContextManager
from functools import cache
from typing import Any

__all__ = ["one_thread"]


@cache
def _controller() -> Any:
    import numpy  # noqa: F401  (its library has to be there to be told)
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


def one_thread() -> AbstractContextManager[Any]:
    """While this lasts numpy's linear algebra runs in one thread, whatever the machine has."""
    limited: AbstractContextManager[Any] = _controller().limit(limits=1, user_api="blas")
    return limited

"""Learning on one thread: its steps are too small to be worth sharing out."""

from contextlib import AbstractContextManager
from importlib import import_module
from typing import Any

__all__ = ["one_thread"]

# A limit reaches only the thread pools that are there when it is set.
_WITH_POOLS = ("scipy.optimize", "sklearn.cluster", "sklearn.linear_model")


def one_thread() -> AbstractContextManager[Any]:
    """Context within which numerical libraries use one thread.

    Notes
    -----
    On a busy machine threads that wait for each other made small fits seven times slower, and sums shared out
    among threads are not added up in the same order each time.
    """
    for name in _WITH_POOLS:
        import_module(name)
    limits: AbstractContextManager[Any] = import_module("threadpoolctl").threadpool_limits(limits=1)
    return limits

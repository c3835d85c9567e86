"""Numerical work on one thread: the steps of a fit are too small to be worth sharing out."""

from contextlib import AbstractContextManager
from functools import cache
from importlib import import_module
from typing import Any

__all__ = ["one_thread"]


def one_thread(*libraries: str) -> AbstractContextManager[Any]:
    """Context within which numerical libraries use one thread.

    Parameters
    ----------
    *libraries : str
        Modules that bring thread pools of their own, loaded first: a limit reaches only the pools that are there.
        Without any, the pools of the first call are meant, numpy's above all.

    Returns
    -------
    context manager
        Sets the earlier number of threads again at its end.

    Notes
    -----
    Threads that wait for each other on a busy machine made small fits seven times slower, and a pass over many lives
    thirty times; sums shared out among threads are not added up in the same order each time either.
    """
    for name in libraries:
        import_module(name)
    limits: AbstractContextManager[Any] = (_pools_now() if libraries else _first_pools()).limit(limits=1)
    return limits


def _pools_now() -> Any:
    """The thread pools that are there; to look for them takes as long as a pass over 50,000 lives."""
    return import_module("threadpoolctl").ThreadpoolController()


_first_pools = cache(_pools_now)

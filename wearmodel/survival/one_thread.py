"""Matrix products on one thread: those of a fit are too small to be worth sharing out."""

from contextlib import AbstractContextManager
from functools import cache
from typing import Any

from threadpoolctl import ThreadpoolController

__all__ = ["one_thread"]


def one_thread() -> AbstractContextManager[Any]:
    """Context within which numpy multiplies matrices on one thread.

    Returns
    -------
    context manager
        Sets the earlier number of threads again at its end.

    Notes
    -----
    Threads that wait for each other on a busy machine make a pass over the lives thirty times slower; with one thread
    lives can be cut into blocks of any length. Sums shared out are not added up in the same order each time either.
    """
    limits: AbstractContextManager[Any] = _controller().limit(limits=1)
    return limits


@cache
def _controller() -> ThreadpoolController:
    """The thread pools that are there; to look for them takes as long as a pass over 50,000 lives."""
    return ThreadpoolController()

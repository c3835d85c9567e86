"""Work shared out among processes of one machine; what comes of it does not depend on how many they are.

Each piece of work is the same computation wherever it runs, and results come back in the order of the pieces. The
processes are forks of this one: they see its tables without a copy, and send back results alone. Where a system cannot
fork, all work is done here. A process that is killed, for want of memory say, leaves its pieces to this one.
"""

import gc
import os
import struct
import sys
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

__all__ = ["available_cores", "each", "on_workers"]

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")

#: Processes that work may be shared out among, here: 1 unless somebody says otherwise.
_workers: ContextVar[int] = ContextVar("_workers", default=1)
_NUMBER = struct.Struct("=i")
#: Numbers of pieces go through a pipe, which holds 65,536 bytes at least on systems that fork.
_MOST_PIECES = 16_000


def available_cores() -> int:
    """Cores this process may use, 1 or more."""
    allowed = getattr(os, "sched_getaffinity", None)
    return max(len(allowed(0)) if allowed else os.cpu_count() or 1, 1)


@contextmanager
def on_workers(count: int) -> Iterator[None]:
    """Context within which `each` shares work out.

    Parameters
    ----------
    count : int
        Processes, this one among them; 1 for this one alone.
    """
    token = _workers.set(count)
    try:
        yield
    finally:
        _workers.reset(token)


def each(
    function: Callable[[_Item], _Result], items: Sequence[_Item], *, sizes: Sequence[float] | None = None
) -> list[_Result]:
    """Results of a function for each item.

    Parameters
    ----------
    function : callable
        Changes nothing but what it returns; the result can be sent between processes.
    items : sequence
        What it is called with.
    sizes : sequence of float, optional
        How much work each item is, roughly: the largest are begun first.

    Returns
    -------
    list
        In the order of the items, equal for any number of processes.

    Raises
    ------
    Exception
        What the function raised for the first item for which it did.

    Notes
    -----
    Within a piece of shared work nothing is shared out further. macOS can fork, but its own libraries do not outlive it
    safely; Windows cannot.
    """
    count = min(_workers.get(), len(items))
    if count < 2 or sys.platform != "linux" or len(items) > _MOST_PIECES:
        return [function(item) for item in items]
    order = sorted(range(len(items)), key=lambda i: -sizes[i]) if sizes is not None else list(range(len(items)))
    found: dict[int, tuple[bool, Any]] = {}
    queue, feed = os.pipe()
    try:
        os.write(feed, b"".join(map(_NUMBER.pack, order)))
        os.close(feed)
        children = [_forked(function, items, queue) for _ in range(count - 1)]
        try:
            found.update(_worked_off(function, items, queue))
        finally:
            for child in children:
                found.update(_received(child))
    finally:
        os.close(queue)
    # What a killed process had taken on.
    for i in range(len(items)):
        if i not in found:
            found[i] = _attempt(function, items[i])
    for i in range(len(items)):
        done, result = found[i]
        if not done:
            raise result
    return [found[i][1] for i in range(len(items))]


def _attempt(function: Callable[[_Item], _Result], item: _Item) -> tuple[bool, Any]:
    """Whether the function did its work, and its result or what it raised."""
    try:
        return True, function(item)
    except Exception as error:
        return False, error


def _worked_off(
    function: Callable[[_Item], _Result], items: Sequence[_Item], queue: int
) -> dict[int, tuple[bool, Any]]:
    """Results of the items whose numbers this process took from the queue."""
    found = {}
    with on_workers(1):
        while number := os.read(queue, _NUMBER.size):
            (i,) = _NUMBER.unpack(number)
            found[i] = _attempt(function, items[i])
    return found


def _forked(
    function: Callable[[_Item], _Result], items: Sequence[_Item], queue: int
) -> tuple[int, "Connection[Any, Any]"]:
    """A process that works with this one, and where its results come from."""
    from multiprocessing import Pipe

    receives, sends = Pipe(duplex=False)
    sys.stdout.flush()
    sys.stderr.flush()
    # The collector would write to every page it looks at, and make copies of them.
    gc.freeze()
    with warnings.catch_warnings():
        # Threads of numerical libraries hold no lock of ours; they are idle between calls.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child:
        gc.unfreeze()
        sends.close()
        return child, receives
    status = 1
    try:
        receives.close()
        found = _worked_off(function, items, queue)
        while found:
            sends.send(found.popitem())
        status = 0
    except BaseException:  # Nothing may run on in a second copy of this program.
        status = 1
    finally:
        os._exit(status)


def _received(child: tuple[int, "Connection[Any, Any]"]) -> dict[int, tuple[bool, Any]]:
    """Results of a process, once it has ended; none of one that was killed."""
    number, receives = child
    found: dict[int, tuple[bool, Any]] = {}
    try:
        while True:
            i, result = receives.recv()
            found[i] = result
    except (EOFError, OSError):
        return found
    finally:
        receives.close()
        os.waitpid(number, 0)

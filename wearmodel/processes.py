"""Work shared out among processes; what comes of it does not depend on how many they are.

Each piece of work is the same computation wherever it runs, and results come back in the order of the pieces. On one
machine the processes are forks of this one: they see its tables without a copy, and send back results alone. Where a
system cannot fork, all work is done here. A process that is killed, for want of memory say, leaves its pieces to this
one. Elsewhere they are whatever `working_elsewhere` is given, the workers of a cluster (`wearmodel.cluster`).
"""

import gc
import os
import struct
import sys
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

__all__ = [
    "Elsewhere",
    "HeldBlocks",
    "attempt",
    "available_cores",
    "each",
    "each_by_threads",
    "on_workers",
    "working_elsewhere",
]

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")
_Block = TypeVar("_Block")

#: Processes that work may be shared out among, here: 1 unless somebody says otherwise.
_workers: ContextVar[int] = ContextVar("_workers", default=1)
#: Where work is shared out to instead, if anywhere.
_elsewhere: "ContextVar[Elsewhere | None]" = ContextVar("_elsewhere", default=None)
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


class Elsewhere(Protocol):
    """Processes that do not see the tables of this one."""

    @property
    def workers(self) -> int:
        """How many there are."""

    def begin(
        self, function: Callable[[Any], Any], items: Sequence[Any], order: Sequence[int]
    ) -> "Callable[[], dict[int, tuple[bool, Any]]]":
        """Begin on items, the first of the order first.

        Parameters
        ----------
        function : callable
            As in `each`.
        items : sequence
            What it is called with.
        order : sequence of int
            Numbers of the items that are meant.

        Returns
        -------
        callable
            Waits for what `attempt` gave for each, by the number of the item; those that could not be had are missing.
        """

    def hold(self, blocks: Sequence[Any]) -> "Callable[[Callable[..., Any], tuple[Any, ...]], list[Any]]":
        """Lay blocks up where they will be worked on.

        Parameters
        ----------
        blocks : sequence
            As in `HeldBlocks`.

        Returns
        -------
        callable
            From a function and its further arguments to its results for each block, in their order.
        """


@contextmanager
def working_elsewhere(elsewhere: Elsewhere) -> Iterator[None]:
    """Context within which work goes to other processes than forks of this one.

    Parameters
    ----------
    elsewhere : Elsewhere
        Where it goes.
    """
    token = _elsewhere.set(elsewhere)
    try:
        yield
    finally:
        _elsewhere.reset(token)


class HeldBlocks(Generic[_Block]):
    """Blocks of data that many passes go over, kept where they are worked on: a pass sends its parameters alone.

    Parameters
    ----------
    blocks : sequence
        How they are cut does not depend on where they are worked on, so that what is summed over them does not either.
    """

    def __init__(self, blocks: Sequence[_Block]) -> None:
        self._blocks = blocks
        elsewhere = _elsewhere.get()
        self._there = elsewhere.hold(blocks) if elsewhere is not None and len(blocks) > 1 else None

    def __len__(self) -> int:
        return len(self._blocks)

    @property
    def are_here(self) -> bool:
        """Whether this process works on them: what comes of them need not be sent."""
        return self._there is None

    def each(self, function: Callable[..., _Result], *arguments: Any) -> list[_Result]:
        """Results of a function of each block, in their order.

        Parameters
        ----------
        function : callable
            A function of a module; what it leaves in a block may save time but must not change any result, as a block
            can be laid up anew.
        *arguments
            What it is given besides, few and small.

        Returns
        -------
        list
            One entry a block.
        """
        if self._there is None:
            return [function(block, *arguments) for block in self._blocks]
        return self._there(function, arguments)


def each(
    function: Callable[[_Item], _Result],
    items: Sequence[_Item],
    *,
    sizes: Sequence[float] | None = None,
    wide: Callable[[_Item], bool] = lambda item: False,
    near: bool = False,
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
    wide : callable, optional
        Whether an item's own work is shared out far enough (`HeldBlocks`): where that is more than one of several
        workers elsewhere could do, it is begun here.
    near : bool
        So little work beside the size of its tables that it does not go elsewhere.

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
    elsewhere = _elsewhere.get()
    if elsewhere is not None:
        return _each_elsewhere(function, items, sizes, elsewhere, wide) if not near else [function(i) for i in items]
    count = min(_workers.get(), len(items))
    if count < 2 or sys.platform != "linux" or len(items) > _MOST_PIECES:
        return [function(item) for item in items]
    order = _largest_first(len(items), sizes)
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
    return _in_order(function, items, found)


def each_by_threads(
    function: Callable[[_Item], _Result], items: Sequence[_Item], *, threads: int
) -> list[_Result]:
    """Results of a function for each item, whose results are too large to be sent between processes of one machine.

    Parameters
    ----------
    function, items
        As in `each`; elsewhere it goes the same way.
    threads : int
        Items that are worked off side by side here: numpy lets go of the interpreter while it works.

    Returns
    -------
    list
        In the order of the items.
    """
    if _elsewhere.get() is not None:
        return each(function, items)
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(min(threads, len(items))) as pool:
        return list(pool.map(function, items))


def _each_elsewhere(
    function: Callable[[_Item], _Result],
    items: Sequence[_Item],
    sizes: Sequence[float] | None,
    elsewhere: Elsewhere,
    wide: Callable[[_Item], bool],
) -> list[_Result]:
    """Results of items that go to other processes, and of those that share out their own work from here."""
    order = _largest_first(len(items), sizes)
    here = [i for i in order if len(items) == 1 or wide(items[i])]
    wait = elsewhere.begin(function, items, [i for i in order if i not in here])
    found = {i: attempt(function, items[i]) for i in here}
    found.update(wait())
    return _in_order(function, items, found)


def _largest_first(count: int, sizes: Sequence[float] | None) -> list[int]:
    return sorted(range(count), key=lambda i: -sizes[i]) if sizes is not None else list(range(count))


def _in_order(
    function: Callable[[_Item], _Result], items: Sequence[_Item], found: dict[int, tuple[bool, Any]]
) -> list[_Result]:
    """Results in the order of the items; what a killed process had taken on is done here."""
    for i in range(len(items)):
        if i not in found:
            found[i] = attempt(function, items[i])
    for i in range(len(items)):
        done, result = found[i]
        if not done:
            raise result
    return [found[i][1] for i in range(len(items))]


def attempt(function: Callable[[_Item], _Result], item: _Item) -> tuple[bool, Any]:
    """Whether a function did its work, and its result or what it raised.

    Parameters
    ----------
    function : callable
        As in `each`.
    item
        What it is called with.

    Returns
    -------
    tuple of bool and Any
        What can be sent from one process to another.
    """
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
            found[i] = attempt(function, items[i])
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

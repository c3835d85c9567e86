"""Who is at work on a file or folder: locks that the system drops when their process dies, however it dies."""

import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from wearmodel.errors import OutputError

__all__ = ["claim", "turn_to_write"]

_PATIENCE = 600.0
_BETWEEN_LOOKS = 0.1


def claim(handle: int) -> bool | None:
    """Whether an open file or folder is now this process's own.

    Parameters
    ----------
    handle : int
        File descriptor; the claim ends when it is closed.

    Returns
    -------
    bool or None
        False when another process holds it; None where the system knows no such locks (Windows, some network
        drives).
    """
    if sys.platform == "win32":
        return None
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


@contextmanager
def turn_to_write(
    folders: Iterable[Path], *, waiting: Callable[[Path], None], patience: float = _PATIENCE
) -> Iterator[None]:
    """Write results while no other run writes into the same folders.

    Two runs that finish at the same moment would else leave tables of the one beside a workbook of the other.

    Parameters
    ----------
    folders : iterable of Path
        Folders to write into; those that do not exist yet are passed over.
    waiting : callable
        Told the folder when another run holds it.
    patience : float, optional
        Longest wait [s].

    Raises
    ------
    OutputError
        If the other run does not finish.
    """
    # Each folder once and in one order, so that two runs with several folders never wait for each other.
    distinct = {(state.st_dev, state.st_ino, str(path)): path for path in folders if (state := _state(path))}
    seen: set[tuple[int, int]] = set()
    with ExitStack() as held:
        for device, number, name in sorted(distinct):
            if (device, number) not in seen:
                seen.add((device, number))
                held.enter_context(_held(distinct[device, number, name], waiting, patience))
        yield


def _state(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except OSError:
        return None


@contextmanager
def _held(folder: Path, waiting: Callable[[Path], None], patience: float) -> Iterator[None]:
    """One folder held; where it cannot be, every file is still written whole."""
    handle = None
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
    if handle is None:
        yield
        return
    try:
        if claim(handle) is False:
            waiting(folder)
            end = time.monotonic() + patience
            while claim(handle) is False:
                if time.monotonic() > end:
                    raise OutputError(
                        f"Another run of wearmodel is still writing into {folder}; wait until it has finished, then "
                        "run this again."
                    )
                time.sleep(_BETWEEN_LOOKS)
        yield
    finally:
        os.close(handle)

"""The one door through which results are written: a file appears whole or not at all.

What is not finished yet stands beside its target under a name of our own, open to its owner alone. A run that is killed
leaves it behind; the next one that writes into that folder removes it, told from the work of a living run by its lock.
"""

import errno
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from wearmodel.errors import OutputError
from wearmodel.file_locks import claim

__all__ = ["UNFINISHED", "open_elsewhere", "staging_folder", "whole_file", "write_problem"]

UNFINISHED = ".wearmodel-unfinished-"
"""How the names of unfinished files and folders begin."""

_OURS = re.compile(re.escape(UNFINISHED) + r"[a-z0-9_]{8}(\.[A-Za-z0-9]{1,9})?")
_LOCK = "lock"
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Place to write a file that replaces `path` only when the block ends without an error.

    Parameters
    ----------
    path : Path
        Target file; its folder must exist. A file that is replaced hands on who may read it.

    Yields
    ------
    Path
        A temporary file in the same folder, readable by the owner alone until it is complete.

    Raises
    ------
    OutputError
        If the target cannot be written.
    """
    if path.is_dir():
        raise OutputError(f"{path} is a folder, a file name is needed; choose another name.")
    try:
        _remove_leftovers(path.parent)
        handle, temporary = _new_file(path)
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror}; choose another place.") from None
    try:
        yield temporary
        temporary.chmod(_readers(path))
        os.fsync(handle)
        if os.name == "nt":
            # An open file cannot be renamed there.
            os.close(handle)
            handle = -1
        os.replace(temporary, path)
    except OSError as error:
        raise OutputError(write_problem(f"{path} cannot be written", error)) from None
    finally:
        if handle >= 0:
            os.close(handle)
        temporary.unlink(missing_ok=True)


@contextmanager
def staging_folder(parent: Path) -> Iterator[Path]:
    """A folder for unfinished work, open to its owner alone, that is gone when the block ends.

    Parameters
    ----------
    parent : Path
        Where to make it.

    Yields
    ------
    Path
        An empty folder.

    Raises
    ------
    OSError
        If it cannot be made.
    """
    _remove_leftovers(parent)
    handle, outer = _new_folder(parent)
    try:
        inner = outer / "work"
        inner.mkdir(mode=0o700)
        yield inner
    finally:
        os.close(handle)
        shutil.rmtree(outer, ignore_errors=True)


def write_problem(what: str, error: OSError) -> str:
    """Why something could not be written, and what to do.

    Parameters
    ----------
    what : str
        Beginning of the sentence.
    error : OSError
        What the system said.

    Returns
    -------
    str
        One sentence.
    """
    if error.errno in _FULL:
        remedy = "make room there or choose another place; what was there before is unchanged"
    else:
        remedy = "close it where it is open, or choose another place"
    return f"{what}: {error.strerror or error}; {remedy}."


def open_elsewhere(path: Path) -> str:
    """Name of the mark that a spreadsheet program leaves beside a workbook it has open.

    Parameters
    ----------
    path : Path
        The workbook.

    Returns
    -------
    str
        Empty when there is none.
    """
    marks = (f".~lock.{path.name}#", f"~${path.name}")
    return next((mark for mark in marks if os.path.lexists(path.with_name(mark))), "")


def _new_file(path: Path) -> tuple[int, Path]:
    """A new file beside the target, claimed before anybody else can take it for a leftover."""
    while True:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=UNFINISHED, suffix=_suffix(path))
        claim(handle)
        if os.fstat(handle).st_nlink > 0:
            return handle, Path(name)
        os.close(handle)


def _new_folder(parent: Path) -> tuple[int, Path]:
    """A new folder, claimed in the same way."""
    while True:
        outer = Path(tempfile.mkdtemp(dir=parent, prefix=UNFINISHED))
        if os.name == "nt":
            return os.open(outer / _LOCK, os.O_RDWR | os.O_CREAT), outer
        with suppress(FileNotFoundError):
            handle = os.open(outer, os.O_RDONLY)
            claim(handle)
            if os.path.lexists(outer):
                return handle, outer
            os.close(handle)


def _suffix(path: Path) -> str:
    """The ending of the target where it is a usual one: it tells the writers which kind of file to make."""
    return path.suffix if re.fullmatch(r"\.[A-Za-z0-9]{1,9}", path.suffix) else ""


def _readers(path: Path) -> int:
    """Who may read and write the finished file: as the one it replaces, else as the system says of new files."""
    with suppress(OSError):
        return path.stat().st_mode & 0o777
    umask = os.umask(0o077)
    os.umask(umask)
    return 0o666 & ~umask


def _remove_leftovers(folder: Path) -> None:
    """Remove what runs that were killed left in a folder; what cannot be removed stays."""
    with suppress(OSError):
        for entry in folder.iterdir():
            if _OURS.fullmatch(entry.name):
                with suppress(OSError):
                    _remove_leftover(entry)


def _remove_leftover(entry: Path) -> None:
    """Remove one unless its run is alive or it is somebody else's."""
    is_folder = entry.is_dir() and not entry.is_symlink()
    if os.name == "nt":
        # A file that a living process has open cannot be removed there: that is the lock.
        (entry / _LOCK if is_folder else entry).unlink(missing_ok=True)
    elif entry.lstat().st_uid != os.geteuid() or not _is_free(entry):
        return
    if is_folder:
        shutil.rmtree(entry, ignore_errors=True)
    else:
        entry.unlink(missing_ok=True)


def _is_free(entry: Path) -> bool:
    """Whether no living run holds it."""
    handle = os.open(entry, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        return claim(handle) is True
    finally:
        os.close(handle)

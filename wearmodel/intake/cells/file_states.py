"""Whether files stayed as they were while they were read."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from wearmodel.errors import InputError
from wearmodel.intake.values.plain_text import plain

__all__ = ["FileState", "check_unchanged", "file_state", "file_states"]

FileState = tuple[int, int, int, int] | None
"""Which file it is, its size and the times of its last changes; None where there is none.

The times are compared for being the same only, so that a clock that jumps does no harm.
"""


def file_state(path: Path) -> FileState:
    """State of one file.

    Parameters
    ----------
    path : pathlib.Path
        The file.

    Returns
    -------
    FileState
        Equal to a later one when nobody wrote to the file in between.
    """
    try:
        state = path.stat()
    except OSError:
        return None
    return state.st_ino, state.st_size, state.st_mtime_ns, state.st_ctime_ns


def file_states(folder: Path) -> dict[Path, FileState]:
    """State of every file of a folder.

    Parameters
    ----------
    folder : pathlib.Path
        Empty when it cannot be listed: whoever reads it says why.
    """
    try:
        return {path: file_state(path) for path in folder.iterdir()}
    except OSError:
        return {}


def check_unchanged(before: Mapping[Path, FileState], paths: Iterable[Path]) -> None:
    """Refuse what was read when a file changed meanwhile: half of it may be old and half new.

    Parameters
    ----------
    before : mapping of pathlib.Path to FileState
        From `file_states`, taken before the first file was opened.
    paths : iterable of pathlib.Path
        The files that were read; those that are not in `before` are passed over.

    Raises
    ------
    InputError
        One sentence for each file that changed.
    """
    changed = [path for path in dict.fromkeys(paths) if path in before and file_state(path) != before[path]]
    if changed:
        raise InputError(
            f"{plain(path.name)} changed while it was read; wait until the program that writes it has finished, then "
            "run this again."
            for path in changed
        )

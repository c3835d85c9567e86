"""The one door through which results are written: a file appears whole or not at all."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from wearmodel.errors import OutputError

__all__ = ["whole_file"]


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Place to write a file that replaces `path` only when the block ends without an error.

    Parameters
    ----------
    path : Path
        Target file; its folder must exist.

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
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".wearmodel-", suffix=path.suffix)
        os.close(handle)
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror}; choose another place.") from None
    temporary = Path(name)
    try:
        yield temporary
        umask = os.umask(0)
        os.umask(umask)
        temporary.chmod(0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as error:
        raise OutputError(
            f"{path} cannot be written: {error.strerror or error}; close it where it is open, or choose "
            "another place."
        ) from None
    finally:
        temporary.unlink(missing_ok=True)

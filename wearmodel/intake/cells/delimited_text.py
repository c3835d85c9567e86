"""CSV files of any common dialect, as text cells with the row numbers a spreadsheet shows."""

import csv
import io
import itertools
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.errors import InputError
from wearmodel.intake.cells.compound_file import COMPOUND_FILE
from wearmodel.intake.cells.text_encoding import decoded_text, what_it_is_instead
from wearmodel.intake.values.plain_text import CONTROL_CHARACTERS, plain

__all__ = ["MOST_COLUMNS", "UNREADABLE", "CellGrid", "looks_delimited", "read_delimited"]

UNREADABLE = "\ufffd"
"""Stands in a cell for a character that cannot be text."""

_DELIMITERS = (",", ";", "\t", "|")
# Stand in too many texts to be trusted without headings that they alone set apart.
_RARE_DELIMITERS = (":", "^", "~")
_LARGEST_FILE = 512 * 1024**2
_MOST_ROWS = 5_000_000
MOST_COLUMNS = 512
_SAMPLE_ROWS = 60
_SPARE_COLUMNS = 4
_WORKBOOK_STARTS = {b"PK\x03\x04": ".xlsx", COMPOUND_FILE: ".xls"}
_CONTROL_BYTES = bytes(code for code in range(128) if CONTROL_CHARACTERS.match(chr(code)))


@dataclass(frozen=True)
class CellGrid:
    """Cells of one sheet or file as text.

    Parameters
    ----------
    cells : pandas.DataFrame
        Text, one line a row of the file, columns numbered from 0; blank cells are empty.
    rows : numpy.ndarray
        Row numbers as a spreadsheet shows them, shape (len(cells),).
    delimiter : str
        Of a CSV file; empty for a workbook.
    merged : tuple of tuple of int
        Merged ranges within `cells`: first row, first column, last row, last column, all places from 0. The
        value stands in the first cell, the others are blank. CSV and .xlsb have none.
    date_system : int
        1904 where plain day numbers count from 1 January 1904; else 1900.
    """

    cells: pd.DataFrame
    rows: npt.NDArray[np.int64]
    delimiter: str = ""
    merged: tuple[tuple[int, int, int, int], ...] = ()
    date_system: int = 1900


def read_delimited(path: Path, *, label: str, score: Callable[[list[str]], int]) -> CellGrid:
    """Read a CSV file.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    label : str
        Its name for error sentences.
    score : callable
        Number of headings recognised in a row of cells: decides between delimiters.

    Returns
    -------
    CellGrid
        All rows, the heading and blank ones included. Control characters are replaced by `UNREADABLE`.

    Raises
    ------
    InputError
        The file cannot be opened, is beyond the bounds or holds something else than text.
    """
    text = _text_of(path, label=label)
    first, text = _without_separator_line(text)
    if text.count("\n") + text.count("\r") > 2 * _MOST_ROWS:
        raise InputError(f"{label} has more than {_MOST_ROWS:,} rows; split it by years.")
    delimiter = first or _delimiter(text, label=label, score=score)
    sample = list(itertools.islice(_records(text[: 1 << 16], delimiter, label=label), _SAMPLE_ROWS))
    width = max((len(record) for record in sample), default=0)
    if width > MOST_COLUMNS:
        raise InputError(f"{label} has {width:,} columns, more than {MOST_COLUMNS}; keep those that matter.")
    cells = _cells(text, delimiter, width=width + _SPARE_COLUMNS, label=label)
    return CellGrid(cells, np.arange(1, len(cells) + 1, dtype=np.int64), delimiter)


def looks_delimited(beginning: bytes) -> bool:
    """Whether a file of unknown kind begins like a table of delimited text.

    Parameters
    ----------
    beginning : bytes
        Its first bytes.

    Returns
    -------
    bool
        True for text, nearly free of control characters, with one delimiter in most of its lines.
    """
    text = decoded_text(beginning)
    odd = len(CONTROL_CHARACTERS.findall(text)) + text.count(UNREADABLE)
    lines = [line for line in text.splitlines()[:_SAMPLE_ROWS] if line.strip()]
    if 100 * odd > len(text) or not lines:
        return False
    return any(2 * sum(1 for line in lines if mark in line) > len(lines) for mark in _DELIMITERS)


def _text_of(path: Path, *, label: str) -> str:
    """Text of the file, what cannot be text marked."""
    try:
        with path.open("rb") as file:
            raw = file.read(_LARGEST_FILE + 1)
    except OSError as error:
        raise InputError(f"{label} cannot be read ({error.strerror}); check its permissions.") from error
    if len(raw) > _LARGEST_FILE:
        raise InputError(f"{label} is larger than {_LARGEST_FILE // 1024**2} MiB; split it by years.")
    suffix = plain(path.suffix, limit=10)
    for start, right in _WORKBOOK_STARTS.items():
        if raw.startswith(start):
            raise InputError(f"{label} is a workbook saved as {suffix}; rename it to {right}.")
    if instead := what_it_is_instead(raw):
        raise InputError(f"{label} is {instead} saved as {suffix}; save it as .xlsx or CSV.")
    text = decoded_text(raw)
    return CONTROL_CHARACTERS.sub(UNREADABLE, text) if _may_hold_controls(text) else text


def _may_hold_controls(text: str) -> bool:
    """False for plain text, told quickly; true where each character has to be looked at."""
    if not text.isascii():
        return True
    raw = text.encode("ascii")
    return len(raw.translate(None, delete=_CONTROL_BYTES)) < len(raw)


def _without_separator_line(text: str) -> tuple[str, str]:
    """The delimiter a first line `sep=;` names, and the text behind that line, which no spreadsheet shows."""
    line, _, rest = text[:20].partition("\n")
    line = line.rstrip("\r")
    if len(line) == 5 and line.startswith("sep=") and line[4] in _DELIMITERS:
        return line[4], text[text.index("\n") + 1 :] if rest else ""
    return "", text


def _delimiter(text: str, *, label: str, score: Callable[[list[str]], int]) -> str:
    """The delimiter under which most headings are recognised; the evener rows decide between equals."""

    def merit(delimiter: str) -> tuple[int, int, int]:
        records = list(itertools.islice(_records(text[: 1 << 16], delimiter, label=label), _SAMPLE_ROWS))
        widths = Counter(len(record) for record in records if len(record) > 1)
        width, even = max(widths.items(), key=lambda item: (item[1], item[0]), default=(0, 0))
        return max((score(record) for record in records), default=0), even, width

    best = max(_DELIMITERS, key=merit)
    rare = max(_RARE_DELIMITERS, key=merit)
    return rare if merit(rare)[0] > max(merit(best)[0], 1) else best


def _records(text: str, delimiter: str, *, label: str) -> Iterator[list[str]]:
    """Records of the text, each bounded in width."""

    def bounded() -> Iterator[str]:
        for line in io.StringIO(text, newline=""):
            if line.count(delimiter) > 4 * MOST_COLUMNS:
                raise InputError(f"{label} has a line of more than {4 * MOST_COLUMNS:,} cells; repair that line.")
            yield line

    reader = csv.reader(bounded(), delimiter=delimiter)
    try:
        yield from reader
    except csv.Error as error:
        raise InputError(
            f"{label} line {reader.line_num} cannot be split into cells ({error}); "
            "close every quotation mark, or save the table as a workbook."
        ) from error


def _cells(text: str, delimiter: str, *, width: int, label: str) -> pd.DataFrame:
    """All cells; the fast reader first, the patient one where rows are ragged or a quotation is open."""
    if not text.strip("\r\n"):
        return pd.DataFrame(index=range(0), columns=range(0), dtype=object)
    try:
        cells = pd.read_csv(
            io.StringIO(text),
            sep=delimiter,
            header=None,
            names=range(width),
            index_col=False,
            dtype=object,
            na_filter=False,
            skip_blank_lines=False,
            quotechar='"',
        )
    except pd.errors.ParserError:
        records = list(_records(text, delimiter, label=label))
        # Cells beyond the sampled width become one: they are only looked at for being there.
        rows = [r if len(r) <= width else [*r[: width - 1], "".join(r[width - 1 :])] for r in records]
        cells = pd.DataFrame([row + [""] * (width - len(row)) for row in rows], dtype=object)
    return cells

"""A workbook's archive, measured and repacked before anything lays its cells out in memory.

A workbook is a zip archive from anywhere: it may expand without end, claim a cell in the last row and
column, or repeat one long text in every cell. What passes here is copied, without compression, into an
archive of its own, so that the cell reader sees exactly what was measured.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wearmodel.errors import InputError

__all__ = ["DAMAGED_ARCHIVE", "PLANNER_MARK", "bounded_archive", "check_expansion", "is_planner", "uses_1904"]

PLANNER_MARK = "wearmodel planner"
"""In a workbook's document properties: it is a result, not a table of the fleet."""

DAMAGED_ARCHIVE = (zipfile.BadZipFile, RuntimeError, EOFError, ValueError, zlib.error)
"""What reading a damaged archive raises: zipfile says by RuntimeError that a part is protected or of a later version,
our own readers of the parts say by ValueError what is damaged. The file is then refused, whatever the reason."""

_PACKINGS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""How parts of a workbook may be packed (ECMA-376 part 2, annex B; OpenDocument 1.3 part 2, sec. 3.1): what else zip
archives know brings errors of its own."""

_LARGEST_EXPANDED = 1024**3
_LARGEST_RATIO = 200
_RATIO_FREE = 32 * 1024**2
_MOST_ENTRIES = 5_000
_MOST_CELLS = 30_000_000
_MOST_TEXT = 1024**3
_TYPE_DEFINITION = re.compile(rb"<\x00?!\x00?D\x00?O\x00?C\x00?T\x00?Y\x00?P\x00?E")
_DATE_SYSTEM = re.compile(rb"""<(?:\w+:)?workbookPr\s[^>]*date1904\s*=\s*["'](?:1|true)["']""")
_NEEDED = re.compile(r"\[Content_Types\]\.xml|_rels/.*|docProps/.*|xl/(?!media/).*\.(xml|rels)", re.IGNORECASE)

# As every common program writes cells; whatever else the format allows is searched for more slowly.
_USUAL = rb'<c r="'
_ANY = rb"(?<![:\w])r\s*=\s*[\"']"
_TAG_ENDS = (b" ", b">", b"/", b"\n", b"\r", b"\t")
_CELL = re.compile(rb"<(?:\w+:)?c[\s/>]")
_ROW = re.compile(rb"<(?:\w+:)?row[\s/>]")
_TEXT_END = re.compile(rb"</(?:\w+:)?si\s*>")
_INDEX = re.compile(rb"<(?:\w+:)?v\s*>\s*([0-9]{1,9})\s*<")


def is_planner(path: Path) -> bool:
    """Whether a workbook is a planner workbook, by its document properties.

    Parameters
    ----------
    path : pathlib.Path
        The workbook.

    Returns
    -------
    bool
        False for a file that cannot be opened.
    """
    try:
        if not path.is_file():
            return False
        with zipfile.ZipFile(path) as archive:
            if archive.getinfo("docProps/core.xml").compress_type not in _PACKINGS:
                return False
            with archive.open("docProps/core.xml") as properties:
                return PLANNER_MARK.encode() in properties.read(65_536)
    except (OSError, KeyError, *DAMAGED_ARCHIVE):
        return False


def check_expansion(archive: zipfile.ZipFile, entries: Sequence[zipfile.ZipInfo], *, label: str) -> None:
    """Refuse an archive that is protected or oddly packed, or whose wanted parts would expand beyond the bounds.

    Parameters
    ----------
    archive : zipfile.ZipFile
        The workbook.
    entries : sequence of zipfile.ZipInfo
        The parts that will be read. What is read of them ends at the size stated here.
    label : str
        Its name for error sentences.

    Raises
    ------
    InputError
        It is protected, packed as no workbook is, or beyond the bounds.
    """
    expanded = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    swollen = expanded > _RATIO_FREE and expanded > _LARGEST_RATIO * max(packed, 1)
    if len(archive.infolist()) > _MOST_ENTRIES or expanded > _LARGEST_EXPANDED or swollen:
        raise InputError(
            f"{label} would expand to {expanded / 1024**2:,.0f} MiB in {len(archive.infolist()):,} parts, more than a "
            "table of repairs needs; save its table as CSV."
        )
    if any(entry.flag_bits & 1 for entry in entries):
        raise InputError(f"{label} is protected by a password; save it without one.")
    if any(entry.compress_type not in _PACKINGS for entry in entries):
        raise InputError(f"{label} is packed in a way no workbook is; save it anew as .xlsx or CSV.")


def bounded_archive(archive: zipfile.ZipFile, *, label: str) -> io.BytesIO:
    """The parts of a workbook that hold cells, as an archive within bounds.

    Parameters
    ----------
    archive : zipfile.ZipFile
        The workbook.
    label : str
        Its name for error sentences.

    Returns
    -------
    io.BytesIO
        A zip archive without compression.

    Raises
    ------
    InputError
        The archive is protected or beyond the bounds, or a part holds a document type definition.
    """
    entries = {entry.filename: entry for entry in archive.infolist()}
    wanted = [entry for entry in entries.values() if _NEEDED.fullmatch(entry.filename)]
    check_expansion(archive, wanted, label=label)
    # What a part truly holds counts, not what the archive says: reading stops at the stated size.
    contents = {entry.filename: archive.read(entry) for entry in wanted}
    for content in contents.values():
        if _TYPE_DEFINITION.search(content):
            raise InputError(f"{label} holds a document type definition, which no workbook has; save it anew.")
    texts = next((c for name, c in contents.items() if name.casefold() == "xl/sharedstrings.xml"), b"")
    for name, content in contents.items():
        if "worksheets/" in name.casefold() or b"sheetData" in content:
            _check_sheet(content, texts=texts, label=label)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as copy:
        for name, content in contents.items():
            copy.writestr(name, content)
    out.seek(0)
    return out


def uses_1904(archive: io.BytesIO) -> bool:
    """Whether a workbook counts its days from 1904.

    Parameters
    ----------
    archive : io.BytesIO
        From `bounded_archive`.
    """
    with zipfile.ZipFile(archive) as parts:
        name = next((name for name in parts.namelist() if name.casefold() == "xl/workbook.xml"), "")
        found = _DATE_SYSTEM.search(parts.read(name)) if name else None
    archive.seek(0)
    return found is not None


def _check_sheet(content: bytes, *, texts: bytes, label: str) -> None:
    """Refuse a sheet whose extent, or the text its cells repeat, would not fit in memory."""
    cells = _count(content, b"c")
    reference = _USUAL if content.count(_USUAL) == cells else _ANY
    columns = _columns(content, reference=reference)
    rows = _rows(content, reference=reference, columns=columns)
    if rows * columns > _MOST_CELLS:
        raise InputError(
            f"{label} has a sheet that reaches to row {rows:,} and column {columns:,}; delete the cells far "
            "from the table, or save the table as CSV."
        )
    lengths = np.diff([0, *(match.end() for match in _TEXT_END.finditer(texts))])
    if lengths.size and int(lengths.max()) * cells > _MOST_TEXT:
        used = np.array([int(index) for index in _INDEX.findall(content)], dtype=np.int64)
        if int(lengths[used[used < lengths.size]].sum()) > _MOST_TEXT:
            raise InputError(f"{label} repeats very long texts beyond 1 GiB; shorten them or save as CSV.")


def _count(content: bytes, tag: bytes) -> int:
    """Elements of that name, whatever their prefix."""
    return sum(content.count(start + tag + end) for start in (b"<", b":") for end in _TAG_ENDS)


def _columns(content: bytes, *, reference: bytes) -> int:
    """Farthest column a sheet's cells can stand in; at least 26."""
    columns = 26
    for letters in set(re.findall(reference + rb"([A-Za-z]{2,})[0-9]", content)):
        place = 0
        for letter in letters.upper()[:6]:
            place = 26 * place + letter - 64
        columns = max(columns, place)
    if reference == _ANY:
        # Cells without a reference follow one another: the longest row decides.
        columns += max(sum(1 for _ in _CELL.finditer(row)) for row in _ROW.split(content))
    return columns


def _rows(content: bytes, *, reference: bytes, columns: int) -> int:
    """A bound on the row numbers, by their number of digits; exact where the bound would be refused."""
    counted = _count(content, b"row")
    for digits in (7, 6, 5, 4):
        if re.search(reference + rb"[A-Za-z]*[0-9]{%d}" % digits, content) is None:
            bound = max(10 ** (digits - 1), counted)
            if bound * columns <= _MOST_CELLS:
                return bound
    numbers = {int(number[:9]) for number in re.findall(reference + rb"[A-Za-z]*([0-9]+)", content)}
    return max(numbers | {counted, 1})

"""Workbooks of old spreadsheet programs (.xls), measured and written anew record by record.

Such a file is a row of records, each with a number, a length and its bytes. What a record claims - the extent
of a sheet, the number of its texts - need not be so, and space for it would be set aside unseen. Here only
what a cell needs is copied, formulas as their stored results, into a stream that says what it truly holds.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field

from wearmodel.errors import InputError
from wearmodel.intake.cells.biff_texts import byte_text, shared_parts, shared_texts, single_text, unicode_text

__all__ = ["BIFF_STARTS", "rebuilt_stream", "uses_1904"]

BIFF_STARTS = (b"\x09\x08", b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00")
"""First bytes of a workbook that stands in a file of its own, without a container."""

_MOST_RECORDS = 20_000_000
_MOST_CELLS = 30_000_000
_MOST_TEXT = 1024**3
_MOST_SHEETS = 1_000

_BEGIN = {0x0009: 2, 0x0209: 3, 0x0409: 4, 0x0809: 5}
_END, _CONTINUE, _PROTECTED, _CODE_PAGE, _DATE_SYSTEM = 0x000A, 0x003C, 0x002F, 0x0042, 0x0022
_SHEET, _TEXTS, _FORMAT, _OLD_FORMAT, _STYLE, _MERGED = 0x0085, 0x00FC, 0x041E, 0x001E, 0x00E0, 0x00E5
_OLD_STYLES = (0x0243, 0x0443)
_NUMBER, _LABEL, _RICH_LABEL, _BOOLEAN = 0x0203, 0x0204, 0x00D6, 0x0205
_SMALL, _SMALLS, _SHARED = 0x027E, 0x00BD, 0x00FD
_FORMULAS, _RESULTS = (0x0006, 0x0206, 0x0406), (0x0207, 0x0007)
_UNICODE_PAGE = 1200
_OWN_FORMATS = 200


@dataclass
class _Globals:
    """What stands before the sheets: how their cells are to be read."""

    version: int = 8
    code_page: int = 1252
    uses_1904: bool = False
    formats: list[tuple[int, str]] = field(default_factory=list)
    styles: list[int] = field(default_factory=list)
    sheets: list[tuple[int, int, str]] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)


@dataclass
class _Measure:
    """What the cells of all sheets together would fill."""

    label: str
    cells: int = 0
    text: int = 0
    records: int = 0

    def add_record(self) -> None:
        self.records += 1
        if self.records > _MOST_RECORDS:
            raise InputError(f"{self.label} has too many cells for a table of repairs; save its table as CSV.")

    def add_sheet(self, rows: int, columns: int) -> None:
        self.cells += rows * columns
        if self.cells > _MOST_CELLS:
            raise InputError(
                f"{self.label} has a sheet that reaches to row {rows:,} and column {columns:,}; delete the cells far "
                "from the table, or save the table as CSV."
            )

    def add_text(self, characters: int) -> None:
        self.text += characters
        if self.text > _MOST_TEXT:
            raise InputError(f"{self.label} repeats very long texts beyond 1 GiB; shorten them or save as CSV.")


def uses_1904(stream: bytes) -> bool:
    """Whether a rebuilt workbook counts its days from 1904.

    Parameters
    ----------
    stream : bytes
        From `rebuilt_stream`.
    """
    return any(kind == _DATE_SYSTEM and stream[at] == 1 for kind, at, _ in _records(stream, 0))


def rebuilt_stream(stream: bytes, *, label: str) -> bytes:
    """A workbook stream that holds the cells of another, of any edition, and nothing else.

    Parameters
    ----------
    stream : bytes
        Records of the workbook.
    label : str
        Name of the file for error sentences.

    Returns
    -------
    bytes
        Records of the edition of 1997 (BIFF8): its texts, number formats, and sheets with cells and merged
        ranges.

    Raises
    ------
    InputError
        The workbook is protected or beyond the bounds.
    ValueError
        Its records are damaged.
    """
    try:
        found = _globals(stream, label=label)
        measure = _Measure(label)
        bodies = [_sheet(stream, at, found, measure) for at, _, _ in found.sheets]
    except (struct.error, IndexError) as error:
        raise ValueError("its records are damaged") from error
    return _joined(found, bodies)


def _records(stream: bytes, start: int) -> Iterator[tuple[int, int, int]]:
    """Number, place of the content and length of each record; a torn record ends the row."""
    at, end = start, len(stream) - 4
    read = struct.Struct("<HH").unpack_from
    while at <= end:
        kind, size = read(stream, at)
        if at + 4 + size > len(stream):
            return
        yield kind, at + 4, size
        at += 4 + size


def _globals(stream: bytes, *, label: str) -> _Globals:
    """Everything before the first sheet; of the oldest editions the one sheet itself is searched for it."""
    found = _Globals()
    is_first, last = True, 0
    text_parts: list[bytes] = []
    if len(stream) > 4 * _MOST_RECORDS:
        raise InputError(f"{label} is larger than {4 * _MOST_RECORDS // 10**6} MB; save its table as CSV.")
    for kind, at, size in _records(stream, 0):
        if is_first:
            found.version = _version(stream, kind, at, size)
            is_first = False
        elif kind == _PROTECTED:
            raise InputError(f"{label} is protected by a password; save it without one.")
        elif kind == _END:
            break
        elif kind == _TEXTS or (kind == _CONTINUE and last == _TEXTS):
            text_parts.append(stream[at : at + size])
            kind = _TEXTS
        elif kind == _SHEET and found.version >= 5:
            _add_sheet(found, stream[at : at + size])
        else:
            _add_meaning(found, kind, stream[at : at + size])
        last = kind
    if is_first:
        raise ValueError("it holds no records")
    if len(found.sheets) > _MOST_SHEETS:
        raise InputError(f"{label} has more than {_MOST_SHEETS:,} sheets; keep those that matter.")
    if found.version < 5:
        found.sheets = [(0, 0, "Sheet1")]
    found.texts = shared_texts(text_parts)
    return found


def _version(stream: bytes, kind: int, at: int, size: int) -> int:
    """Edition of the records, 2 to 5 or 8."""
    if kind not in _BEGIN or size < 4:
        raise ValueError("it does not begin as a workbook does")
    edition, contents = struct.unpack_from("<HH", stream, at)
    if kind == 0x0809:
        return 5 if edition == 0x0500 else 8
    if contents == 0x0100:
        raise ValueError("it is a set of workbooks of 1992")
    return _BEGIN[kind]


def _add_sheet(found: _Globals, content: bytes) -> None:
    """A sheet of the list, worksheets only."""
    start, state, kind = struct.unpack_from("<IBB", content)
    if kind == 0:
        name = unicode_text(content, 6, wide=1) if found.version == 8 else byte_text(content, 6, found.code_page)
        found.sheets.append((start, min(state & 3, 2), name.replace("\0", "")[:200]))


def _add_meaning(found: _Globals, kind: int, content: bytes) -> None:
    """Code page, date system, number formats and cell styles."""
    if kind == _CODE_PAGE:
        (found.code_page,) = struct.unpack_from("<H", content)
    elif kind == _DATE_SYSTEM:
        found.uses_1904 = content[:1] == b"\1"
    elif kind == _FORMAT and found.version == 8:
        found.formats.append((struct.unpack_from("<H", content)[0], unicode_text(content, 2)))
    elif kind == _FORMAT and found.version == 5:
        found.formats.append((struct.unpack_from("<H", content)[0], byte_text(content, 2, found.code_page)))
    elif kind in (_FORMAT, _OLD_FORMAT):
        place = 2 if kind == _FORMAT else 0
        number = _OWN_FORMATS + len(found.formats)
        found.formats.append((number, byte_text(content, place, found.code_page)))
        if found.version == 2:
            found.styles.append(number)
    elif kind == _STYLE:
        found.styles.append(struct.unpack_from("<H", content, 2)[0])
    elif kind in _OLD_STYLES:
        found.styles.append(_OWN_FORMATS + content[1])


def _sheet(stream: bytes, start: int, found: _Globals, measure: _Measure) -> bytes:
    """Cells and merged ranges of one sheet, as records of BIFF8."""
    cells = _SheetCells(found, measure)
    depth, is_cut = 0, True
    for count, (kind, at, size) in enumerate(_records(stream, start)):
        if count == 0 and kind not in _BEGIN:
            raise ValueError("a sheet is not where the list of sheets says")
        measure.add_record()
        if kind in _BEGIN:
            depth += 1
        elif kind == _END:
            depth -= 1
            if depth == 0:
                is_cut = False
                break
        elif depth == 1:
            cells.add(kind, stream[at : at + size])
    if is_cut:
        raise ValueError("a sheet ends in the middle")
    measure.add_sheet(cells.rows, cells.columns)
    return b"".join(cells.out)


class _SheetCells:
    """Turns the cell records of any edition into those of BIFF8, and notes how far they reach."""

    def __init__(self, found: _Globals, measure: _Measure) -> None:
        self.found = found
        self.measure = measure
        self.out: list[bytes] = []
        self.rows = self.columns = 0
        self._waiting: tuple[int, int, int] | None = None

    def add(self, kind: int, content: bytes) -> None:
        """One record of the sheet; what is no cell is passed over."""
        if kind == _MERGED:
            (count,) = struct.unpack_from("<H", content)
            if len(content) == 2 + 8 * count:
                self._emit(_MERGED, content)
        elif kind in _RESULTS:
            self._result(content)
        elif self.found.version == 2 and 1 <= kind <= 6:
            self._oldest(kind, content)
        elif kind in _FORMULAS:
            row, column, style = self._place(content)
            self._formula(row, column, style, content[6:14])
        elif kind in (_NUMBER, _LABEL, _RICH_LABEL, _BOOLEAN, _SMALL, _SMALLS, _SHARED):
            self._cell(kind, content)

    def _cell(self, kind: int, content: bytes) -> None:
        row, column, style = self._place(content)
        if kind in (_LABEL, _RICH_LABEL):
            self._text(row, column, style, self._read_text(content, 6))
        elif kind == _BOOLEAN:
            self._boolean(row, column, style, content[6:8])
        elif kind == _SHARED:
            (place,) = struct.unpack_from("<I", content, 6)
            if place < len(self.found.texts):
                self.measure.add_text(len(self.found.texts[place]))
                self._emit(kind, content[:10])
        elif kind == _SMALLS:
            (last,) = struct.unpack_from("<H", content, len(content) - 2)
            if last >= column and len(content) == 6 + 6 * (last - column + 1):
                self.columns = max(self.columns, last + 1)
                self._emit(kind, content)
        else:
            size = 14 if kind == _NUMBER else 10
            if len(content) >= size:
                self._emit(kind, content[:size])

    def _oldest(self, kind: int, content: bytes) -> None:
        """Cells of the edition of 1987: attributes of three bytes, the number format in the second."""
        row, column = struct.unpack_from("<HH", content)
        self._place(content[:4] + b"\0\0")
        style = content[5] & 63
        if kind == 2:
            self._number(row, column, style, float(struct.unpack_from("<H", content, 7)[0]))
        elif kind == 3:
            self._number(row, column, style, struct.unpack_from("<d", content, 7)[0])
        elif kind == 4:
            self._text(row, column, style, byte_text(content, 7, self.found.code_page))
        elif kind == 5:
            self._boolean(row, column, style, content[7:9])
        elif kind == 6:
            self._formula(row, column, style, content[7:15])

    def _formula(self, row: int, column: int, style: int, result: bytes) -> None:
        """The stored result; one that is text stands in the next record."""
        self._waiting = None
        if result[6:8] != b"\xff\xff":
            self._number(row, column, style, struct.unpack("<d", result)[0])
        elif result[0] == 0:
            self._waiting = (row, column, style)
        elif result[0] == 1:
            self._boolean(row, column, style, result[2:3] + b"\0")

    def _result(self, content: bytes) -> None:
        if self._waiting is not None:
            if self.found.version == 2:
                text = byte_text(content, 0, self.found.code_page)
            else:
                text = self._read_text(content, 0)
            self._text(*self._waiting, text)
        self._waiting = None

    def _read_text(self, content: bytes, at: int) -> str:
        if self.found.version == 8:
            return unicode_text(content, at)
        return byte_text(content, at, self.found.code_page, wide=2)

    def _place(self, content: bytes) -> tuple[int, int, int]:
        row, column, style = struct.unpack_from("<HHH", content)
        self.rows = max(self.rows, row + 1)
        self.columns = max(self.columns, column + 1)
        return row, column, style

    def _number(self, row: int, column: int, style: int, value: float) -> None:
        self._emit(_NUMBER, struct.pack("<HHHd", row, column, style, value))

    def _text(self, row: int, column: int, style: int, text: str) -> None:
        self.measure.add_text(len(text))
        self._emit(_LABEL, struct.pack("<HHH", row, column, style) + single_text(text))

    def _boolean(self, row: int, column: int, style: int, value: bytes) -> None:
        """A truth value; an error value is as good as a blank cell."""
        if value[1:2] == b"\0":
            self._emit(_BOOLEAN, struct.pack("<HHH", row, column, style) + value)

    def _emit(self, kind: int, content: bytes) -> None:
        self.out.append(struct.pack("<HH", kind, len(content)) + content)


def _joined(found: _Globals, bodies: list[bytes]) -> bytes:
    """The stream: what is said of the whole workbook, then the sheets, each where the list says."""
    head = [_record(0x0809, struct.pack("<HHHHII", 0x0600, 5, 0, 0, 0, 0x0600))]
    head.append(_record(_CODE_PAGE, struct.pack("<H", _UNICODE_PAGE)))
    head.append(_record(_DATE_SYSTEM, struct.pack("<H", found.uses_1904)))
    head += [_record(_FORMAT, struct.pack("<H", number) + single_text(text[:255])) for number, text in found.formats]
    head += [_record(_STYLE, struct.pack("<HH16x", 0, number)) for number in found.styles]
    tail = []
    if found.texts:
        first, *further = shared_parts(found.texts)
        tail += [_record(_TEXTS, first), *(_record(_CONTINUE, part) for part in further)]
    tail.append(_record(_END, b""))
    names = [single_text(name, wide=1) for _, _, name in found.sheets]
    at = sum(map(len, head)) + sum(map(len, tail)) + sum(10 + len(name) for name in names)
    sheets = []
    for (_, state, _), name, body in zip(found.sheets, names, bodies, strict=True):
        head.append(_record(_SHEET, struct.pack("<IBB", at, state, 0) + name))
        sheet = _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x0010, 0, 0, 0, 0x0600)) + body + _record(_END, b"")
        sheets.append(sheet)
        at += len(sheet)
    return b"".join([*head, *tail, *sheets])


def _record(kind: int, content: bytes) -> bytes:
    return struct.pack("<HH", kind, len(content)) + content

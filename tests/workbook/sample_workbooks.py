"""Small workbooks of old and open formats, written by hand so that tests can spoil any byte of them.

The records of old editions are those of the published specifications (Microsoft's MS-XLS for the edition of
1997; for the earlier ones the OpenOffice.org project's documentation of the file format), the markup is
OpenDocument 1.2 (OASIS).
"""

import datetime as dt
import struct
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

DAY_FORMAT = "dd/mm/yyyy"
ODS_TYPE = "application/vnd.oasis.opendocument.spreadsheet"

_ODF = "urn:oasis:names:tc:opendocument:xmlns:"
_NAMESPACES = " ".join(f'xmlns:{part}="{_ODF}{part}:1.0"' for part in ("office", "table", "text", "drawing"))


def ods_content(sheets: Mapping[str, str], *, before: str = "", head: str = "") -> str:
    """The main part of an OpenDocument spreadsheet; each sheet is the markup of its rows."""
    tables = "".join(f"<table:table table:name={quoteattr(name)}>{rows}</table:table>" for name, rows in sheets.items())
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{before}<office:document-content {_NAMESPACES} office:version="1.2">'
        f"<office:body><office:spreadsheet>{head}{tables}</office:spreadsheet></office:body></office:document-content>"
    )


def ods_rows(rows: Iterable[Sequence[object]]) -> str:
    """Rows of text, numbers, truth values, dates and None, each followed by the blanks programs like to write."""
    tail = '<table:table-cell table:number-columns-repeated="1014"/></table:table-row>'
    body = "".join("<table:table-row>" + "".join(map(ods_cell, row)) + tail for row in rows)
    return body + f'<table:table-row table:number-rows-repeated="1048000">{tail}'


def ods_cell(value: object, attributes: str = "") -> str:
    """One cell."""
    if value is None:
        return f"<table:table-cell {attributes}/>"
    if isinstance(value, bool):
        kind = f'office:value-type="boolean" office:boolean-value="{str(value).lower()}"'
    elif isinstance(value, int | float):
        kind = f'office:value-type="float" office:value="{value}"'
    elif isinstance(value, dt.date):
        kind = f'office:value-type="date" office:date-value="{value.isoformat()}"'
    else:
        kind = 'office:value-type="string"'
    lines = "".join(f"<text:p>{escape(line)}</text:p>" for line in str(value).split("\n"))
    return f"<table:table-cell {kind} {attributes}>{lines}</table:table-cell>"


def write_ods(path: Path, content: str | bytes, *, manifest: str = "", compression: int = zipfile.ZIP_DEFLATED) -> Path:
    """The archive around the main part."""
    with zipfile.ZipFile(path, "w", compression) as archive:
        archive.writestr("mimetype", ODS_TYPE, zipfile.ZIP_STORED)
        archive.writestr("META-INF/manifest.xml", manifest or "<manifest/>")
        archive.writestr("content.xml", content)
    return path


def record(kind: int, content: bytes) -> bytes:
    return struct.pack("<HH", kind, len(content)) + content


def old_stream(
    edition: int, rows: Sequence[Sequence[object]], *, merged: bytes = b"", uses_1904: bool = False
) -> bytes:
    """Records of a workbook with one sheet, of edition 2, 3, 4, 5 or 8.

    Cells: text, numbers, truth values, dates (day numbers in a date style), None; a tuple is a formula with
    that result.
    """
    places = ((i, j, value) for i, row in enumerate(rows) for j, value in enumerate(row))
    cells = b"".join(_old_cell(edition, *place) for place in places if place[2] is not None)
    head = record(0x42, struct.pack("<H", 1200 if edition == 8 else 1252)) + record(0x22, struct.pack("<H", uses_1904))
    formats = [_old_format(edition, place, text) for place, text in enumerate(("General", DAY_FORMAT))]
    styles = [_old_style(edition, place) for place in (0, 1)]
    looks = b"".join([*formats, *styles])
    end = record(0x0A, b"")
    if edition < 5:
        begin = {2: (0x0009, 2, b""), 3: (0x0209, 0, b"\0\0"), 4: (0x0409, 0, b"\0\0")}[edition]
        return record(begin[0], struct.pack("<HH", begin[1], 0x10) + begin[2]) + head + looks + cells + end
    version, size = (0x0500, 4) if edition == 5 else (0x0600, 12)
    begin_book, begin_sheet = (record(0x0809, struct.pack("<HH", version, k).ljust(4 + size, b"\0")) for k in (5, 0x10))
    name = b"\x06\0Lines!" if edition == 8 else b"\x06Lines!"
    start = len(begin_book + head + looks) + 10 + len(name) + len(end)
    listed = record(0x85, struct.pack("<IH", start, 0) + name)
    return begin_book + head + looks + listed + end + begin_sheet + cells + merged + end


def _old_format(edition: int, place: int, text: str) -> bytes:
    raw = text.encode("ascii")
    if edition < 4:
        return record(0x1E, bytes([len(raw)]) + raw)
    number = struct.pack("<H", 164 + place)
    return record(0x41E, number + (struct.pack("<HB", len(raw), 0) if edition == 8 else bytes([len(raw)])) + raw)


def _old_style(edition: int, place: int) -> bytes:
    if edition == 2:
        return record(0x43, bytes([0, 0, place, 0]))
    if edition in (3, 4):
        return record(0x243 if edition == 3 else 0x443, bytes([0, place]).ljust(12, b"\0"))
    return record(0xE0, struct.pack("<HH", 0, 164 + place).ljust(20 if edition == 8 else 16, b"\0"))


def _old_cell(edition: int, row: int, column: int, value: object) -> bytes:
    style = int(isinstance(value, dt.date))
    place = struct.pack("<HH", row, column)
    place += bytes([style, style, 0]) if edition == 2 else struct.pack("<H", style)
    kinds = {"number": 3, "label": 4, "truth": 5} if edition == 2 else {"number": 0x203, "label": 0x204, "truth": 0x205}
    if isinstance(value, tuple):
        return _old_formula(edition, place, value[0])
    if isinstance(value, bool):
        return record(kinds["truth"], place + bytes([value, 0]))
    if isinstance(value, dt.date):
        value = (value - dt.date(1899, 12, 30)).days
    if isinstance(value, int | float):
        return record(kinds["number"], place + struct.pack("<d", value))
    return record(kinds["label"], place + _old_text(edition, str(value)))


def _old_text(edition: int, text: str) -> bytes:
    if edition == 8:
        return struct.pack("<HB", len(text.encode("utf-16-le")) // 2, 1) + text.encode("utf-16-le")
    raw = text.encode("cp1252")
    return (bytes([len(raw)]) if edition == 2 else struct.pack("<H", len(raw))) + raw


def _old_formula(edition: int, place: bytes, result: object) -> bytes:
    kind = {2: 0x06, 3: 0x206, 4: 0x406}.get(edition, 0x06)
    tail = b"\0\0\0" if edition == 2 else b"\0" * 4 + (b"\0" * 4 if edition >= 5 else b"")
    tail += b"\x03\0\x1e\x01\0" if edition > 2 else b"\x03\x1e\x01\0"
    if isinstance(result, str):
        text = record(7 if edition == 2 else 0x207, _old_text(edition, result))
        return record(kind, place + b"\0\0\0\0\0\0\xff\xff" + tail) + text
    if isinstance(result, bool):
        return record(kind, place + bytes([1, 0, result, 0, 0, 0, 255, 255]) + tail)
    assert isinstance(result, int | float)
    return record(kind, place + struct.pack("<d", result) + tail)


def old_container(stream: bytes, *, name: str = "Book") -> bytes:
    """A compound file with sectors of 512 bytes and one stream, as programs of the nineties wrote it."""
    free, end, table = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD
    stream = stream.ljust(4096, b"\0")
    count = -(-len(stream) // 512)
    tables = 1
    while tables * 128 < tables + 1 + count:
        tables += 1
    assert tables <= 109
    chain = [table] * tables + [end] + [*range(tables + 2, tables + 1 + count), end]
    chain += [free] * (tables * 128 - len(chain))
    header = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 16 + struct.pack("<HHHHH6x", 0x3E, 3, 0xFFFE, 9, 6)
    header += struct.pack("<IIIIIIIII", 0, tables, tables, 0, 4096, end, 0, end, 0)
    header += struct.pack("<109I", *[*range(tables), *[free] * (109 - tables)])
    entries = b""
    for title, kind, child, first, size in (("Root Entry", 5, 1, end, 0), (name, 2, free, tables + 1, len(stream))):
        raw = title.encode("utf-16-le")
        links = struct.pack("<HBBIII", len(raw) + 2, kind, 1, free, free, child)
        entries += raw.ljust(64, b"\0") + links + struct.pack("<36xIQ", first, size)
    body = struct.pack(f"<{len(chain)}I", *chain) + entries.ljust(512, b"\0") + stream
    return header + body + b"\0" * (-len(body) % 512)

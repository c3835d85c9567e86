"""Compound files: the container of old workbooks and of protected new ones, one stream at a time.

The container is a small file system of its own, with chains of sectors that a hostile file can close to a
ring. Every chain is followed no further than the file is long.
"""

import struct
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

__all__ = ["COMPOUND_FILE", "CompoundFileError", "build_compound_file", "stream_of"]

COMPOUND_FILE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""First bytes of a compound file."""

_END_OF_CHAIN = 0xFFFFFFFE
_FREE = 0xFFFFFFFF
_FAT_SECTOR = 0xFFFFFFFD
_IN_HEADER = 109
_MOST_ENTRIES = 4_096
_SECTOR = 4_096
_SHORTEST = 4_096
_ROOT, _STREAM = 5, 2


class CompoundFileError(ValueError):
    """The container is damaged."""


def stream_of(data: bytes, names: Sequence[str]) -> bytes | None:
    """Content of the first of some streams that a compound file has.

    Parameters
    ----------
    data : bytes
        The whole file.
    names : sequence of str
        Names of streams, the wanted one first; upper and lower case are the same.

    Returns
    -------
    bytes or None
        None when there is none of them.

    Raises
    ------
    CompoundFileError
        The container is damaged.
    """
    try:
        container = _Container(data)
        for name in names:
            for entry in container.entries:
                if entry[0].casefold() == name.casefold():
                    return container.content(start=entry[1], size=entry[2])
    except (struct.error, IndexError, ValueError) as error:
        raise CompoundFileError("its container is damaged") from error
    return None


def build_compound_file(name: str, content: bytes) -> bytes:
    """A compound file of a single stream.

    Parameters
    ----------
    name : str
        Of the stream.
    content : bytes
        At most 400 MiB.

    Returns
    -------
    bytes
        The file; a short stream is filled up with zeros.
    """
    content = content.ljust(_SHORTEST, b"\0")
    sectors = -(-len(content) // _SECTOR)
    tables = 1
    while tables * (_SECTOR // 4) < tables + 1 + sectors:
        tables += 1
    if tables > _IN_HEADER:
        raise ValueError("the stream is too long for a single file header")
    first = tables + 1
    chain = np.full(tables * (_SECTOR // 4), _FREE, dtype="<u4")
    chain[:tables] = _FAT_SECTOR
    chain[tables] = _END_OF_CHAIN
    chain[first : first + sectors] = np.arange(first + 1, first + sectors + 1)
    chain[first + sectors - 1] = _END_OF_CHAIN
    places = [*range(tables), *[_FREE] * (_IN_HEADER - tables)]
    header = COMPOUND_FILE + struct.pack(
        "<16xHHHHH6xIIIIIIIIII", 0x3E, 4, 0xFFFE, 12, 6, 1, tables, tables, 0, _SHORTEST, _END_OF_CHAIN, 0,
        _END_OF_CHAIN, 0, places[0],
    )  # fmt: skip
    header += struct.pack(f"<{_IN_HEADER - 1}I", *places[1:])
    directory = _entry("Root Entry", _ROOT, start=first, size=0, child=1)
    directory += _entry(name, _STREAM, start=first, size=len(content), child=_FREE)
    padding = b"\0" * (-len(content) % _SECTOR)
    return b"".join(
        [header.ljust(_SECTOR, b"\0"), chain.tobytes(), directory.ljust(_SECTOR, b"\0"), content, padding]
    )


def _entry(name: str, kind: int, *, start: int, size: int, child: int) -> bytes:
    """One line of the directory."""
    encoded = name.encode("utf-16-le")
    head = encoded.ljust(64, b"\0") + struct.pack("<HBB", len(encoded) + 2, kind, 1)
    return head + struct.pack("<III36xIQ", _FREE, _FREE, child, start, size)


class _Container:
    """Sectors and directory of a compound file."""

    def __init__(self, data: bytes) -> None:
        if not data.startswith(COMPOUND_FILE):
            raise CompoundFileError("it is no compound file")
        shift, mini_shift = struct.unpack_from("<HH", data, 30)
        if shift not in (9, 12) or mini_shift != 6:
            raise CompoundFileError("its sectors have an unknown size")
        self.data = data
        self.size = 1 << shift
        self.sectors = max(-(-len(data) // self.size) - 1, 0)
        (directory,) = struct.unpack_from("<I", data, 48)
        self.cutoff, mini_start = struct.unpack_from("<II", data, 56)
        self.chain = self._sector_numbers(self._table_places())
        self.entries = self._entries(self._joined(directory))
        self.mini_chain = self._sector_numbers(self._places(mini_start))
        root = next((entry for entry in self.entries if entry[3] == _ROOT), None)
        self.mini = b"" if root is None else self._joined(root[1])

    def content(self, *, start: int, size: int) -> bytes:
        """A stream, cut at its stated size."""
        if size >= self.cutoff:
            return self._joined(start)[:size]
        places = self._places(start, chain=self.mini_chain)
        return b"".join(self.mini[place << 6 : (place + 1) << 6] for place in places)[:size]

    def _sector(self, place: int) -> bytes:
        return self.data[(place + 1) * self.size : (place + 2) * self.size]

    def _joined(self, start: int) -> bytes:
        return b"".join(map(self._sector, self._places(start)))

    def _places(self, start: int, *, chain: npt.NDArray[np.uint32] | None = None) -> list[int]:
        """Sectors of a chain; a chain longer than its table is a ring."""
        table = self.chain if chain is None else chain
        places: list[int] = []
        place = start
        while place < _FAT_SECTOR - 1:
            if place >= len(table) or len(places) > len(table):
                raise CompoundFileError("a chain of its sectors leads nowhere")
            places.append(place)
            place = int(table[place])
        return places

    def _table_places(self) -> list[int]:
        """Sectors that hold the table of chains."""
        places = list(struct.unpack_from(f"<{_IN_HEADER}I", self.data, 76))
        (further,) = struct.unpack_from("<I", self.data, 68)
        for _ in range(self.sectors):
            if further >= self.sectors:
                break
            numbers = struct.unpack(f"<{self.size // 4}I", self._sector(further))
            places += numbers[:-1]
            further = numbers[-1]
        places = [place for place in places if place < self.sectors]
        return places[: self.sectors // (self.size // 4) + 1]

    def _sector_numbers(self, places: Sequence[int]) -> npt.NDArray[np.uint32]:
        raw = b"".join(map(self._sector, places))
        return np.frombuffer(raw[: len(raw) // 4 * 4], dtype="<u4")

    def _entries(self, directory: bytes) -> list[tuple[str, int, int, int]]:
        """Name, first sector, size and kind of every entry."""
        entries: list[tuple[str, int, int, int]] = []
        for at in range(0, min(len(directory), 128 * _MOST_ENTRIES) // 128 * 128, 128):
            length, kind = struct.unpack_from("<HB", directory, at + 64)
            start, size = struct.unpack_from("<II", directory, at + 116)
            name = directory[at : at + min(max(length - 2, 0), 64)].decode("utf-16-le", errors="replace")
            if kind in (_ROOT, _STREAM):
                entries.append((name, start, size, kind))
        return entries

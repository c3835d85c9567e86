"""Texts in the records of old workbooks: of bytes in a code page, or of characters of one or two bytes."""

import codecs
import struct
from collections.abc import Sequence

__all__ = ["byte_text", "shared_parts", "shared_texts", "single_text", "unicode_text"]

_WIDE, _EXTENDED, _RICH = 1, 4, 8
_LONGEST = 32_700
_LONGEST_PART = 65_500


def byte_text(content: bytes, at: int, code_page: int, *, wide: int = 1) -> str:
    """A text of bytes behind its length.

    Parameters
    ----------
    content : bytes
        Of the record.
    at : int
        Where the length stands.
    code_page : int
        Number of the code page; 1252 stands in for one that Python does not know.
    wide : int
        Bytes of the length, 1 or 2.
    """
    length = int.from_bytes(content[at : at + wide], "little")
    name = {10_000: "mac-roman", 10_007: "mac-cyrillic", 32_768: "mac-roman", 65_001: "utf-8"}.get(code_page)
    name = name or f"cp{code_page}"
    try:
        codecs.lookup(name)
    except LookupError:
        name = "cp1252"
    return content[at + wide : at + wide + length].decode(name, errors="replace")


def unicode_text(content: bytes, at: int, *, wide: int = 2) -> str:
    """A text of characters behind its length and a flag.

    Parameters
    ----------
    content : bytes
        Of the record.
    at : int
        Where the length stands.
    wide : int
        Bytes of the length, 1 or 2.
    """
    length = int.from_bytes(content[at : at + wide], "little")
    flags = content[at + wide]
    start = at + wide + 1 + (2 if flags & _RICH else 0) + (4 if flags & _EXTENDED else 0)
    if flags & _WIDE:
        return content[start : start + 2 * length].decode("utf-16-le", errors="replace")
    return content[start : start + length].decode("latin-1")


def single_text(text: str, *, wide: int = 2) -> bytes:
    """A text as it stands in a record.

    Parameters
    ----------
    text : str
        Cut at 32,700 characters, or the 255 of a length of one byte.
    wide : int
        Bytes of the length, 1 or 2.
    """
    most = 255 if wide == 1 else _LONGEST
    try:
        encoded, flags = text[:most].encode("latin-1"), 0
    except UnicodeEncodeError:
        encoded, flags = text.encode("utf-16-le", errors="replace")[: 2 * most], _WIDE
    return (len(encoded) >> flags).to_bytes(wide, "little") + bytes([flags]) + encoded


def shared_parts(texts: Sequence[str]) -> list[bytes]:
    """The texts that all sheets share, as the contents of a record and of those that continue it.

    Parameters
    ----------
    texts : sequence of str
        In the order of their numbers. None of them is cut by the end of a part.
    """
    parts: list[bytes] = []
    gathered = [struct.pack("<II", len(texts), len(texts))]
    size = len(gathered[0])
    for text in texts:
        encoded = single_text(text)
        if size + len(encoded) > _LONGEST_PART:
            parts.append(b"".join(gathered))
            gathered, size = [], 0
        gathered.append(encoded)
        size += len(encoded)
    return [*parts, b"".join(gathered)]


def shared_texts(parts: Sequence[bytes]) -> list[str]:
    """The texts that all sheets share, as far as they are whole.

    Parameters
    ----------
    parts : sequence of bytes
        Contents of the record of texts and of those that continue it.

    Returns
    -------
    list of str
        In the order of their numbers.

    Notes
    -----
    A text that is cut by the end of a part goes on in the next, there with a flag of its own.
    """
    if not parts or len(parts[0]) < 8:
        return []
    (stated,) = struct.unpack_from("<I", parts[0], 4)
    place = _Place(parts)
    texts: list[str] = []
    while len(texts) < stated:
        text = place.next_text()
        if text is None:
            break
        texts.append(text)
    return texts


class _Place:
    """A place in the parts of the shared texts that moves from text to text."""

    def __init__(self, parts: Sequence[bytes]) -> None:
        self.parts = parts
        self.part = 0
        self.at = 8

    def next_text(self) -> str | None:
        """The text at the place, which moves behind it; None where no whole text is left."""
        self._open_part()
        head = self._here(3)
        if head is None:
            return None
        length, flags = struct.unpack("<HB", head)
        runs = self._here(2) if flags & _RICH else b"\0\0"
        extra = self._here(4) if flags & _EXTENDED else b"\0\0\0\0"
        if runs is None or extra is None:
            return None
        text = self._characters(length, flags)
        behind = 4 * int.from_bytes(runs, "little") + int.from_bytes(extra, "little")
        return text if self._pass_bytes(behind) else None

    def _open_part(self) -> bool:
        """Move to the next part where this one is used up; false at the end of all."""
        while self.part < len(self.parts) and self.at >= len(self.parts[self.part]):
            self.part += 1
            self.at = 0
        return self.part < len(self.parts)

    def _here(self, size: int) -> bytes | None:
        """Bytes that must stand in one part."""
        if self.part >= len(self.parts) or self.at + size > len(self.parts[self.part]):
            return None
        self.at += size
        return self.parts[self.part][self.at - size : self.at]

    def _characters(self, length: int, flags: int) -> str | None:
        pieces: list[str] = []
        while True:
            width = 2 if flags & _WIDE else 1
            there = (len(self.parts[self.part]) - self.at) // width
            step = min(length, there)
            piece = self.parts[self.part][self.at : self.at + step * width]
            pieces.append(piece.decode("utf-16-le" if flags & _WIDE else "latin-1", errors="replace"))
            self.at += step * width
            length -= step
            if length == 0:
                return "".join(pieces)
            self.at = len(self.parts[self.part])
            if not self._open_part():
                return None
            flags = self.parts[self.part][0]
            self.at = 1

    def _pass_bytes(self, size: int) -> bool:
        while size > 0:
            if not self._open_part():
                return False
            step = min(size, len(self.parts[self.part]) - self.at)
            self.at += step
            size -= step
        return True

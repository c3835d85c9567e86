"""Bytes of a text file as text, whatever program wrote them, and what is no table of text at all."""

import re

__all__ = ["decoded_text", "what_it_is_instead"]

_SAMPLE = 8_192
_SHARE_OF_ZEROS = 0.1
_FEWEST_ZEROS = 4
_MARKS = (
    (b"\xff\xfe\0\0", "utf-32"), (b"\0\0\xfe\xff", "utf-32"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"),
    (b"\xef\xbb\xbf", "utf-8-sig"),
)  # fmt: skip
_WEB_PAGE = re.compile(r"<(!doctype html|html|head|body|table|meta)\b", re.IGNORECASE)
_WEB_ARCHIVE = re.compile(r"mime-version:", re.IGNORECASE)
_XML_WORKBOOK = "urn:schemas-microsoft-com:office:spreadsheet"


def decoded_text(raw: bytes) -> str:
    """Text of a file: by its byte-order mark, the zeros of UTF-16 without one, else UTF-8 or Windows Western.

    Parameters
    ----------
    raw : bytes
        The whole file, or its beginning.

    Returns
    -------
    str
        Bytes that are no text stand as U+FFFD.

    Notes
    -----
    A text in which far more characters are sound UTF-8 than are torn is UTF-8 that was cut or spoilt in
    places; Windows Western would turn each of its accents into two strange characters.
    """
    for mark, encoding in _MARKS:
        if raw.startswith(mark):
            return raw.decode(encoding, errors="replace")
    if encoding := _wide_encoding(raw[:_SAMPLE]):
        return raw.decode(encoding, errors="replace")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("utf-8", errors="replace")
    torn = text.count("\ufffd")
    sound = len(text) - len(text.encode("ascii", errors="ignore")) - torn
    return text if sound > 4 * torn else raw.decode("cp1252", errors="replace")


def what_it_is_instead(raw: bytes) -> str:
    """What a file is that should be a table of text, as the end of a sentence.

    Parameters
    ----------
    raw : bytes
        Beginning of the file.

    Returns
    -------
    str
        Empty where nothing speaks against a table of text.

    Examples
    --------
    >>> what_it_is_instead(b"<html><body><table>")
    'a web page'
    """
    head = decoded_text(raw[:_SAMPLE]).lstrip("\ufeff \t\r\n")
    if head.startswith("<"):
        if _XML_WORKBOOK in head:
            return "an XML spreadsheet of 2003"
        return "a web page" if _WEB_PAGE.search(head) else ""
    return "a web archive" if _WEB_ARCHIVE.match(head) else ""


def _wide_encoding(sample: bytes) -> str:
    """UTF-16 told by its zeros: marks, digits and line ends have one in every second place, all in the same."""
    pairs = len(sample) // 2
    even, odd = (sample[start : 2 * pairs : 2].count(0) for start in (0, 1))
    if max(even, odd) < max(_FEWEST_ZEROS, _SHARE_OF_ZEROS * pairs) or min(even, odd) > max(even, odd) / 10:
        return ""
    return "utf-16-le" if odd > even else "utf-16-be"

"""Text on its way into a cell: made safe, measured, wrapped."""

import re
from functools import lru_cache
from typing import Any

import pandas as pd

__all__ = ["chart_text", "clean_text", "is_hostile", "pixel_width", "wrapped_lines"]

CELL_LIMIT = 32767
_CUT_NOTE = " ... (cut: the cell limit is 32,767 characters)"
_SURROGATES = re.compile("[\ud800-\udfff]")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")

# Advance widths in thousandths of the font size, of the metric family shared by the common sans-serif
# faces (Arial, Liberation Sans); everything not named is taken at 556.
_NARROW = dict.fromkeys("ijl'", 222) | dict.fromkeys(" .,:;/\\!|tfI[]", 278) | dict.fromkeys("()-r`", 333)
_MIDDLE = dict.fromkeys("cksvxyzJ", 500) | dict.fromkeys("FTZL", 611) | dict.fromkeys("ABEKPSVXY&", 667)
_WIDE = dict.fromkeys("CDHNRUw", 722) | dict.fromkeys("GOQ", 778) | dict.fromkeys("mM", 833)
_ADVANCE = _NARROW | _MIDDLE | _WIDE | {"W": 944, "%": 889, "@": 1015}


def clean_text(value: Any) -> str:
    """Text of a cell: blank for nothing, valid Unicode, within the cell limit.

    Parameters
    ----------
    value : object
        Anything; None and NaN become empty text.

    Returns
    -------
    str
        At most 32,767 characters; a cut text says so at its end.
    """
    if not isinstance(value, str):
        if value is None or pd.isna(value):
            return ""
        value = str(value)
    if not value.isascii():
        value = _SURROGATES.sub("\ufffd", value)
    if len(value) > CELL_LIMIT:
        return str(value[: CELL_LIMIT - len(_CUT_NOTE)]) + _CUT_NOTE
    return str(value)


def is_hostile(text: str) -> bool:
    """Whether a spreadsheet program could take the text for a formula.

    Parameters
    ----------
    text : str
        Text of a cell.

    Returns
    -------
    bool
        True when it begins with `=`, `+`, `-`, `@`, a tab or a carriage return.
    """
    return text.startswith(_FORMULA_STARTS)


def chart_text(text: str) -> str:
    """Text for a chart title, axis or series name, where `Sheet!A1` would be read as a reference.

    Parameters
    ----------
    text : str
        Wanted text.

    Returns
    -------
    str
        Never a reference; cut after 200 characters.
    """
    text = clean_text(text)[:200].replace("!", "! ")
    return f" {text}" if is_hostile(text) else text


@lru_cache(maxsize=65536)
def pixel_width(text: str, *, bold: bool = False, size: float = 10) -> int:
    """Width of one line of text on screen.

    Parameters
    ----------
    text : str
        Text without line breaks.
    bold : bool
        Whether it is set in bold.
    size : float
        Font size [point].

    Returns
    -------
    int
        [pixel]
    """
    units = sum(_ADVANCE.get(c, 556) for c in text)
    return round(units / 1000 * size * 96 / 72 * (1.08 if bold else 1.0))


def wrapped_lines(text: str, *, width: int, bold: bool = False) -> int:
    """Lines a text takes in a cell, broken at spaces.

    Parameters
    ----------
    text : str
        Text, possibly with line breaks.
    width : int
        Room for the text [pixel].
    bold : bool
        Whether it is set in bold.

    Returns
    -------
    int
        1 or more.
    """
    lines = 0
    space = pixel_width(" ", bold=bold)
    for paragraph in text.split("\n"):
        used = 0
        lines += 1
        for word in paragraph.split(" "):
            need = pixel_width(word, bold=bold)
            if used and used + space + need > width:
                lines += 1
                used = 0
            if need > width:
                lines += need // width
                need %= width
            used += need + (space if used else 0)
    return lines

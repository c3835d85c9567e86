"""Numbers as people and spreadsheets write them: thousands marks, decimal commas, units, currencies."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

__all__ = ["BLANK_MARKS", "ParsedNumbers", "parse_numbers"]

BLANK_MARKS = frozenset(
    {"", "-", "--", "n/a", "na", "#n/a", "#na", "null", "none", "nan", "nil", "#value!", "#ref!", "#div/0!"}
)
"""Lower-case texts that mean an empty cell."""

_PLAIN = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,3})?", re.ASCII)
_DOTTED = re.compile(r"[-+]?(\d+|\d{1,3}(,\d{3})+)?(\.\d*)?", re.ASCII)
_COMMAED = re.compile(r"[-+]?(\d+|\d{1,3}(\.\d{3})+)?(,\d*)?", re.ASCII)
_SURELY_DOTTED = re.compile(
    r"[-+]?(\d*\.(\d{1,2}|\d{4,})|\d{4,}\.\d+|0\.\d+|\d{1,3}(,\d{3})+\.\d+|\d{1,3}(,\d{3}){2,})", re.ASCII
)
_SURELY_COMMAED = re.compile(
    r"[-+]?(\d*,(\d{1,2}|\d{4,})|\d{4,},\d+|0,\d+|\d{1,3}(\.\d{3})+,\d+|\d{1,3}(\.\d{3}){2,})", re.ASCII
)
_SURELY = {".": _SURELY_DOTTED, ",": _SURELY_COMMAED}
_UNSURE = re.compile(r"[-+]?[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
_THOUSANDS_GAP = re.compile(r"(?<=\d)[ '’](?=\d{3}(\D|$))", re.ASCII)
_CURRENCY = re.compile(r"^([€$£]|[A-Za-z]{3}(?![A-Za-z])\.?)\s*|\s*([€$£]|\b[A-Za-z]{3})$", re.ASCII)
_IN_BRACKETS = re.compile(r"\((.*)\)")


@dataclass(frozen=True)
class ParsedNumbers:
    """Numbers of one column.

    Parameters
    ----------
    values : numpy.ndarray
        NaN where blank or unreadable.
    bad : numpy.ndarray of bool
        Cells that are neither blank nor a number.
    note : str
        A choice between two readings, as a clause; empty where there was none.
    """

    values: npt.NDArray[np.float64]
    bad: npt.NDArray[np.bool_]
    note: str = ""


def parse_numbers(
    texts: npt.NDArray[np.object_],
    *,
    decimal: str = "",
    likely_decimal: str = ".",
    unit: str = "",
    is_money: bool = False,
    is_share: bool = False,
) -> ParsedNumbers:
    """Read a column of numbers.

    Parameters
    ----------
    texts : numpy.ndarray of object
        Trimmed cells.
    decimal : str
        Decimal mark, `.` or `,`, where it is known; else the column's own evidence decides.
    likely_decimal : str
        Decimal mark where the column has no evidence.
    unit : str
        Unit that may stand behind a number (`km`).
    is_money : bool
        A currency may stand beside the number, brackets mean below zero.
    is_share : bool
        A number with a per cent sign is divided by 100.

    Returns
    -------
    ParsedNumbers
        In the order of the cells.

    Notes
    -----
    A mark followed by one, two or four and more digits is a decimal mark, one that stands twice a thousands
    mark. A column whose every mark is followed by just three digits could be either: then the likely one holds
    and a note says so.

    Examples
    --------
    >>> parse_numbers(np.array(["104,500", "98,250.5", "1O4,500"], dtype=object)).values
    array([104500. ,  98250.5,      nan])
    """
    codes, distinct = pd.factorize(texts)
    words = [str(text) for text in distinct]
    numbers = np.full(len(words), np.nan)
    rest: list[int] = []
    for i, word in enumerate(words):
        if _PLAIN.fullmatch(word):
            numbers[i] = float(word)
        elif word.casefold() not in BLANK_MARKS:
            rest.append(i)
    note = ""
    if rest or "," in (decimal, likely_decimal):
        cleaned = {i: _cleaned(words[i], unit=unit, is_money=is_money, is_share=is_share) for i in rest}
        dotted = {i: word for i, word in enumerate(words) if "." in word and i not in cleaned}
        evident = _evident_mark([*dotted.values(), *cleaned.values()])
        mark = decimal or evident or likely_decimal
        if mark == ",":
            cleaned.update(dotted)
            note = "" if decimal or evident else _doubt(cleaned.values())
        for i, word in cleaned.items():
            per = 100.0 if is_share and words[i].endswith("%") else 1.0
            numbers[i] = _number(word, mark=mark, is_strict=bool(decimal)) / per
    bad = np.array([word.casefold() not in BLANK_MARKS for word in words], dtype=bool) & ~np.isfinite(numbers)
    numbers[~np.isfinite(numbers)] = np.nan
    return ParsedNumbers(numbers[codes], bad[codes], note)


def _cleaned(word: str, *, unit: str, is_money: bool, is_share: bool) -> str:
    """The number without what may stand beside it."""
    bare = word.strip()
    if unit and bare.casefold().endswith(unit):
        bare = bare[: -len(unit)].rstrip()
    if is_share:
        bare = bare.removesuffix("%").rstrip()
    if is_money:
        inner = _IN_BRACKETS.fullmatch(bare)
        bare = f"-{inner.group(1)}" if inner else bare
        bare = _CURRENCY.sub("", bare)
    return _THOUSANDS_GAP.sub("", bare)


def _evident_mark(words: Sequence[str]) -> str:
    """The decimal mark the column's own numbers show; empty where they leave it open."""
    dots = sum(1 for word in words if _SURELY_DOTTED.fullmatch(word))
    commas = sum(1 for word in words if _SURELY_COMMAED.fullmatch(word))
    if dots:
        return "."
    # A stray `12,5` among many `104,500` is a slip, not the column's way of writing.
    unsure = sum(1 for word in words if _UNSURE.fullmatch(word))
    return "," if commas and 9 * commas >= unsure else ""


def _number(word: str, *, mark: str, is_strict: bool) -> float:
    """The number under that decimal mark, or under the other where only the other fits; else NaN."""
    for trial in (mark,) if is_strict else (mark, "." if mark == "," else ","):
        pattern = (_COMMAED if trial == "," else _DOTTED) if trial == mark else _SURELY[trial]
        if pattern.fullmatch(word) and any(c.isdigit() for c in word):
            plain = word.replace(".", "").replace(",", ".") if trial == "," else word.replace(",", "")
            return float(plain)
    return np.nan


def _doubt(words: Iterable[str]) -> str:
    """A clause on the first number that could be read in two ways."""
    for word in words:
        if _UNSURE.fullmatch(word) and "." in word:
            return f"{word!r} was read as {word.replace('.', '')}, the dot as a thousands mark"
    return ""

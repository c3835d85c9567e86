"""Dates as people and spreadsheets write them, the order of day and month decided per column."""

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.values.number_parsing import BLANK_MARKS

__all__ = ["ParsedDates", "parse_dates", "parse_months"]

_FIRST_YEAR, _LAST_YEAR = 1950, 2100
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_LONG_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)

_TIME = re.compile(
    r"""(?:
        [T ,]+ (?:[01]?\d|2[0-4]) (?::[0-5]\d){1,2} (?:[.,]\d+)? (?:[ ]?[AP]\.?M\b\.?)?
        | (?<=\d)T (?:[01]\d|2[0-4]) [0-5]\d (?:[0-5]\d(?:[.,]\d+)?)?
        | [T ]+ (?:0?[1-9]|1[0-2]) [ ]? [AP]\.?M\b\.?
    ) (?:[ ]?(?:Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?))? $""",
    re.ASCII | re.IGNORECASE | re.VERBOSE,
)
_WEEKDAY = re.compile(
    r"(?:mon(?:day)?|tue(?:s(?:day)?)?|wed(?:nesday)?|thu(?:rs?(?:day)?)?|fri(?:day)?|sat(?:urday)?|sun(?:day)?)"
    r"(?:\.?,? +|\.|, *)(?=.)",
    re.ASCII | re.IGNORECASE,
)
_YEAR_FIRST = re.compile(r"(\d{4})([-/. ])(\d{1,2})\2(\d{1,2})", re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})", re.ASCII)
_RUN_TOGETHER = re.compile(r"(\d{4})(\d{2})(\d{2})(?:([01]\d|2[0-3])[0-5]\d(?:[0-5]\d)?)?", re.ASCII)
_DAY_MONTH_NAME = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?(?: of )?[-/. ]*([A-Za-z]{3,9})\.?[-/., ]*'?(\d{4}|\d{2})", re.ASCII | re.IGNORECASE
)
_MONTH_NAME_DAY = re.compile(
    r"([A-Za-z]{3,9})\.?[-/ ]*(\d{1,2})(?:st|nd|rd|th)?(?:,? +|, *|[-/])'?(\d{4}|\d{2})", re.ASCII | re.IGNORECASE
)
_YEAR_MONTH_NAME = re.compile(r"(\d{4})[-/. ]?([A-Za-z]{3,9})\.?[-/. ]?(\d{1,2})", re.ASCII)
_SERIAL = re.compile(r"(\d{5})([.,]\d+)?", re.ASCII)
# Day 1 is 1 January 1900, but that system counts a 29 February 1900 that never was: right from 1 March 1900 on.
_SERIAL_ORIGINS = {1900: np.datetime64("1899-12-30", "D"), 1904: np.datetime64("1904-01-01", "D")}
_FEWEST_SWAPPED = 8
_LONGEST = 64

_MONTH_YEAR_FIRST = re.compile(r"(\d{4})[-/. ]?(\d{1,2})", re.ASCII)
_MONTH_YEAR_LAST = re.compile(r"(\d{1,2})[-/. ](\d{4})", re.ASCII)
_MONTH_NAME_YEAR = re.compile(r"([A-Za-z]{3,9})\.?[-/., ]*(\d{4}|\d{2})", re.ASCII)


@dataclass(frozen=True)
class ParsedDates:
    """Dates of one column.

    Parameters
    ----------
    values : numpy.ndarray of datetime64[ns]
        NaT where blank or unreadable.
    bad : numpy.ndarray of bool
        Cells that are neither blank nor a date.
    note : str
        A choice between two readings, as a clause; empty where there was none.
    """

    values: npt.NDArray[np.datetime64]
    bad: npt.NDArray[np.bool_]
    note: str = ""


@dataclass(frozen=True)
class _Numeric:
    """A date of three numbers whose order is still open."""

    first: int
    second: int
    third: str
    mark: str


@dataclass(frozen=True)
class _Order:
    """`dmy`, `mdy` or `ymd`, and a clause where it was a choice."""

    name: str
    note: str


def parse_dates(texts: npt.NDArray[np.object_], *, date_order: str = "", date_system: int = 1900) -> ParsedDates:
    """Read a column of dates; a time of day is left off.

    Parameters
    ----------
    texts : numpy.ndarray of object
        Trimmed cells.
    date_order : str
        `dmy`, `mdy` or `ymd` for dates such as 03/04/21; else the column's own evidence decides, and day
        first where it has none.
    date_system : int
        1900 or 1904: where plain day numbers count from.

    Returns
    -------
    ParsedDates
        Dates of the years 1950 to 2100.

    Notes
    -----
    Read whatever the order: ISO (2026-06-30, 20260630), month names in English, and a spreadsheet's day
    numbers. A two-digit year of 69 or more belongs to the 1900s. Where some dates of a column can only be day
    first and others only month first, the order of the greater number holds and the others are bad.

    Examples
    --------
    >>> parse_dates(np.array(["03/04/2021", "25/04/2021"], dtype=object)).values.astype("M8[D]")
    array(['2021-04-03', '2021-04-25'], dtype='datetime64[D]')
    """
    codes, distinct = pd.factorize(texts)
    days = [_WEEKDAY.sub("", _without_time(str(text)).rstrip(","), count=1) for text in distinct]
    read = [_fixed_date(day, date_system) for day in days]
    order = _order(days, read, np.bincount(codes, minlength=len(days)), stated=date_order)
    parsed = [_ordered(date, order.name) if isinstance(date, _Numeric) else date for date in read]
    return _assembled(codes, days, parsed, order.note)


def parse_months(texts: npt.NDArray[np.object_], *, date_system: int = 1900) -> ParsedDates:
    """Read a column of months as the first day of each.

    Parameters
    ----------
    texts : numpy.ndarray of object
        Trimmed cells: 2026-07, 07/2026, Jul 2026, or any date of the month in ISO form.
    date_system : int
        1900 or 1904: where plain day numbers count from.

    Returns
    -------
    ParsedDates
        First days of months of the years 1950 to 2100.
    """
    codes, distinct = pd.factorize(texts)
    words = [_without_time(str(text)) for text in distinct]
    return _assembled(codes, words, [_month(word, date_system) for word in words], "")


def _without_time(text: str) -> str:
    """The date of a cell; of one too long for a date just a mark, so that no time is lost on it."""
    return _TIME.sub("", text) if len(text) <= _LONGEST else "?"


def _fixed_date(day: str, date_system: int) -> np.datetime64 | _Numeric | None:
    """The date where its form leaves no choice; its three numbers where the order is open."""
    if match := _YEAR_FIRST.fullmatch(day):
        return _calendar_day(int(match[1]), int(match[3]), int(match[4]))
    if match := _YEAR_LAST.fullmatch(day):
        return _Numeric(int(match[1]), int(match[3]), match[4], match[2])
    if match := _RUN_TOGETHER.fullmatch(day):
        return _calendar_day(int(match[1]), int(match[2]), int(match[3]))
    if match := _SERIAL.fullmatch(day):
        return _serial_day(int(match[1]), date_system)
    if match := _DAY_MONTH_NAME.fullmatch(day):
        return _calendar_day(_full_year(match[3]), _month_number(match[2]), int(match[1]))
    if match := _MONTH_NAME_DAY.fullmatch(day):
        return _calendar_day(_full_year(match[3]), _month_number(match[1]), int(match[2]))
    if match := _YEAR_MONTH_NAME.fullmatch(day):
        return _calendar_day(int(match[1]), _month_number(match[2]), int(match[3]))
    return None


def _serial_day(number: int, date_system: int) -> np.datetime64 | None:
    """The day of a spreadsheet's day number, where it is within the years allowed."""
    day = _SERIAL_ORIGINS[date_system] + np.timedelta64(number, "D")
    return day if _FIRST_YEAR <= int(str(day)[:4]) <= _LAST_YEAR else None


def _order(
    days: Sequence[str],
    read: Sequence[np.datetime64 | _Numeric | None],
    counts: npt.NDArray[np.intp],
    *,
    stated: str,
) -> _Order:
    """The order of day and month that holds for the column, and what is to be said of it."""
    rows = [(date, int(n)) for date, n in zip(read, counts, strict=True) if isinstance(date, _Numeric)]
    if stated or not rows:
        return _Order(stated, "")
    day_first = sum(n for date, n in rows if date.first > 12 >= date.second)
    month_first = sum(n for date, n in rows if date.second > 12 >= date.first)
    order = "mdy" if month_first > day_first else "dmy"
    said = "day first" if order == "dmy" else "month first"
    if day_first and month_first:
        most, others = max(day_first, month_first), min(day_first, month_first)
        return _Order(order, f"{most:,} dates can only be read {said}, {others:,} only the other way round")
    if day_first == month_first and any(date.mark != "." and date.first != date.second for date, _ in rows):
        shown = next(day for day, date in zip(days, read, strict=True) if isinstance(date, _Numeric))
        return _Order(order, f"{shown!r} was read day first")
    if _looks_swapped(read, [date for date, _ in rows], order):
        return _Order(order, "dates kept as such all fall on days 1 to 12 and texts on days 13 to 31, as when a "
                      "spreadsheet took day for month; see whether those up to 12 are the wrong way round")  # fmt: skip
    return _Order(order, "")


def _looks_swapped(
    read: Sequence[np.datetime64 | _Numeric | None], texts: Sequence[_Numeric], order: str
) -> bool:
    """Whether a spreadsheet of the other order seems to have turned into dates what it could, and only that."""
    fixed = [int(str(date)[8:10]) for date in read if isinstance(date, np.datetime64)]
    days = [date.first if order == "dmy" else date.second for date in texts]
    return len(fixed) >= _FEWEST_SWAPPED and max(fixed) <= 12 and len(days) >= _FEWEST_SWAPPED and min(days) > 12


def _ordered(date: _Numeric, order: str) -> np.datetime64 | None:
    if order == "ymd":
        return _calendar_day(_full_year(f"{date.first:02d}"), date.second, int(date.third))
    day, month = (date.first, date.second) if order == "dmy" else (date.second, date.first)
    return _calendar_day(_full_year(date.third), month, day)


def _full_year(digits: str) -> int:
    """A year of two digits in its century, by the usual convention of POSIX (69 to 99 = 1969 to 1999)."""
    year = int(digits)
    return year if len(digits) == 4 else year + (1900 if year >= 69 else 2000)


def _month_number(name: str) -> int:
    """1 to 12; 0 for a name of no month."""
    short = name[:3].casefold()
    whole = name.casefold()
    if short not in _MONTHS or not (len(whole) == 3 or _LONG_MONTHS[_MONTHS.index(short)].startswith(whole)):
        return 0
    return _MONTHS.index(short) + 1


def _calendar_day(year: int, month: int, day: int) -> np.datetime64 | None:
    """The day, where the calendar has it within the years allowed."""
    try:
        date = dt.date(year, month, day)
    except ValueError:
        return None
    return np.datetime64(date, "D") if _FIRST_YEAR <= year <= _LAST_YEAR else None


def _month(word: str, date_system: int) -> np.datetime64 | None:
    day: np.datetime64 | _Numeric | None = None
    if match := _MONTH_YEAR_FIRST.fullmatch(word):
        day = _calendar_day(int(match[1]), int(match[2]), 1)
    elif match := _MONTH_YEAR_LAST.fullmatch(word):
        day = _calendar_day(int(match[2]), int(match[1]), 1)
    elif match := _MONTH_NAME_YEAR.fullmatch(word):
        day = _calendar_day(_full_year(match[2]), _month_number(match[1]), 1)
    if day is None:
        day = _fixed_date(word, date_system)
    return day.astype("M8[M]").astype("M8[D]") if isinstance(day, np.datetime64) else None


def _assembled(
    codes: npt.NDArray[np.intp], words: Sequence[str], parsed: Sequence[np.datetime64 | None], note: str
) -> ParsedDates:
    """Results per distinct text, laid out as the column."""
    values = np.array([np.datetime64("NaT", "D") if date is None else date for date in parsed], dtype="M8[ns]")
    blank = np.array([word.casefold() in BLANK_MARKS for word in words], dtype=bool)
    return ParsedDates(values[codes], (np.isnat(values) & ~blank)[codes], note)

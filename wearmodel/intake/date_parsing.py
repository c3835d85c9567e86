"""Dates as people and spreadsheets write them, the order of day and month decided per column."""

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.number_parsing import BLANK_MARKS

__all__ = ["ParsedDates", "parse_dates", "parse_months"]

_FIRST_YEAR, _LAST_YEAR = 1950, 2100
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_LONG_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)

_TIME = re.compile(
    r"(?:[T ]+([01]?\d|2[0-4])(:[0-5]\d){1,2}([.,]\d+)?( ?[AP]M)?( ?(Z|UTC|[+-]\d{2}:?\d{2}))?)$",
    re.ASCII | re.IGNORECASE,
)
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})", re.ASCII)
_RUN_TOGETHER = re.compile(r"(\d{4})(\d{2})(\d{2})", re.ASCII)
_DAY_MONTH_NAME = re.compile(r"(\d{1,2})[-/. ]*([A-Za-z]{3,9})\.?[-/., ]*(\d{4}|\d{2})", re.ASCII)
_MONTH_NAME_DAY = re.compile(r"([A-Za-z]{3,9})\.? *(\d{1,2}),? +(\d{4})", re.ASCII)
_SERIAL = re.compile(r"([2-7]\d{4})(\.\d+)?", re.ASCII)
_SERIAL_ORIGIN = np.datetime64("1899-12-30", "D")

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


def parse_dates(texts: npt.NDArray[np.object_], *, date_order: str = "") -> ParsedDates:
    """Read a column of dates; a time of day is left off.

    Parameters
    ----------
    texts : numpy.ndarray of object
        Trimmed cells.
    date_order : str
        `dmy`, `mdy` or `ymd` for dates such as 03/04/21; else the column's own evidence decides, and day
        first where it has none.

    Returns
    -------
    ParsedDates
        Dates of the years 1950 to 2100.

    Notes
    -----
    Read whatever the order: ISO (2026-06-30, 20260630), month names in English, and a spreadsheet's day
    numbers from 30 December 1899. A two-digit year of 69 or more belongs to the 1900s.

    Examples
    --------
    >>> parse_dates(np.array(["03/04/2021", "25/04/2021"], dtype=object)).values.astype("M8[D]")
    array(['2021-04-03', '2021-04-25'], dtype='datetime64[D]')
    """
    codes, distinct = pd.factorize(texts)
    days = [_TIME.sub("", str(text)).rstrip(",") for text in distinct]
    read = [_fixed_date(day) for day in days]
    open_dates = [date for date in read if isinstance(date, _Numeric)]
    order = date_order or _evident_order(open_dates)
    note = ""
    if open_dates and not order:
        order = "dmy"
        if any(date.mark != "." and date.first != date.second for date in open_dates):
            shown = next(day for day, date in zip(days, read, strict=True) if isinstance(date, _Numeric))
            note = f"{shown!r} was read day first"
    parsed = [_ordered(date, order) if isinstance(date, _Numeric) else date for date in read]
    return _assembled(codes, days, parsed, note)


def parse_months(texts: npt.NDArray[np.object_]) -> ParsedDates:
    """Read a column of months as the first day of each.

    Parameters
    ----------
    texts : numpy.ndarray of object
        Trimmed cells: 2026-07, 07/2026, Jul 2026, or any date of the month in ISO form.

    Returns
    -------
    ParsedDates
        First days of months of the years 1950 to 2100.
    """
    codes, distinct = pd.factorize(texts)
    words = [_TIME.sub("", str(text)) for text in distinct]
    return _assembled(codes, words, [_month(word) for word in words], "")


def _fixed_date(day: str) -> np.datetime64 | _Numeric | None:
    """The date where its form leaves no choice; its three numbers where the order is open."""
    if match := _YEAR_FIRST.fullmatch(day):
        return _calendar_day(int(match[1]), int(match[3]), int(match[4]))
    if match := _YEAR_LAST.fullmatch(day):
        return _Numeric(int(match[1]), int(match[3]), match[4], match[2])
    if match := _RUN_TOGETHER.fullmatch(day):
        return _calendar_day(int(match[1]), int(match[2]), int(match[3]))
    if match := _SERIAL.fullmatch(day):
        return _SERIAL_ORIGIN + np.timedelta64(int(match[1]), "D")
    if match := _DAY_MONTH_NAME.fullmatch(day):
        return _calendar_day(_full_year(match[3]), _month_number(match[2]), int(match[1]))
    if match := _MONTH_NAME_DAY.fullmatch(day):
        return _calendar_day(int(match[3]), _month_number(match[1]), int(match[2]))
    return None


def _evident_order(dates: Sequence[_Numeric]) -> str:
    """`dmy` or `mdy` by the numbers above 12; empty where they leave it open."""
    day_first = sum(1 for date in dates if date.first > 12 >= date.second)
    month_first = sum(1 for date in dates if date.second > 12 >= date.first)
    if day_first == month_first:
        return ""
    return "dmy" if day_first > month_first else "mdy"


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


def _month(word: str) -> np.datetime64 | None:
    if match := _MONTH_YEAR_FIRST.fullmatch(word):
        return _calendar_day(int(match[1]), int(match[2]), 1)
    if match := _MONTH_YEAR_LAST.fullmatch(word):
        return _calendar_day(int(match[2]), int(match[1]), 1)
    if match := _MONTH_NAME_YEAR.fullmatch(word):
        return _calendar_day(_full_year(match[2]), _month_number(match[1]), 1)
    day = _fixed_date(word)
    return day.astype("M8[M]").astype("M8[D]") if isinstance(day, np.datetime64) else None


def _assembled(
    codes: npt.NDArray[np.intp], words: Sequence[str], parsed: Sequence[np.datetime64 | None], note: str
) -> ParsedDates:
    """Results per distinct text, laid out as the column."""
    values = np.array([np.datetime64("NaT") if date is None else date for date in parsed], dtype="M8[ns]")
    blank = np.array([word.casefold() in BLANK_MARKS for word in words], dtype=bool)
    return ParsedDates(values[codes], (np.isnat(values) & ~blank)[codes], note)

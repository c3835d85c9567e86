"""Day numbers of spreadsheets and every way of writing a date, against Python's datetime and calendar."""

import calendar
import datetime as dt

import numpy as np
import openpyxl.utils.datetime as spreadsheet_dates
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearmodel.intake.values.date_parsing import parse_dates, parse_months

DAYS = st.dates(dt.date(1950, 1, 1), dt.date(2100, 12, 31))
SYSTEMS = {1900: spreadsheet_dates.CALENDAR_WINDOWS_1900, 1904: spreadsheet_dates.CALENDAR_MAC_1904}


def dates(*texts, **options):
    return parse_dates(np.array(texts, dtype=object), **options)


def found(parsed):
    return [None if pd.isna(value) else pd.Timestamp(value).date() for value in parsed.values]


@pytest.mark.parametrize("system", [1900, 1904])
@given(day=DAYS, share=st.floats(0, 0.999))
def test_day_numbers_against_another_library(system, day, share):
    """openpyxl's own conversion, in both systems, with and without a time of day."""
    serial = int(spreadsheet_dates.to_excel(day, SYSTEMS[system]))
    texts = (f"{serial}", f"{serial}.5", f"{serial + round(share, 6):.6f}", f"{serial},25")
    assert found(dates(*texts, date_system=system)) == [day] * 4


def test_every_end_of_february_as_a_day_number():
    """Leap years by Python's calendar: 2000 is one, 2100 is not."""
    for year in range(1950, 2101):
        last = dt.date(year, 2, 29 if calendar.isleap(year) else 28)
        serial = (last - dt.date(1899, 12, 30)).days
        assert found(dates(str(serial), str(serial + 1))) == [last, dt.date(year, 3, 1)]
        bad = dates(f"{year}-02-29", f"29.02.{year}", f"29 Feb {year}").bad
        assert list(bad) == [not calendar.isleap(year)] * 3


@pytest.mark.parametrize(
    "serial", ["0", "1", "59", "60", "61", "366", "18263", "73416", "99999", "-45123", "45123.5.1", "4.5e4"]
)
def test_numbers_that_are_no_day_of_these_years(serial):
    """60 stands for 29 February 1900, a day that never was; numbers before 1950 and after 2100 are no dates here."""
    assert dates(serial).bad[0] and np.isnat(dates(serial).values[0])


def test_first_and_last_day_number():
    assert found(dates("18264", "73415")) == [dt.date(1950, 1, 1), dt.date(2100, 12, 31)]
    assert found(dates("16802", "71953", date_system=1904)) == [dt.date(1950, 1, 1), dt.date(2100, 12, 31)]
    assert list(dates("16801", "71954", date_system=1904).bad) == [True, True]


@given(st.lists(DAYS, min_size=1, max_size=12))
def test_a_column_of_numbers_and_texts(days):
    forms = [
        lambda day: str((day - dt.date(1899, 12, 30)).days), dt.date.isoformat, lambda day: f"{day:%d/%m/%Y}",
        lambda day: f"{day:%Y%m%d}", lambda day: f"{day:%d %b %Y}",
    ]  # fmt: skip
    texts = [forms[i % 5](day) for i, day in enumerate(days)]
    assert found(dates(*texts, date_order="dmy")) == days


TIMES = [
    "14:22", "14:22:05", "2:22 PM", "2:22:05 pm", "02:22 p.m.", "2 PM", "T14:22:05Z", "T14:22:05.123+02:00",
    "T14:22-0500", "T142205Z", "T1422", "14:22 UTC", "24:00",
]  # fmt: skip


@pytest.mark.parametrize("moment", TIMES)
@pytest.mark.parametrize("form", ["%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d %B %Y", "%B %d, %Y", "%Y%m%d", "%d-%b-%y"])
def test_a_time_of_day_behind_any_form(form, moment):
    day = dt.date(2024, 3, 25)
    text = f"{day:{form}}" + (moment if moment.startswith("T") else f" {moment}")
    assert found(dates(text)) == [day]


@given(moment=st.datetimes(dt.datetime(1950, 1, 1), dt.datetime(2100, 12, 31)))
def test_moments_of_python_come_back(moment):
    zone = dt.timezone(dt.timedelta(hours=5, minutes=30))
    texts = [moment.isoformat(), moment.isoformat(" ", "minutes"), moment.replace(tzinfo=zone).isoformat()]
    assert found(dates(*texts, moment.strftime("%Y%m%d%H%M%S"))) == [moment.date()] * 4


WRITTEN = [
    "%A, %d %B %Y", "%a %d/%m/%Y", "%a, %d %b %Y", "%b %d, %Y", "%B %d %Y", "%b. %d, %Y", "%d-%b-%y", "%b-%d-%Y",
    "%Y-%b-%d", "%d%b%Y", "%d %b '%y", "%Y/%m/%d", "%Y.%m.%d", "%Y %m %d", "%d-%m-%Y", "%d %m %Y",
]  # fmt: skip


@pytest.mark.parametrize("form", WRITTEN)
@given(day=st.dates(dt.date(1969, 1, 1), dt.date(2068, 12, 31)))
def test_written_dates_of_python_come_back(form, day):
    """Two-digit years as Python reads them: 69 to 99 are of the 1900s."""
    text = day.strftime(form)
    for variant in (text, text.upper(), text.lower()):
        assert found(dates(variant, date_order="dmy")) == [day]


@pytest.mark.parametrize("month", range(1, 13))
def test_month_names_and_ordinals(month):
    day = dt.date(2024, month, 2)
    whole, short = calendar.month_name[month], calendar.month_abbr[month]
    texts = [f"2nd {whole} 2024", f"{whole} 2nd, 2024", f"2 {whole[:4]} 24", f"{short}. 2, 2024", f"2nd of {whole} 24"]
    assert found(dates(*texts)) == [day] * 5


def test_mixed_evidence_the_majority_holds():
    parsed = dates("13/02/2024", "14/02/2024", "02/13/2024", "03/04/2024", "")
    assert found(parsed) == [dt.date(2024, 2, 13), dt.date(2024, 2, 14), None, dt.date(2024, 4, 3), None]
    assert list(parsed.bad) == [False, False, True, False, False]
    assert parsed.note == "2 dates can only be read day first, 1 only the other way round"


def test_rows_count_not_different_dates():
    """One wording in many rows outweighs two in one row each."""
    parsed = dates(*["02/13/2024"] * 5, "13/02/2024", "14/02/2024", "03/04/2024")
    assert list(parsed.bad) == [False] * 5 + [True, True, False] and found(parsed)[-1] == dt.date(2024, 3, 4)
    assert parsed.note == "5 dates can only be read month first, 2 only the other way round"


def test_equal_evidence_is_day_first_and_noted():
    parsed = dates("13/02/2024", "02/13/2024")
    assert list(parsed.bad) == [False, True] and "1 dates can only be read day first" in parsed.note


def test_days_and_months_swapped_by_a_spreadsheet_are_noted():
    """Opened under the other order, 03/04 became a true date and 13/04 stayed text: a sign worth a word."""
    true = [f"2024-{month:02d}-05" for month in range(1, 10)]
    texts = [f"{day}/04/2024" for day in range(13, 25)]
    assert "all fall on days 1 to 12" in dates(*true, *texts).note
    assert dates(*true, "2024-04-20", *texts).note == ""
    assert dates(*true, *texts, "05/04/2024").note == ""
    assert dates(*true, *texts, date_order="dmy").note == ""


def test_months_as_day_numbers():
    def months(*texts, **options):
        return found(parse_months(np.array(texts, dtype=object), **options))

    assert months("45352", "2024-03", "Mar 2024", "2024-03-31") == [dt.date(2024, 3, 1)] * 4
    assert months("43890", date_system=1904) == [dt.date(2024, 3, 1)]


@pytest.mark.parametrize("text", ["T" * 200_000, "," * 200_000, "1" * 100_000, "5 March" * 50_000, "5" + " 1" * 99_999])
def test_long_cells_take_no_time(text):
    assert dates(text).bad[0]

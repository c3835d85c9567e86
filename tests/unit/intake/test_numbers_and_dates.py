"""Numbers and dates as people write them, checked against the standard library."""

import datetime as dt
import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearmodel.intake.values.date_parsing import parse_dates, parse_months
from wearmodel.intake.values.number_parsing import parse_numbers


def numbers(*texts, **options):
    return parse_numbers(np.array(texts, dtype=object), **options)


def dates(*texts, **options):
    return parse_dates(np.array(texts, dtype=object), **options)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("104500", 104500), ("104,500", 104500), ("104 500", 104500), ("104'500", 104500), ("1,104,500.5", 1104500.5),
        ("1.104.500,5", 1104500.5), ("12,5", 12.5), ("12.5", 12.5), ("-3", -3), ("+3", 3), (".5", 0.5), ("5.", 5),
        ("1e5", 1e5), ("1E+05", 1e5), ("0,125", 0.125), ("1234,567", 1234.567),
    ],
)  # fmt: skip
def test_one_number(text, value):
    parsed = numbers(text)
    assert parsed.values[0] == value and not parsed.bad[0]


@pytest.mark.parametrize(
    "text",
    [
        "1O4,500", "12a", "1,2,3", "1.2.3", "0x10", "1_000", "inf", "-inf", "infinity", "1e999", "=1+1", "12 13",
        "10 4500", "--1", "+-1", ",", ".", "１２", "٣", "1,5,", "1e", "TRUE",
    ],
)  # fmt: skip
def test_no_number(text):
    parsed = numbers(text)
    assert parsed.bad[0] and math.isnan(parsed.values[0])


@pytest.mark.parametrize("text", ["", "-", "N/A", "#N/A", "null", "None", "nan", "#DIV/0!"])
def test_blank(text):
    parsed = numbers(text)
    assert not parsed.bad[0] and math.isnan(parsed.values[0])
    assert not dates(text).bad[0]


def test_the_column_decides_between_two_readings():
    assert list(numbers("104,500", "12.5").values) == [104500, 12.5]
    assert list(numbers("104.500", "12,5").values) == [104500, 12.5]
    assert list(numbers("104.500", "98.250").values) == [104.5, 98.25]
    assert list(numbers("104.500", "98.250", decimal=",").values) == [104500, 98250]
    assert list(numbers("104,500", "98,250", decimal=",").values) == [104.5, 98.25]


def test_a_likely_comma_is_mentioned_when_it_alone_decides():
    parsed = numbers("104.500", "98.250", likely_decimal=",")
    assert list(parsed.values) == [104500, 98250]
    assert parsed.note == "'104.500' was read as 104500, the dot as a thousands mark"
    assert numbers("104.500", "98.25", likely_decimal=",").note == ""


def test_one_slip_does_not_turn_a_column_round():
    parsed = numbers(*[f"{i},500" for i in range(100, 140)], "12,5")
    assert list(parsed.values[:2]) == [100500, 101500] and parsed.values[-1] == 12.5


def test_a_stated_mark_is_strict():
    assert numbers("12.55", decimal=",").bad[0]
    assert numbers("12,55", decimal=".").bad[0]


def test_what_may_stand_beside_a_number():
    assert numbers("104500 km", unit="km").values[0] == 104500
    assert numbers("104500 mi", unit="km").bad[0]
    assert list(numbers("€ 12.50", "12.50 EUR", "GBP12.50", "(12.50)", is_money=True).values) == [12.5] * 3 + [-12.5]
    assert list(numbers("35%", "0.35", is_share=True).values) == [0.35, 0.35]
    assert numbers("35%").bad[0]


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_of_python_come_back(value):
    assert numbers(repr(value)).values[0] == value


@given(st.lists(st.integers(-(10**9), 10**9), min_size=1))
def test_thousands_marks_of_python_come_back(values):
    assert list(numbers(*[f"{value:,}" for value in values]).values) == values


@given(st.lists(st.floats(0.01, 1e7).map(lambda x: round(x, 2)), min_size=1))
def test_swapped_marks_of_python_come_back(values):
    texts = [f"{value:,.2f}".translate(str.maketrans(",.", ".,")) for value in values]
    assert list(numbers(*texts).values) == values


DAYS = st.dates(dt.date(1950, 1, 1), dt.date(2100, 12, 31))
FORMATS = ["%Y-%m-%d", "%Y/%m/%d", "%Y%m%d", "%d %b %Y", "%d-%b-%Y", "%d %B %Y", "%B %d, %Y", "%Y-%m-%dT%H:%M:%S"]


@pytest.mark.parametrize("form", FORMATS)
@given(day=DAYS)
def test_dates_of_python_come_back(form, day):
    parsed = dates(day.strftime(form).replace(f"{day.year}", f"{day.year:04d}"))
    assert pd.Timestamp(parsed.values[0]).date() == day


@pytest.mark.parametrize(("order", "form"), [("dmy", "%d/%m/%Y"), ("mdy", "%m/%d/%Y"), ("dmy", "%d.%m.%Y")])
@given(day=DAYS)
def test_dates_in_a_stated_order_come_back(order, form, day):
    assert pd.Timestamp(dates(day.strftime(form), date_order=order).values[0]).date() == day


@given(day=DAYS)
def test_two_digit_years_as_python_reads_them(day):
    """Python follows POSIX `strptime`: 69 to 99 are of the 1900s."""
    for order, form in (("dmy", "%d/%m/%y"), ("mdy", "%m/%d/%y"), ("ymd", "%y/%m/%d")):
        text = day.strftime(form)
        try:
            expected = dt.datetime.strptime(text, form).date()
        except ValueError:  # 29 February of a century without one
            assert dates(text, date_order=order).bad[0]
            continue
        assert pd.Timestamp(dates(text, date_order=order).values[0]).date() == expected


@given(st.integers(20000, 73050))
def test_day_numbers_of_a_spreadsheet(serial):
    """Day 1 is 1 January 1900 with the leap day of 1900 that never was: from 1 March 1900 on, 1899-12-30 + n."""
    day = dt.date(1899, 12, 30) + dt.timedelta(days=serial)
    for text in (f"{serial}", f"{serial}.75"):
        assert pd.Timestamp(dates(text).values[0]).date() == day


def test_order_from_the_evidence_of_the_column():
    assert [str(d)[:10] for d in dates("03/04/2021", "25/04/2021").values] == ["2021-04-03", "2021-04-25"]
    assert [str(d)[:10] for d in dates("03/04/2021", "04/25/2021").values] == ["2021-03-04", "2021-04-25"]
    mixed = dates("03/04/2021", "04/25/2021", "05/26/2021", "25/04/2021")
    assert list(mixed.bad) == [False, False, False, True]


def test_day_first_without_evidence_and_a_note():
    parsed = dates("03/04/2021", "05/06/2021")
    assert str(parsed.values[0])[:10] == "2021-04-03" and parsed.note == "'03/04/2021' was read day first"
    assert dates("03.04.2021").note == "" and dates("04/04/2021").note == ""
    assert dates("03/04/2021", date_order="dmy").note == ""


@pytest.mark.parametrize(
    "text",
    [
        "31/02/2021", "2021-02-29", "00/01/2021", "2021-13-01", "1949-12-31", "2101-01-01", "0203-01-01", "tomorrow",
        "2021-01-01 25:00", "12", "123456", "1.2.3.4", "32 Jan 2021", "12 Foo 2021", "2021-01/02", "١٢/٠٣/٢٠٢١",
        "=TODAY()",
    ],
)  # fmt: skip
def test_no_date(text):
    parsed = dates(text)
    assert parsed.bad[0] and np.isnat(parsed.values[0])


TIMES = ["2021-04-03 14:05", "2021-04-03T14:05:06.789Z", "3/4/2021 2:05 pm", "2021-04-03 24:00"]


@pytest.mark.parametrize("text", TIMES)
def test_a_time_of_day_is_left_off(text):
    assert str(dates(text).values[0])[:10] == "2021-04-03"


MONTHS = ["2026-07", "2026-7", "07/2026", "Jul 2026", "July 2026", "2026-07-01", "Jul-26", "202607"]


@pytest.mark.parametrize("text", MONTHS)
def test_months(text):
    parsed = parse_months(np.array([text], dtype=object))
    assert str(parsed.values[0])[:10] == "2026-07-01"


@pytest.mark.parametrize("text", ["2026-13", "13/2026", "07", "July", "2026"])
def test_no_month(text):
    assert parse_months(np.array([text], dtype=object)).bad[0]


def test_ambiguous_dates_are_noted_for_the_fleet(fleet):
    fleet.column("inspections", "date", lambda _: "03/04/2021")
    notes = fleet.read().notes
    start = "inspections.csv, column date: '03/04/2021' was read day first; set date_order under [tables.inspections]"
    assert any(note.startswith(start) for note in notes)


def test_date_order_of_fleet_toml(fleet):
    fleet.column("inspections", "date", lambda _: "03/04/2021")
    result = fleet.read("[tables.inspections]\ndate_order = 'mdy'\n")
    assert set(result.tables["inspections"]["date"]) == {pd.Timestamp("2021-03-04")}

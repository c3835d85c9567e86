"""Headings of a shop's tables."""

import pytest

from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.header_names import HEADER_VARIANTS, match_headers
from wearmodel.intake.schema import SCHEMA

VARIANTS = [
    (table, column, variant)
    for table, entry in SCHEMA.items()
    for column in entry.names
    for variant in HEADER_VARIANTS[column]
]


@pytest.mark.parametrize(("table", "column", "variant"), VARIANTS)
def test_each_variant_beside_canonical_headings(table, column, variant):
    """A variant is found for its column while all others stand under their own names."""
    others = [name for name in SCHEMA[table].names if name not in (column, variant.replace(" ", "_"))]
    match = match_headers([*others, variant.title()], table=table)
    expected = variant.replace(" ", "_") if variant.replace(" ", "_") in SCHEMA[table].names else column
    assert match.columns[expected] == len(others)
    assert not match.problems


@pytest.mark.parametrize("heading", ["In-Service Date", "IN_SERVICE_DATE", " in  service date ", "InServiceDate:"])
def test_case_spaces_and_punctuation_do_not_matter(heading):
    assert match_headers([heading], table="vehicles").columns == {"in_service_date": 0}


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("Odometer (mi)", "mi"), ("odometer_km", "km"), ("Odometer [Miles]", "mi"), ("Odometer (at close)", ""),
        ("Miles", "mi"), ("Mileage", ""), ("Odometer", ""), ("Meter reading km", "km"),
    ],
)  # fmt: skip
def test_unit_in_a_heading(heading, unit):
    match = match_headers([heading], table="readings")
    assert match.columns == {"odometer": 0}
    assert match.units.get("odometer", "") == unit


def test_labour_hours_is_no_unit():
    match = match_headers(["Labour hours", "Mean speed (km/h)"], table="repairs")
    assert match.columns == {"labour_hours": 0}


def test_the_likelier_of_two_headings_and_a_note():
    match = match_headers(["Date opened", "Date closed", "Unit"], table="readings")
    assert match.columns == {"unit": 2, "date": 1}
    assert match.notes == ("date is read from column 'Date closed', not from 'Date opened'",)


def test_one_heading_twice_is_a_problem():
    match = match_headers(["Date", "date", "unit"], table="readings")
    assert match.problems == ("column 'Date' stands there 2 times",)


def test_named_columns_come_first_and_are_not_used_again():
    match = match_headers(["Date", "Closed on site"], table="readings", named={"date": "Closed on site"})
    assert match.columns == {"date": 1}
    match = match_headers(["Mileage", "Odometer"], table="readings", named={"odometer": "mileage"})
    assert match.columns == {"odometer": 0}


def test_column_named_in_vain():
    match = match_headers(["Date", "Meter"], table="readings", named={"odometer": "Clock"})
    assert match.problems == ("column 'Clock', named for odometer in fleet.toml, is not there (found: Date, Meter)",)
    assert "odometer" not in match.columns


def test_named_column_missing_in_a_fleet(fleet):
    (problem,) = fleet.problems("[tables.repairs]\ncolumns = { date = 'Closed' }\n")
    assert problem.startswith("repairs.csv: column 'Closed', named for date in fleet.toml, is not there (found: order,")


def test_a_shop_of_other_words(fleet):
    before = fleet.read().tables["repairs"]
    fleet.headers["repairs"] = [
        "WO No.", "Completed", "Fleet Number", "Meter", "Work Done", "Item No", "Qty", "Component Code", "Position",
        "Failure Code", "Man Hours", "Parts Cost (EUR)",
    ]  # fmt: skip
    fleet.column("repairs", "Failure Code", lambda _: "brk ")
    after = fleet.read("[tables.repairs]\nvalues.reason = { PM = 'planned', BRK = 'failed' }\n").tables["repairs"]
    assert after.equals(before)


def test_headings_below_a_title(fleet):
    before = fleet.read().tables["readings"]
    fleet.write()
    text = fleet.text("readings")
    (fleet.path / "readings.csv").write_text("Readings of all vehicles,,\n\n" + text, newline="")
    after = read_fleet(fleet.path).tables["readings"]
    assert list(after["row"]) == [row + 2 for row in before["row"]]
    assert after.drop(columns="row").equals(before.drop(columns="row"))

"""Headings of a shop's tables."""

import pandas as pd
import pytest

from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.headings.header_names import HEADER_VARIANTS, match_headers
from wearmodel.intake.headings.heading_meanings import heading_meanings
from wearmodel.intake.tables.schema import SCHEMA

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
    # A meter of hours is the odometer where there is no other.
    expected = column if column == "odometer" else expected
    assert match.columns[expected] == len(others)
    assert not match.problems


@pytest.mark.parametrize("heading", ["Hour meter", "Engine Hours", "HOURS RUN", "Betriebsstunden"])
def test_a_meter_of_hours_is_the_odometer_only_where_there_is_no_other(heading):
    beside = match_headers(["Fleet no", "Date", "Mileage", heading], table="readings")
    assert beside.columns == {"unit": 0, "date": 1, "odometer": 2, "engine_hours": 3} and not beside.questions
    assert match_headers(["Fleet no", "Date", heading], table="readings").columns["odometer"] == 2
    own_name = match_headers(["unit", "date", "engine_hours"], table="readings")
    assert own_name.columns == {"unit": 0, "date": 1, "engine_hours": 2}


@pytest.mark.parametrize("heading", ["Odometer/Hours", "Odo/Hrs", "OdoHrs", "Km / hours"])
def test_a_meter_of_either_is_the_odometer(heading):
    headings = ["Fleet no", "Date", heading]
    assert match_headers(headings, table="readings").columns == {"unit": 0, "date": 1, "odometer": 2}
    assert "engine_hours" not in heading_meanings(headings, "readings")[2]


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


def test_two_headings_are_a_question():
    match = match_headers(["Date opened", "Date closed", "Unit"], table="readings")
    assert match.columns == {"unit": 2}
    (question,) = match.questions
    assert (question.name, question.headings, question.places) == ("date", ("Date opened", "Date closed"), (0, 1))
    assert question.answers == ('columns.date = "Date opened"', 'columns.date = "Date closed"')
    assert question.sentence == (
        "'Date opened' and 'Date closed' could each be the column date; write columns.date = \"Date opened\" or "
        'columns.date = "Date closed" under [tables.readings] in fleet.toml'
    )


def test_the_canonical_name_leaves_no_question():
    match = match_headers(["Date opened", "DATE", "Date closed", "Unit"], table="readings")
    assert match.columns == {"unit": 3, "date": 1}
    assert not match.questions
    assert match.notes == ("date is read from column 'DATE', not from 'Date opened', 'Date closed'",)


@pytest.mark.parametrize(
    ("opened", "closed", "kept"),
    [
        (["soon", "today", "-"], ["2024-01-03", "2024-02-01", "2024-03-01"], 1),
        (["2024-01-03", "2024-02-01", ""], ["", "", ""], 0),
        (["2024-01-03", "2024-02-01", ""], ["2024-01-03", "2024-02-01", ""], 0),
        (["2024-01-03", "2024-02-01", ""], ["2024-01-04", "2024-02-01", ""], None),
    ],
    ids=["words", "empty", "the same", "two dates"],
)
def test_contents_may_settle_a_choice(opened, closed, kept):
    sample = pd.DataFrame({0: ["T-1", "T-2", "T-1"], 1: opened, 2: closed})
    match = match_headers(["Unit", "Date in", "Date out"], table="readings", sample=sample)
    assert match.columns == ({"unit": 0} if kept is None else {"unit": 0, "date": 1 + kept})
    assert bool(match.questions) == (kept is None)
    assert bool(match.notes) == (kept is not None)


def test_a_heading_used_only_for_want_of_a_better_one():
    assert match_headers(["Registration"], table="vehicles").columns == {"unit": 0}
    match = match_headers(["Registration", "Fleet No"], table="vehicles")
    assert match.columns == {"unit": 1}
    assert match.notes == ("unit is read from column 'Fleet No', not from 'Registration'",)


@pytest.mark.parametrize(
    ("table", "heading", "column"),
    [
        ("vehicles", "Vehicle Fleet Number", "unit"), ("repairs", "VEHNO", "unit"), ("repairs", "EquipID", "unit"),
        ("repairs", "Plant No.", "unit"), ("readings", "Meter Reading at Service", "odometer"),
        ("repairs", "ODO_IN", "odometer"), ("readings", "Hubometer km", "odometer"), ("readings", "Clock", "odometer"),
        ("repairs", "Date WO Closed", "date"), ("repairs", "WODateClsd", "date"), ("repairs", "WO_CLOSE_DT", "date"),
        ("repairs", "Txt Repair Desc", "text"), ("repairs", "Mechanic's Story", "text"),
        ("repairs", "LABOUR_DESC", "text"), ("repairs", "RO #", "order"), ("repairs", "Job Card No.", "order"),
        ("repairs", "WO_NUM", "order"), ("repairs", "Invoice No", "order"), ("parts", "Stock Code", "part_number"),
        ("repairs", "QTY_USED", "quantity"), ("parts", "Cost Each", "unit_price"), ("stock", "SOH", "on_hand"),
        ("stock", "Bin Qty", "on_hand"), ("parts", "Lead Time (days)", "lead_time_days"),
        ("inspections", "Condition Found", "finding"), ("duty_log", "Period", "month"),
        ("duty_log", "Avg Speed km/h", "mean_speed"),
    ],
)  # fmt: skip
def test_headings_of_the_trade(table, heading, column):
    assert match_headers([heading], table=table).columns == {column: 0}


@pytest.mark.parametrize(
    ("table", "heading"),
    [
        ("repairs", "Labour Cost"), ("repairs", "WO Status"), ("repairs", "Line No"), ("repairs", "Total Cost"),
        ("readings", "Next Due Odometer"), ("readings", "Odometer at last service"), ("readings", "Next service date"),
        ("parts", "Lead Time (weeks)"), ("parts", "Lead Time Wks"), ("stock", "Reorder Qty"), ("repairs", "Unit Make"),
        ("repairs", "Unit Description"), ("repairs", "Customer Name"), ("readings", "Unit Nickname"),
        ("repairs", "2024"), ("repairs", ""), ("repairs", "#"),
    ],
)  # fmt: skip
def test_headings_that_mean_something_else(table, heading):
    """Words beside a known one that turn its meaning; common practice, no source."""
    match = match_headers([heading], table=table)
    assert not match.columns
    assert not match.questions


def test_a_known_variant_is_stronger_than_a_new_order_of_words():
    strengths = match_headers(["unit", "Meter", "Date WO Closed", "Invoice No"], table="repairs").strengths
    assert strengths["unit"] > strengths["odometer"] > strengths["date"] > strengths["order"]


def test_rows_of_figures_are_no_headings():
    """A line of data is not searched for words."""
    row = ["WO12", "2024-01-03", "104500", "12", "3.5", "Replaced the unit at service", "Meter reading taken"]
    assert not match_headers(row, table="repairs").columns


def test_texts_of_a_line_are_read_in_their_order():
    headings = ["Unit", "Correction", "Notes", "Cause", "Complaint", "Reason Code"]
    match = match_headers(headings, table="repairs")
    assert [headings[i] for i in match.joined["text"]] == ["Complaint", "Cause", "Correction", "Notes"]
    assert match.columns == {"unit": 0, "text": 4, "reason": 5}
    assert not match.questions


def test_a_cause_alone_is_a_code():
    assert match_headers(["Cause", "Work done"], table="repairs").columns == {"text": 1, "reason": 0}


def test_one_text_is_not_joined():
    match = match_headers(["Complaint"], table="repairs")
    assert (match.columns, match.joined) == ({"text": 0}, {})


def test_named_texts_are_joined_as_named():
    match = match_headers(["A", "B", "C"], table="repairs", named={"text": ["C", "A"]})
    assert match.joined == {"text": (2, 0)}
    match = match_headers(["A", "B"], table="repairs", named={"text": ["B", "D"]})
    assert match.problems == ("column 'D', named for text in fleet.toml, is not there (found: A, B)",)


def test_a_column_known_by_its_contents_is_only_named():
    """It is proposed in the sentence on the missing column, never used unasked."""
    sample = pd.DataFrame({0: ["T-1", "T-2"] * 9, 1: [f"2024-01-{i + 1:02d}" for i in range(18)], 2: ["x"] * 18})
    match = match_headers(["Unit", "Fld_12", "Odometer"], table="readings", sample=sample)
    assert match.columns == {"unit": 0, "odometer": 2}
    assert match.hints == {
        "date": "its column 'Fld_12' looks like it: write columns.date = \"Fld_12\" under [tables.readings]"
    }


def test_words_beside_unknown_ones_are_only_named():
    sample = pd.DataFrame({0: ["T-1", "T-2"], 1: ["2024-01-03", "2024-01-04"], 2: ["1000", "2000"]})
    match = match_headers(["Unit Nickname", "Date", "Odometer"], table="readings", sample=sample)
    assert "unit" not in match.columns
    assert match.hints["unit"].startswith("its column 'Unit Nickname' looks like it")


def test_a_missing_column_in_a_fleet_names_the_one_that_looks_like_it(fleet):
    fleet.headers["readings"] = ["unit", "Fld_12", "odometer"]
    problems = fleet.problems()
    assert any("column 'Fld_12' looks like it: write columns.date = \"Fld_12\"" in problem for problem in problems)


def test_a_question_on_a_required_column_stops_a_fleet(fleet):
    fleet.headers["readings"] = ["unit", "Date in", "odometer", "Date out"]
    for i, row in enumerate(fleet.rows["readings"]):
        row.append(f"2023-01-{i % 28 + 1:02d}")
    (problem,) = fleet.problems()
    assert problem.startswith("readings.csv: 'Date in' and 'Date out' could each be the column date; write columns")
    assert len(fleet.read("[tables.readings]\ncolumns.date = 'Date in'\n").tables["readings"])


def test_a_question_on_another_column_is_a_note(fleet):
    place = fleet.headers["repairs"].index("labour_hours")
    fleet.headers["repairs"][place] = "Man hours"
    fleet.headers["repairs"].append("Labour hrs")
    for row in fleet.rows["repairs"]:
        row.append("2.5")
    result = fleet.read()
    assert result.tables["repairs"]["labour_hours"].isna().all()
    assert any("'Man hours' and 'Labour hrs' could each be the column labour_hours" in note for note in result.notes)


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

"""Engine hours beside the odometer: recognised by heading, read cell by cell, never taken for distance."""

import pandas as pd
import pytest

from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.proposal.mapping_proposal import propose_mapping, write_proposal


@pytest.fixture
def metered(fleet):
    """A fleet whose readings and repairs have engine hours: 30 more each line."""
    for table in ("readings", "repairs"):
        fleet.headers[table].append("engine_hours")
        for i, row in enumerate(fleet.rows[table]):
            row.append(str(500 + 30 * i))
    return fleet


def test_hours_are_read_beside_the_odometer(metered):
    result = metered.read()
    assert not result.findings
    for table in ("readings", "repairs"):
        read = result.tables[table]
        assert read["engine_hours"].tolist() == [500.0 + 30 * i for i in range(40)]
        assert read["odometer"].tolist() == [10_000.0 + 900 * i for i in range(40)]


def test_without_the_column_hours_are_blank(fleet):
    result = fleet.read()
    assert result.tables["readings"]["engine_hours"].isna().all()
    assert result.tables["repairs"]["engine_hours"].isna().all()


@pytest.mark.parametrize("table", ["readings", "repairs"])
@pytest.mark.parametrize(
    ("value", "problem"),
    [
        ("-12", "is below 0, the least this can be"),
        ("meter dark", "is not a number"),
        ("1O4", "is not a number"),
        ("99999999", "is above 1,000,000, the most this can be"),
    ],
)
def test_hours_that_cannot_be_are_blank_and_the_row_is_used(metered, table, value, problem):
    metered.set(table, 6, "engine_hours", value)
    result = metered.read()
    (finding,) = result.findings
    assert (finding.file, finding.row, finding.column, finding.value) == (f"{table}.csv", 6, "engine_hours", value)
    assert finding.problem == problem and finding.action == "the cell was read as blank" and finding.used
    assert pd.isna(result.tables[table].loc[4, "engine_hours"])
    assert result.tables[table].loc[4, "odometer"] == 13_600.0


def test_a_reading_of_hours_alone_is_used(metered):
    metered.set("readings", 6, "odometer", "")
    result = metered.read()
    assert not result.findings
    assert pd.isna(result.tables["readings"].loc[4, "odometer"])
    assert result.tables["readings"].loc[4, "engine_hours"] == 620.0


@pytest.mark.parametrize(
    ("hours", "column", "problem"),
    [
        ("", "odometer", "the cell is empty"),
        ("none read", "engine_hours", "tells no hours, and the row has no odometer"),
        ("-4", "engine_hours", "tells no hours, and the row has no odometer"),
    ],
)
def test_a_reading_of_nothing_is_set_aside(metered, hours, column, problem):
    metered.set("readings", 6, "odometer", "")
    metered.set("readings", 6, "engine_hours", hours)
    result = metered.read()
    (finding,) = result.findings
    assert (finding.column, finding.value, finding.problem) == (column, hours, problem)
    assert finding.action == "the row was set aside" and not finding.used
    assert len(result.tables["readings"]) == 39


def test_two_hours_of_one_day_are_no_repeat(metered):
    for hours in ("800", "805", "805"):
        metered.add("readings", unit="T-1", date="2022-05-01", engine_hours=hours)
    (finding,) = metered.read().findings
    assert finding.problem == "the row repeats row 43"


def test_a_table_of_hours_alone(fleet):
    """Readings without any odometer column: the odometers of repairs tell the distance."""
    fleet.headers["readings"] = ["unit", "date", "engine_hours"]
    result = fleet.read()
    assert not result.findings
    assert result.tables["readings"]["odometer"].isna().all()
    assert result.tables["readings"]["engine_hours"].tolist() == [10_000.0 + 900 * i for i in range(40)]


@pytest.mark.parametrize("heading", ["Engine Hours", "Hour meter", "Hrs run"])
def test_a_meter_of_hours_is_never_read_as_km(fleet, heading):
    fleet.headers["readings"][2] = heading
    result = fleet.read()
    assert f"readings.csv, column {heading}: read as engine hours, as the record counts km." in result.notes
    assert result.tables["readings"]["odometer"].isna().all()
    assert result.tables["readings"].loc[3, "engine_hours"] == 12_700.0
    fleet.set("readings", 6, heading, "dark")
    (finding,) = read_fleet(fleet.write()).findings
    assert (finding.column, finding.value, finding.used) == (heading, "dark", False)
    assert finding.problem == "tells no hours, and the row has no odometer"


def test_in_a_record_of_hours_it_is_the_odometer(fleet):
    fleet.headers["readings"][2] = "Engine Hours"
    result = fleet.read('distance_unit = "hours"')
    assert result.tables["readings"]["odometer"].tolist() == [10_000.0 + 900 * i for i in range(40)]
    assert result.tables["readings"]["engine_hours"].isna().all()


def test_fleet_toml_names_the_column(fleet):
    fleet.headers["readings"].append("Ticks")
    for row in fleet.rows["readings"]:
        row.append("77")
    result = fleet.read('[tables.readings]\ncolumns = { engine_hours = "Ticks" }\n')
    assert set(result.tables["readings"]["engine_hours"]) == {77.0}


def test_hours_of_lines_about_other_work_are_kept_as_evidence(metered):
    metered.add(
        "repairs", order="WO900", date="2022-06-01", unit="T-1", text="replaced wiper blades", engine_hours="4100"
    )
    result = metered.read()
    assert len(result.tables["repairs"]) == 40
    (other,) = result.other_figures.to_dict("records")
    assert (other["unit"], other["engine_hours"], other["table"]) == ("T-1", 4100.0, "repairs")
    assert pd.isna(other["odometer"])


@pytest.mark.parametrize("beside", [True, False])
def test_the_proposal_knows_a_meter_of_hours_from_an_odometer(metered, beside):
    """Beside an odometer in the table, and alone in a table where another has its odometers in km."""
    metered.headers["readings"][2:] = ["Mileage", "Hour Meter"]
    metered.headers["repairs"][3] = "Odometer km"
    if not beside:
        metered.headers["readings"].pop(2)
        for row in metered.rows["readings"]:
            row.pop(2)
    proposal = propose_mapping(metered.write())
    assert 'distance_unit = "km"' in proposal.text and not proposal.undecided
    assert 'columns.engine_hours = "Hour Meter"' in proposal.text
    assert ('columns.odometer = "Mileage"' in proposal.text) == beside
    write_proposal(metered.path, proposal)
    readings = read_fleet(metered.path).tables["readings"]
    assert readings["engine_hours"].tolist() == [500.0 + 30 * i for i in range(40)]
    assert readings["odometer"].notna().all() == beside


def test_the_proposal_of_a_record_in_hours_stays_one(fleet):
    for table in ("readings", "repairs", "inspections"):
        fleet.headers[table][fleet.headers[table].index("odometer")] = "Hour Meter"
    proposal = propose_mapping(fleet.write())
    assert 'distance_unit = "hours"' in proposal.text and 'columns.odometer = "Hour Meter"' in proposal.text
    assert "engine_hours" not in proposal.text

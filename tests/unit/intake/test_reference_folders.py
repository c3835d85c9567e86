"""The published repair records: the folders say what the raw records say."""

import csv
import importlib.util
from pathlib import Path

import pandas as pd
import pytest

from wearmodel.intake.fleet import read_fleet

REFERENCE = Path(__file__).parents[3] / "data" / "reference"
SPEC = importlib.util.spec_from_file_location("build_folders", REFERENCE / "build_folders.py")
build_folders = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(build_folders)
RECORDS = {record.folder: record for record in build_folders.RECORDS}


@pytest.mark.parametrize("name", RECORDS)
def test_folders_are_what_the_script_writes(name, tmp_path, monkeypatch):
    monkeypatch.setattr(build_folders, "HERE", tmp_path)
    (tmp_path / "raw").symlink_to(REFERENCE / "raw")
    build_folders.build_folder(RECORDS[name])
    for path in (tmp_path / name).iterdir():
        assert path.read_bytes() == (REFERENCE / name / path.name).read_bytes(), path.name


@pytest.mark.parametrize("name", RECORDS)
def test_every_raw_row_is_there(name):
    record = RECORDS[name]
    with (REFERENCE / "raw" / record.raw).open(newline="") as file:
        raw = list(csv.DictReader(file))
    result = read_fleet(REFERENCE / name)
    assert not result.findings
    zero = pd.Timestamp("2000-01-01")
    vehicles, repairs = result.tables["vehicles"], result.tables["repairs"]
    replaced = sorted((row[record.unit_column], float(row["days"])) for row in raw if row["replaced"] == "1")
    assert sorted(zip(repairs["unit"], repairs["odometer"], strict=True)) == replaced
    assert ((repairs["date"] - zero).dt.days == repairs["odometer"]).all()
    ends = {row[record.unit_column]: int(row["days"]) for row in raw if row["replaced"] == "0"}
    days = (vehicles["out_of_service_date"] - zero).dt.days
    assert dict(zip(vehicles["unit"], days, strict=True)) == ends
    assert set(vehicles["records_from"]) == {zero}
    assert set(repairs["component"]) == {record.component} and set(repairs["position"]) == {record.position}
    assert result.settings.components[record.component].clock == "days"
    assert result.as_of == zero + pd.Timedelta(days=max(ends.values()))


def test_sizes_of_the_published_records():
    """Nelson & Doganaksoy (1989): 41 engines, 48 replacements; Doganaksoy & Nelson (1991): 15 + 18 units, 24 + 26."""
    seats = read_fleet(REFERENCE / "valve_seats").tables
    assert (len(seats["vehicles"]), len(seats["repairs"])) == (41, 48)
    grids = read_fleet(REFERENCE / "braking_grids").tables
    batches = grids["vehicles"].set_index("unit")["vehicle_class"]
    assert batches.value_counts().to_dict() == {"batch_1": 15, "batch_2": 18}
    assert grids["repairs"]["unit"].map(batches).value_counts().to_dict() == {"batch_1": 24, "batch_2": 26}


def test_mean_cumulative_number_from_the_clean_tables():
    """Nelson (1995): replacements an engine over the engines still seen, 0.02439024 at day 61 and 0.58536585 at 348."""
    tables = read_fleet(REFERENCE / "valve_seats").tables
    ends = (tables["vehicles"]["out_of_service_date"] - pd.Timestamp("2000-01-01")).dt.days
    days = tables["repairs"]["odometer"]
    total = {day: sum(1.0 / (ends >= d).sum() for d in days if d <= day) for day in (61, 348, 653)}
    assert total == pytest.approx({61: 0.02439024, 348: 0.58536585, 653: 1.54268751}, abs=5e-9)

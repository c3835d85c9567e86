"""The commands as a user runs them: results, and one sentence with exit 2 for bad input."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from recalculation import convert, differences, open_book

from wearmodel.backtest_tables import BACKTEST_COLUMNS
from wearmodel.cli import main

ROOT = Path(__file__).parents[2]


def simulated(folder, vehicles):
    arguments = ["simulate", str(folder), "--vehicles", str(vehicles), "--years", "4", "--seed", "11", "--clean"]
    assert main(arguments) == 0
    return folder


@pytest.fixture
def fleet(tmp_path):
    """A small invented fleet folder to break."""
    return simulated(tmp_path / "fleet", 10)


def edit(fleet, table, change):
    path = fleet / f"{table}.csv"
    frame = pd.read_csv(path, dtype=str, keep_default_na=False)
    change(frame)
    frame.to_csv(path, index=False)


def set_cell(row, column, value):
    return lambda frame: frame.__setitem__(
        column, [value if i == row else cell for i, cell in enumerate(frame[column])]
    )


def fails(capsys, *arguments):
    """Exit 2, sentences on standard error, nothing on standard output, no traceback."""
    capsys.readouterr()
    assert main([str(a) for a in arguments]) == 2
    output = capsys.readouterr()
    assert "Traceback" not in output.err
    assert output.out == ""
    return output.err.strip().split("\n")


def test_plan_writes_workbook_and_tables(fleet, tmp_path, capsys):
    out, tables = tmp_path / "planner.xlsx", tmp_path / "tables"
    assert main(["plan", str(fleet), "--out", str(out), "--tables", str(tables), "--months", "6"]) == 0
    assert out.read_bytes()[:2] == b"PK"
    names = {path.name for path in tables.iterdir()}
    assert {"lives.csv", "due.csv", "forecast.csv", "budget.csv", "set_aside.csv"} <= names
    assert len(pd.read_csv(tables / "forecast.csv")["month"].unique()) == 6
    text = capsys.readouterr().out
    assert "rated stands" in text
    assert "rotating shafts" in text
    assert sorted(path.name for path in tmp_path.iterdir()) == ["fleet", "planner.xlsx", "tables"]


def test_fit_then_plan_with_the_model(fleet, tmp_path):
    model = tmp_path / "m.json"
    assert main(["fit", str(fleet), "--model", str(model)]) == 0
    one, two = tmp_path / "one", tmp_path / "two"
    out = str(tmp_path / "p.xlsx")
    assert main(["plan", str(fleet), "--model", str(model), "--out", out, "--tables", str(one)]) == 0
    assert main(["plan", str(fleet), "--out", out, "--tables", str(two)]) == 0
    for path in one.iterdir():
        assert path.read_bytes() == (two / path.name).read_bytes(), path.name


def test_check_counts_and_names(capsys):
    assert main(["check", str(ROOT / "data" / "demo")]) == 0
    text = capsys.readouterr().out
    assert "rows read" in text
    assert "u_joint:" in text


def test_a_long_file_name_does_not_run_into_the_next_column(fleet, capsys):
    name = "odometers of all our vehicles, both depots.csv"
    (fleet / "readings.csv").rename(fleet / name)
    settings = fleet / "fleet.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + f'\n[tables.readings]\nfile = "{name}"\n')
    assert main(["check", str(fleet)]) == 0
    lines = capsys.readouterr().out.splitlines()
    (row,) = [line for line in lines if line.startswith(name + "  readings")]
    assert row.index("readings") == lines[0].index("table")


def test_check_writes_tables(fleet, tmp_path):
    assert main(["check", str(fleet), "--tables", str(tmp_path / "t")]) == 0
    assert {p.name for p in (tmp_path / "t").iterdir()} == {
        "set_aside.csv", "reconciliation.csv", "review.csv", "duty_groups.csv"
    }


def test_functions_lists_all(capsys):
    assert main(["functions"]) == 0
    text = capsys.readouterr().out
    for name in ("WEAR_SURVIVAL", "WEAR_INTERVAL", "WEAR_MODEL_NOTE"):
        assert name in text


def test_backtest_writes_workbook_and_tables(fleet, tmp_path, capsys):
    out, tables = tmp_path / "backtest.xlsx", tmp_path / "tables"
    assert main(["backtest", str(fleet), "--months", "6", "--out", str(out), "--tables", str(tables)]) == 0
    assert {path.stem for path in tables.iterdir()} == set(BACKTEST_COLUMNS)
    frame = pd.read_csv(tables / "backtest.csv")
    wanted = ["component", "month", "actual", "mean", "p10", "p90", "naive", "chance_below", "chance_up_to"]
    assert set(wanted) <= set(frame.columns)
    assert frame["month"].str.fullmatch(r"\d{4}-\d{2}").all() and len(frame)
    text = capsys.readouterr().out
    assert "best simple rule" in text and "rated stands" in text
    sheets = open_book(out, values=True).sheetnames
    assert sheets == ["Forecast and record", "Month by month", "Part by part", "Chart data"]
    assert not differences(out, convert(out, to="xlsx", folder=tmp_path / "recalculated"))


def test_backtest_refuses_what_it_cannot_use(fleet, tmp_path, capsys):
    (line,) = fails(capsys, "backtest", fleet, "--model", tmp_path / "any.json")
    assert "leave --model out" in line
    (line,) = fails(capsys, "backtest", fleet, "--out", tmp_path / "book.csv")
    assert "does not end in .xlsx" in line
    (line,) = fails(capsys, "backtest", fleet, "--months", "100")
    assert "too short to forecast 100 months" in line
    assert not list(tmp_path.glob("*.xlsx"))


def test_simulate_gives_vehicles_engine_hours_where_asked(tmp_path, fleet):
    folder = tmp_path / "hourly"
    assert main(["simulate", str(folder), "--vehicles", "12", "--years", "2", "--engine-hours"]) == 0
    assert "engine_hours" in pd.read_csv(folder / "readings.csv").columns
    assert json.loads((folder / "truth.json").read_text())["components"]["u_joint"]["clock"] == "hours"
    assert "engine_hours" not in pd.read_csv(fleet / "readings.csv").columns


def test_simulate_refuses_a_folder_in_use(fleet, capsys):
    (line,) = fails(capsys, "simulate", fleet)
    assert "empty" in line


def test_as_of_moves_the_end_of_the_record(fleet, tmp_path):
    tables = tmp_path / "t"
    assert main(["fit", str(fleet), "--as-of", "2025-06-30", "--model", str(tmp_path / "m.json"),
                 "--tables", str(tables)]) == 0  # fmt: skip
    assert pd.read_csv(tables / "lives.csv")["end_date"].max() <= "2025-06-30"


@pytest.mark.parametrize(
    ("table", "change", "words"),
    [
        ("vehicles", set_cell(2, "in_service_date", "soonish"), ["vehicles.csv row 4", "in_service_date", "'soonish'"]),
        ("vehicles", set_cell(2, "driveline", "rear_two_peice"), ["row 4", "driveline", "rear_two_piece"]),
        ("vehicles", set_cell(2, "in_service_odometer", "-5"), ["row 4", "in_service_odometer", "-5"]),
        ("parts", set_cell(1, "unit_price", "-3"), ["parts.csv row 3", "unit_price"]),
        ("stock", set_cell(0, "part_number", "NOPE-1"), ["stock.csv row 2", "part_number", "NOPE-1"]),
    ],
)
def test_a_bad_cell_is_named(fleet, tmp_path, capsys, table, change, words):
    edit(fleet, table, change)
    out = tmp_path / "p.xlsx"
    lines = fails(capsys, "plan", fleet, "--out", out)
    assert all(word in lines[0] for word in words), lines[0]
    assert not out.exists()


@pytest.mark.parametrize(
    ("column", "value"), [("date", "soonish"), ("odometer", "-40"), ("part_number", "NOPE-1"), ("unit", "X-1")]
)
def test_few_bad_repair_rows_are_set_aside_many_stop_the_run(fleet, tmp_path, capsys, column, value):
    edit(fleet, "repairs", set_cell(3, column, value))
    tables = tmp_path / "t"
    assert main(["check", str(fleet), "--tables", str(tables)]) == 0
    noted = pd.read_csv(tables / "set_aside.csv").query("file == 'repairs.csv'")
    assert 5 in set(noted["row"])
    edit(fleet, "repairs", lambda frame: frame.__setitem__(column, value))
    lines = fails(capsys, "plan", fleet, "--out", tmp_path / "p.xlsx")
    assert "repairs.csv row 2" in lines[0]
    assert "set_aside_limit" in lines[-1]


def test_duplicate_unit(fleet, capsys):
    edit(fleet, "vehicles", lambda frame: frame.__setitem__("unit", [frame["unit"][0], *frame["unit"][:-1]]))
    assert "vehicles.csv row 3" in fails(capsys, "plan", fleet)[0]


def test_missing_table_column_and_empty_folder(fleet, tmp_path, capsys):
    edit(fleet, "repairs", lambda frame: frame.drop(columns="date", inplace=True))
    assert "date" in fails(capsys, "plan", fleet)[0]
    (fleet / "repairs.csv").unlink()
    assert "repairs" in fails(capsys, "plan", fleet)[0]
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "empty" in fails(capsys, "plan", empty)[0]
    assert "nowhere" in fails(capsys, "plan", tmp_path / "nowhere")[0]


def test_broken_toml(fleet, capsys):
    (fleet / "fleet.toml").write_text('currency = "EUR\n', encoding="utf-8")
    (line,) = fails(capsys, "plan", fleet)
    assert "fleet.toml" in line
    assert "line 1" in line


def test_an_impossible_lift_for_the_geometry(fleet, capsys):
    edit(fleet, "ride_height", lambda frame: frame.__setitem__("lift", "900"))
    lines = fails(capsys, "plan", fleet)
    assert any("lift" in line for line in lines)


def test_unwritable_output_is_refused_before_the_work(fleet, tmp_path, capsys):
    (line,) = fails(capsys, "plan", fleet, "--out", tmp_path / "no" / "planner.xlsx")
    assert "does not exist" in line
    (line,) = fails(capsys, "plan", fleet, "--out", tmp_path)
    assert "folder" in line
    (line,) = fails(capsys, "plan", fleet, "--out", tmp_path / "planner.csv")
    assert "does not end in .xlsx" in line and not (tmp_path / "planner.csv").exists()


@pytest.mark.parametrize("command, option", [("plan", "--tables"), ("plan", "--charts"), ("backtest", "--tables")])
def test_a_folder_of_results_is_looked_at_before_the_work(fleet, tmp_path, capsys, command, option):
    """Not when the workbook is written already: a run that fails leaves nothing behind."""
    target, out = tmp_path / "t", tmp_path / "p.xlsx"
    target.write_text("mine", encoding="utf-8")
    (line,) = fails(capsys, command, fleet, "--out", out, option, target)
    assert line == f"{target} is a file; name a folder for the results."
    assert target.read_text(encoding="utf-8") == "mine"
    (line,) = fails(capsys, command, fleet, "--out", out, option, tmp_path / "no" / "t")
    assert "does not exist" in line and not out.exists() and not (tmp_path / "no").exists()


def test_a_model_of_other_units_is_refused(fleet, tmp_path, capsys):
    model = tmp_path / "m.json"
    assert main(["fit", str(fleet), "--model", str(model)]) == 0
    model.write_text(model.read_text(encoding="utf-8").replace('"distance_unit": "km"', '"distance_unit": "mi"'))
    (line,) = fails(capsys, "plan", fleet, "--model", model, "--out", tmp_path / "p.xlsx")
    assert "fit it anew" in line
    (line,) = fails(capsys, "plan", fleet, "--model", tmp_path / "none.json", "--out", tmp_path / "p.xlsx")
    assert "cannot be read" in line


def test_answers_from_a_workbook_that_is_not_there(fleet, tmp_path, capsys):
    (line,) = fails(capsys, "check", fleet, "--review", tmp_path / "none.xlsx")
    assert "does not exist" in line


@pytest.mark.parametrize(
    "arguments", [["--months", "0"], ["--months", "121"], ["--as-of", "30.6.2026"], ["--seed", "x"]]
)
def test_bad_options_are_one_sentence(fleet, capsys, arguments):
    with pytest.raises(SystemExit) as stop:
        main(["plan", str(fleet), *arguments])
    assert stop.value.code == 2
    (line,) = capsys.readouterr().err.strip().split("\n")
    assert arguments[1] in line


def test_miles_give_the_same_fleet(fleet, tmp_path):
    """The same record written in miles: shapes equal, scales in the ratio of the units."""
    other = tmp_path / "miles"
    shutil.copytree(fleet, other)
    mile = 1.609344
    for table in ("vehicles", "readings", "repairs", "inspections"):
        for column in ("odometer", "in_service_odometer"):
            path = other / f"{table}.csv"
            frame = pd.read_csv(path, dtype=str, keep_default_na=False)
            if column in frame:
                frame[column] = [repr(float(c) / mile) if c else "" for c in frame[column]]
                frame.to_csv(path, index=False)
    text = (other / "fleet.toml").read_text(encoding="utf-8")
    (other / "fleet.toml").write_text(text.replace('distance_unit = "km"', 'distance_unit = "mi"'), encoding="utf-8")
    estimates = []
    for name in (fleet, other):
        tables = name / "tables"
        assert main(["fit", str(name), "--model", str(tmp_path / "m.json"), "--tables", str(tables)]) == 0
        fits = pd.read_csv(tables / "fits.csv").set_index(["component", "parameter"])
        estimates.append(fits["estimate"])
    km, mi = estimates
    fitted = [code for code in km.index.levels[0] if (code, "shape") in km.index]
    for code in fitted:
        assert mi[code, "shape"] == pytest.approx(km[code, "shape"], rel=1e-5)
        assert km[code, "scale"] / mi[code, "scale"] == pytest.approx(mile, rel=1e-5)


def test_help_is_quick_and_cautious():
    result = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "wearmodel", "--help"], capture_output=True, text=True, check=True,
        cwd=ROOT, env={**os.environ, "COLUMNS": "400"},
    )  # fmt: skip
    for heavy in ("numpy", "pandas", "scipy", "lifelines"):
        assert f" {heavy}\n" not in result.stderr
    assert "rated stands" in result.stdout


def test_a_model_of_a_larger_fleet_serves_a_smaller_one(tmp_path):
    """Components without a failure and duties the model never saw do not stop the plan."""
    large, small, model = tmp_path / "large", tmp_path / "small", tmp_path / "m.json"
    assert main(["simulate", str(large), "--vehicles", "120", "--years", "6", "--seed", "4", "--clean"]) == 0
    assert main(["simulate", str(small), "--vehicles", "12", "--years", "2", "--seed", "0", "--clean"]) == 0
    assert main(["fit", str(large), "--model", str(model)]) == 0
    edit(small, "vehicles", set_cell(0, "duty", "lunar"))
    assert main(["plan", str(small), "--model", str(model), "--out", str(tmp_path / "p.xlsx")]) == 0


def test_results_never_replace_the_fleets_own_tables(fleet, capsys):
    before = (fleet / "stock.csv").read_bytes()
    (line,) = fails(capsys, "plan", fleet, "--tables", fleet, "--out", fleet / "planner.xlsx")
    assert "fleet folder itself" in line
    (line,) = fails(capsys, "plan", fleet, "--out", fleet / "repairs.csv")
    assert "not a planner workbook" in line
    (line,) = fails(capsys, "fit", fleet, "--model", fleet / "repairs.csv")
    assert "not a model file" in line
    assert (fleet / "stock.csv").read_bytes() == before
    out = str(fleet / "planner.xlsx")
    assert main(["plan", str(fleet), "--out", out]) == 0
    assert main(["plan", str(fleet), "--out", out]) == 0


def test_todays_costs_decide_whatever_the_model_file_was_fitted_with(fleet, tmp_path):
    model, settings = tmp_path / "m.json", fleet / "fleet.toml"
    assert main(["fit", str(fleet), "--model", str(model)]) == 0
    text = settings.read_text(encoding="utf-8")
    rate = next(line for line in text.split("\n") if line.startswith("labour_rate"))
    settings.write_text(text.replace(rate, "labour_rate = 250.0"), encoding="utf-8")
    out = str(tmp_path / "p.xlsx")
    for name, extra in (("old", ["--model", str(model)]), ("new", [])):
        assert main(["plan", str(fleet), "--out", out, "--tables", str(tmp_path / name), *extra]) == 0
    for table in ("intervals", "budget", "costs"):
        old, new = (pd.read_csv(tmp_path / name / f"{table}.csv") for name in ("old", "new"))
        pd.testing.assert_frame_equal(old, new)


def test_a_part_found_worn_is_due_even_without_any_curve(tmp_path):
    """One old vehicle, no replacement on record: nothing can be fitted, the bad look must still be seen."""
    folder, tables = tmp_path / "one", tmp_path / "t"
    folder.mkdir()
    (folder / "vehicles.csv").write_text("unit,driveline,in_service_date\nV1,front_half_shafts,2018-01-01\n")
    (folder / "readings.csv").write_text("unit,date,odometer\nV1,2022-01-01,90000\nV1,2024-01-01,140000\n")
    (folder / "repairs.csv").write_text(
        "order,date,unit,component,position,reason\n1,2022-02-01,V1,cv_joint_inboard,left.inboard_joint,failed\n"
    )
    (folder / "inspections.csv").write_text(
        "unit,date,position,finding\nV1,2023-06-01,right.outboard_boot,worn\n"
    )
    (folder / "fleet.toml").write_text("records_from = 2022-01-01\n")
    assert main(["plan", str(folder), "--out", str(tmp_path / "p.xlsx"), "--tables", str(tables)]) == 0
    due = pd.read_csv(tables / "due.csv")
    assert len(due) == 8
    first = due.iloc[0]
    assert (first["position"], first["action"]) == ("right.outboard_boot", "replace now")
    assert "Found worn on 2023-06-01" in first["reason"]
    assert set(due["action"][1:]) == {"no prediction"}


def test_an_earlier_model_tells_which_curves_moved(tmp_path, capsys):
    fleet = simulated(tmp_path / "fleet", 25)
    earlier, tables = tmp_path / "earlier.json", tmp_path / "tables"
    assert main(["fit", str(fleet), "--as-of", "2024-06-30", "--model", str(earlier)]) == 0
    now = tmp_path / "now.json"
    capsys.readouterr()
    assert main(["fit", str(fleet), "--earlier-model", str(earlier), "--model", str(now), "--tables", str(tables)]) == 0
    moved = pd.read_csv(tables / "moved_curves.csv")
    assert len(moved) and set(moved["result"]) <= {"moved", "as before", "cannot be told"}
    assert (moved["earlier_as_of"] == "2024-06-30").all()
    # Too few failures a component for a comparison in so small a fleet; none is called.
    assert "No life curve moved" in capsys.readouterr().out
    few = moved[moved["failures_before"].between(5, 19)]
    assert len(few) and few["sentence"].str.contains("a fair comparison needs 20").all()
    early = pd.read_csv(tables / "early_failures.csv")
    assert len(early) and early["chance"].is_monotonic_increasing and set(early["group"]) <= {
        "part number", "fitting month"}  # fmt: skip
    out = tmp_path / "planner.xlsx"
    (line,) = fails(capsys, "plan", fleet, "--earlier-model", now, "--out", out)
    assert "not earlier than" in line and "--earlier-model" in line and not out.exists()
    text = earlier.read_text(encoding="utf-8").replace('"distance_unit": "km"', '"distance_unit": "mi"')
    earlier.write_text(text, encoding="utf-8")
    (line,) = fails(capsys, "plan", fleet, "--earlier-model", earlier, "--out", out)
    assert "counts mi, the fleet km" in line
    earlier.write_text("{}", encoding="utf-8")
    (line,) = fails(capsys, "plan", fleet, "--earlier-model", earlier, "--out", out)
    assert "is not a life model file; write one with 'wearmodel fit'" in line

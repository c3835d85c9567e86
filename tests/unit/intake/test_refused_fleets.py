"""What stops the run, and the sentence that says so."""

import pandas as pd
import pytest

from wearmodel.errors import InputError
from wearmodel.intake.fleet import read_fleet


def test_missing_folder(tmp_path):
    with pytest.raises(InputError, match=r"The folder '.*nowhere' does not exist; give the folder"):
        read_fleet(tmp_path / "nowhere")


def test_file_instead_of_folder(tmp_path):
    (tmp_path / "file.csv").write_text("unit\n")
    with pytest.raises(InputError, match=r"'.*file.csv' is a file; give the folder"):
        read_fleet(tmp_path / "file.csv")


def test_empty_folder(tmp_path):
    with pytest.raises(InputError, match=r"The folder '.*' is empty; put vehicles.csv and repairs.csv into it"):
        read_fleet(tmp_path)


@pytest.mark.parametrize("table", ["vehicles", "repairs"])
def test_missing_required_table(fleet, table):
    fleet.drop(table)
    (problem,) = fleet.problems()
    assert problem == (
        f"The table {table} is missing: there is no {table}.csv, {table}.xlsx or sheet {table!r} in 'fleet'; add it, "
        f"or name its file under [tables.{table}] in fleet.toml."
    )


def test_missing_required_column(fleet):
    fleet.headers["repairs"][1] = "when"
    (problem,) = fleet.problems()
    assert problem.startswith("repairs.csv has no column date (found: order, when, unit, ")
    assert problem.endswith(
        "; its column 'when' looks like it: write columns.date = \"when\" under [tables.repairs]."
    )


def test_missing_required_column_that_nothing_looks_like(fleet):
    for cells in [fleet.headers["repairs"], *fleet.rows["repairs"]]:
        del cells[1]
    (problem,) = fleet.problems()
    assert problem.startswith("repairs.csv has no column date (found: order, unit, ")
    assert problem.endswith("add it, or name the shop's heading for it under [tables.repairs] columns in fleet.toml.")


def test_two_missing_columns_of_two_tables_at_once(fleet):
    fleet.headers["repairs"][1] = "when"
    fleet.headers["vehicles"][0] = fleet.headers["vehicles"][2] = "x"
    problems = fleet.problems()
    assert len(problems) == 2
    assert problems[0].startswith("vehicles.csv has no column unit and no column driveline (found: ")
    assert problems[1].startswith("repairs.csv has no column date ")


def test_table_without_rows(fleet):
    fleet.rows["repairs"].clear()
    assert fleet.problems() == ["repairs.csv has no rows; fill in the table repairs."]


def test_file_without_a_byte(fleet):
    fleet.write()
    (fleet.path / "repairs.csv").write_bytes(b"")
    with pytest.raises(InputError, match=r"^repairs.csv is empty; its first row must hold the headings order, date, "):
        read_fleet(fleet.path)


MASTER_FAULTS = [
    (
        "vehicles", 3, "driveline", "rear_two_peice",
        "vehicles.csv row 3, column driveline: 'rear_two_peice' is not a known layout (nearest: 'rear_two_piece'); "
        "correct it or add it under [layouts] in fleet.toml.",
    ),
    (
        "vehicles", 3, "driveline", "rear_two_piece+rear_one_piece",
        "vehicles.csv row 3, column driveline: 'rear_two_piece+rear_one_piece' has the position 'rear.joint_front' "
        "twice; correct it or add it under [layouts] in fleet.toml.",
    ),
    (
        "vehicles", 3, "driveline", "",
        "vehicles.csv row 3, column driveline: the cell is empty; fill it in.",
    ),
    (
        "vehicles", 5, "unit", "T-1",
        "vehicles.csv row 5, column unit: 'T-1' is there twice, first in row 2; keep one row a unit.",
    ),
    (
        "vehicles", 2, "in_service_date", "31/02/2019",
        "vehicles.csv row 2, column in_service_date: '31/02/2019' is not a date of the years 1950 to 2100; correct it.",
    ),
    (
        "vehicles", 2, "in_service_odometer", "-5",
        "vehicles.csv row 2, column in_service_odometer: '-5' is below 0, the least this can be; correct it.",
    ),
    (
        "vehicles", 2, "out_of_service_date", "2018-12-31",
        "vehicles.csv row 2, column out_of_service_date: '2018-12-31' lies before the vehicle's in_service_date; "
        "correct it.",
    ),
    (
        "parts", 3, "part_number", "UJ-1",
        "parts.csv row 3, column part_number: 'UJ-1' is there twice, first in row 2; keep one row a part number.",
    ),
    (
        "parts", 2, "unit_price", "-45.60",
        "parts.csv row 2, column unit_price: '-45.60' is below 0, the least this can be; correct it.",
    ),
    (
        "parts", 2, "unit_price", "cheap",
        "parts.csv row 2, column unit_price: 'cheap' is not a number; correct it.",
    ),
    (
        "parts", 2, "component", "gizmo_joint",
        "parts.csv row 2, column component: 'gizmo_joint' is not a known component (nearest: 'u_joint'); correct it or "
        "add it under [components].",
    ),
    (
        "parts", 2, "position", "rear.joint_reer",
        "parts.csv row 2, column position: names 'rear.joint_reer', which is not a known position "
        "(nearest: 'rear.joint_rear'); correct it.",
    ),
    (
        "parts", 2, "renews", "u_joint;cv_boot_inbord",
        "parts.csv row 2, column renews: names 'cv_boot_inbord', which is not a known position or component "
        "(nearest: 'cv_boot_inboard'); correct it.",
    ),
    (
        "parts", 2, "superseded_by", "UJ-9",
        "parts.csv row 2, column superseded_by: 'UJ-9' is not in the parts table; add it to the parts table or "
        "correct it.",
    ),
    (
        "parts", 2, "pack", "1.5",
        "parts.csv row 2, column pack: '1.5' is not a whole number; correct it.",
    ),
    (
        "stock", 2, "part_number", "UJ-9",
        "stock.csv row 2, column part_number: 'UJ-9' is not in the parts table; add it to the parts table or "
        "correct it.",
    ),
    (
        "stock", 2, "on_hand", "-1",
        "stock.csv row 2, column on_hand: '-1' is below 0, the least this can be; correct it.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("table", "row", "column", "value", "expected"), MASTER_FAULTS)
def test_fault_in_a_master_table(fleet, table, row, column, value, expected):
    fleet.set(table, row, column, value)
    assert expected in fleet.problems()


def test_part_superseded_in_a_circle(fleet):
    fleet.set("parts", 2, "superseded_by", "0042")
    fleet.set("parts", 3, "superseded_by", "UJ-1")
    assert fleet.problems() == [
        f"parts.csv row {row}, column superseded_by: {value!r} leads back to the part number itself; break the circle."
        for row, value in ((2, "0042"), (3, "UJ-1"))
    ]


def test_chain_of_successors_is_in_order(fleet):
    fleet.set("parts", 2, "superseded_by", "CSB")
    fleet.set("parts", 3, "superseded_by", "CSB")
    assert list(fleet.read().tables["parts"]["superseded_by"]) == ["CSB", "CSB", ""]


def test_stock_row_twice_for_a_depot(fleet):
    fleet.add("stock", part_number="UJ-1", depot="main", on_hand="2")
    assert fleet.problems() == [
        "stock.csv row 3, column part_number: 'UJ-1' is there twice for one depot; keep one row a depot."
    ]


def test_problems_of_all_tables_come_together(fleet):
    fleet.set("vehicles", 2, "driveline", "nothing")
    fleet.set("parts", 2, "unit_price", "x")
    fleet.set("stock", 2, "on_hand", "y")
    starts = [problem.split(":")[0] for problem in fleet.problems()]
    assert starts == [
        "vehicles.csv row 2, column driveline", "parts.csv row 2, column unit_price", "stock.csv row 2, column on_hand",
    ]  # fmt: skip


def test_no_odometer_anywhere(fleet):
    fleet.drop("readings", "inspections")
    fleet.column("repairs", "odometer", lambda _: "")
    (problem,) = fleet.problems()
    assert problem.startswith("No odometer is known: ") and "add readings.csv" in problem


def test_no_vehicle_in_service_yet(fleet):
    (problem,) = fleet.problems(as_of=pd.Timestamp("2018-06-30"))
    assert problem == "No vehicle is in service at the as-of date 2018-06-30; give a later date with --as-of."


def test_long_lists_are_cut_with_a_count(fleet):
    for i in range(60):
        fleet.add("vehicles", unit=f"X{i}", driveline="nothing", in_service_date="2020-01-01")
    problems = fleet.problems()
    assert len(problems) == 21
    assert problems[-1] == "... and 40 more"


def test_the_limit_of_faulty_rows_from_both_sides(fleet):
    for row in (2, 3):
        fleet.set("repairs", row, "odometer", "1O4,500")
    assert len(fleet.read().tables["repairs"]) == 38  # 2 of 40 rows are 5 %, the limit itself
    fleet.set("repairs", 4, "odometer", "1O4,500")
    problems = fleet.problems()
    assert problems[0] == "repairs.csv row 2, column odometer: '1O4,500' is not a number; the row was set aside."
    assert problems[-1] == (
        "repairs.csv: 3 of 40 rows (7.5%) are faulty, more than the 5.0% that may be set aside; correct them, or raise "
        "set_aside_limit in fleet.toml."
    )
    assert len(problems) == 4
    assert len(fleet.read("set_aside_limit = 0.08").tables["repairs"]) == 37


def test_the_closing_sentence_survives_the_cut(fleet):
    fleet.column("repairs", "odometer", lambda _: "x")
    fleet.column("readings", "odometer", lambda _: "y")
    problems = fleet.problems()
    assert [p for p in problems if "set_aside_limit" in p] == [problems[11], problems[23]]
    assert problems[10] == problems[22] == "... and 30 more"


def test_lines_about_other_systems_do_not_count_as_faulty(fleet):
    for i in range(60):
        fleet.add("repairs", order=f"B{i}", date="soon", unit="nobody", text="brake pads front renewed")
    result = fleet.read()
    assert len(result.tables["repairs"]) == 40
    assert {f.problem for f in result.findings} == {"no driveline part recognised"}


def test_an_as_of_date_before_the_records_is_said_so(fleet):
    assert fleet.problems(as_of=pd.Timestamp("2019-06-30")) == [
        "The records begin on 2020-01-01, after the as-of date 2019-06-30; give a later date with --as-of."
    ]

"""Rows of event tables that are set aside one by one, and rows used after a change."""

import pandas as pd
import pytest

from wearmodel.findings import build_reconciliation, build_set_aside


def only_finding(fleet, **options):
    (finding,) = fleet.read(**options).findings
    return finding


SET_ASIDE = "the row was set aside"
FAULTS = [
    ("repairs", "date", "tomorrow", "is not a date of the years 1950 to 2100", SET_ASIDE),
    ("repairs", "date", "", "the cell is empty", SET_ASIDE),
    ("repairs", "odometer", "-1", "is below 0, the least this can be", SET_ASIDE),
    ("repairs", "odometer", "1O4,500", "is not a number", SET_ASIDE),
    ("repairs", "unit", "T-9", "is not in the vehicles table", SET_ASIDE),
    ("repairs", "position", "rear.support_bearing", "holds a support_bearing, the line says u_joint", SET_ASIDE),
    (
        "repairs", "position", "rear.joint_rere", "is not a position of rear_two_piece (nearest: 'rear.joint_rear')",
        SET_ASIDE,
    ),
    (
        "repairs", "component", "u_jiont", "is not a known component (nearest: 'u_joint')",
        f"{SET_ASIDE}; correct or map the code",
    ),
    (
        "repairs", "part_number", "UJ-7", "is not in the parts table", f"{SET_ASIDE}; add the part to the table",
    ),
    (
        "repairs", "reason", "BRK", "is not a known reason (nearest: 'comeback')",
        f"{SET_ASIDE}; map the code with values.reason in fleet.toml",
    ),
    ("readings", "odometer", "", "the cell is empty", SET_ASIDE),
    ("readings", "odometer", "99999999999", "is above 10,000,000, the most this can be", SET_ASIDE),
    ("readings", "unit", "T-9", "is not in the vehicles table", SET_ASIDE),
    ("inspections", "position", "left.outboard_boot", "is not a position of rear_two_piece", SET_ASIDE),
    (
        "inspections", "finding", "hmm", "is none of ok, worn, failed",
        f"{SET_ASIDE}; map the code with values.finding in fleet.toml",
    ),
    ("duty_log", "month", "spring", "is not a month of the years 1950 to 2100", SET_ASIDE),
    ("duty_log", "distance", "-3", "is below 0, the least this can be", SET_ASIDE),
]  # fmt: skip


@pytest.mark.parametrize(("table", "column", "value", "problem", "action"), FAULTS)
def test_faulty_row(fleet, table, column, value, problem, action):
    fleet.set(table, 6, column, value)
    finding = only_finding(fleet)
    assert (finding.table, finding.file, finding.row, finding.column) == (table, f"{table}.csv", 6, column)
    assert finding.problem.startswith(problem)
    assert (finding.value, finding.action, finding.used) == (value, action, False)


@pytest.mark.parametrize(("lift", "kept"), [("500", 25), ("501", 24), ("-150", 25), ("-151", 24), ("3 in", 24)])
def test_lift_out_of_range(fleet, lift, kept):
    for i in range(20):
        fleet.add("ride_height", unit="T-1", date=f"2020-06-{i + 1:02d}", lift="10")
    fleet.add("ride_height", unit="T-2", date="2020-07-01", lift=lift)
    assert len(fleet.read().tables["ride_height"]) == kept


def test_lift_beyond_the_shafts(fleet):
    for i in range(20):
        fleet.add("ride_height", unit="T-1", date=f"2020-06-{i + 1:02d}", lift="10")
    fleet.add("ride_height", unit="000123", date="2020-07-01", lift="395")
    finding = only_finding(fleet, toml="[geometry.all]\nhalf_shaft_length = 420\nhalf_shaft_angle = 4.0\n")
    # 420 mm x (1 - sin 4 deg) = 390.7 mm: there the shaft would stand at a right angle.
    assert finding.problem == "is beyond what the shafts allow (-449 to 391 mm)"


@pytest.mark.parametrize(
    ("column", "value"), [("labour_hours", "two"), ("parts_cost", "?"), ("quantity", "1.5"), ("labour_hours", "-1")]
)
def test_cell_that_does_not_decide_is_read_as_blank(fleet, column, value):
    fleet.set("repairs", 6, column, value)
    result = fleet.read()
    (finding,) = result.findings
    assert finding.used and finding.action == "the cell was read as blank" and finding.value == value
    cell = result.tables["repairs"].loc[4, column]
    assert cell == 1.0 if column == "quantity" else pd.isna(cell)


def test_repeated_order_line(fleet):
    fleet.rows["repairs"].append(list(fleet.rows["repairs"][3]))
    finding = only_finding(fleet)
    assert (finding.row, finding.problem, finding.used) == (42, "the row repeats row 5", False)


def test_lines_of_one_day_with_orders_of_their_own_are_not_repeats(fleet):
    fleet.rows["repairs"].append(list(fleet.rows["repairs"][3]))
    fleet.set("repairs", 42, "order", "WO999")
    result = fleet.read()
    assert not result.findings and len(result.tables["repairs"]) == 41


@pytest.mark.parametrize("cells", [{"quantity": "-1"}, {"quantity": "0"}, {"parts_cost": "-45.60"}])
def test_returned_part(fleet, cells):
    for column, value in cells.items():
        fleet.set("repairs", 6, column, value)
    finding = only_finding(fleet)
    assert finding.problem == "is a return or credit, no part renewed" and not finding.used


def test_later_of_two_lifts_on_one_day_stands(fleet):
    fleet.add("ride_height", unit="T-1", date="2020-05-01", lift="40")
    result = fleet.read()
    (finding,) = result.findings
    assert (finding.row, finding.problem) == (2, "is overruled by a later row of the same day")
    heights = result.tables["ride_height"]
    assert list(heights.loc[heights["unit"] == "T-1", "lift"]) == [40.0]


def test_month_given_twice(fleet):
    fleet.add("duty_log", unit="T-1", month="Jan 2020", distance="1")
    assert only_finding(fleet).problem == "the row gives the same month again as row 2"


class TestAsOf:
    def test_rows_after_it_are_left_out_whatever_their_faults(self, fleet):
        fleet.column("repairs", "reason", lambda _: "failed")
        fleet.set("repairs", 41, "odometer", "x")
        result = fleet.read(as_of=pd.Timestamp("2020-06-30"))
        for table in ("repairs", "readings", "inspections"):
            assert result.tables[table]["date"].max() <= pd.Timestamp("2020-06-30")
        assert result.tables["duty_log"]["month"].max() == pd.Timestamp("2020-06-01")
        assert {f.problem for f in result.findings} == {"lies after the as-of date 2020-06-30"}

    def test_it_is_the_newest_date_unless_told(self, fleet):
        newest = pd.Timestamp("2022-02-19")
        assert fleet.read().as_of == newest
        assert fleet.read("as_of = 2022-03-31").as_of == pd.Timestamp("2022-03-31")
        assert fleet.read("as_of = 2022-03-31", as_of=pd.Timestamp("2022-04-01")).as_of == pd.Timestamp("2022-04-01")

    def test_a_stray_date_does_not_move_it(self, fleet):
        fleet.set("repairs", 2, "date", "2062-01-01")
        result = fleet.read()
        assert result.as_of == pd.Timestamp("2022-02-19")
        (finding,) = result.findings
        assert finding.problem == "lies after the as-of date 2022-02-19"

    def test_vehicle_not_yet_in_service(self, fleet):
        fleet.set("vehicles", 5, "in_service_date", "2021-06-01")
        fleet.add("ride_height", unit="T-4", date="2020-06-01", lift="10")
        result = fleet.read(as_of=pd.Timestamp("2020-12-31"))
        assert "T-4" not in set(result.tables["vehicles"]["unit"])
        assert all("T-4" not in set(result.tables[name]["unit"]) for name in ("repairs", "readings", "ride_height"))

    def test_retirement_after_it_is_not_known_yet(self, fleet):
        fleet.set("vehicles", 2, "out_of_service_date", "2021-12-31")
        result = fleet.read(as_of=pd.Timestamp("2020-12-31"))
        assert pd.isna(result.tables["vehicles"].loc[0, "out_of_service_date"])
        assert [f.used for f in result.findings if f.table == "vehicles"] == [True]


def test_units_written_in_another_way_are_found(fleet):
    fleet.set("readings", 2, "unit", "t 1")
    fleet.set("readings", 4, "unit", "123")  # a spreadsheet took the zeros
    result = fleet.read()
    assert [f.action for f in result.findings] == ["read as 'T-1'", "read as '000123'"]
    assert all(f.used for f in result.findings)
    assert list(result.tables["readings"]["unit"][:3]) == ["T-1", "T-2", "000123"]


def test_identifiers_stay_text(fleet):
    result = fleet.read()
    assert result.tables["vehicles"].loc[2, "unit"] == "000123"
    assert result.tables["repairs"].loc[2, "part_number"] == "0042"


def test_blank_cells_take_their_defaults(fleet):
    fleet.column("vehicles", "duty", lambda _: "")
    fleet.column("repairs", "quantity", lambda _: "")
    result = fleet.read('records_from = 2019-07-01\n[duty]\nmethod = "none"')
    vehicles = result.tables["vehicles"]
    assert set(vehicles["vehicle_class"]) == {"all"} and set(vehicles["duty"]) == {"unknown"}
    assert set(vehicles["depot"]) == {"main"} and set(vehicles["in_service_odometer"]) == {0.0}
    assert set(vehicles["records_from"]) == {pd.Timestamp("2019-07-01")}
    assert set(result.tables["repairs"]["quantity"]) == {1.0} and set(result.tables["parts"]["pack"]) == {1.0}
    assert not result.findings


def test_records_begin_with_their_earliest_date(fleet):
    assert set(fleet.read().tables["vehicles"]["records_from"]) == {pd.Timestamp("2020-01-01")}


def test_missing_tables_are_named_with_what_is_lost(fleet):
    fleet.drop("parts", "stock", "ride_height", "inspections", "duty_log", "fleet_plan")
    result = fleet.read()
    assert "no parts table: nothing can be priced and no stock advice is given." in result.notes
    assert len([note for note in result.notes if note.startswith("no ")]) == 6
    assert list(result.tables["parts"].columns)[:2] == ["part_number", "component"] and result.tables["parts"].empty
    assert result.tables["ride_height"].dtypes["lift"] == "float64"


def test_components_mapped_to_other_are_left_out(fleet):
    fleet.add("parts", part_number="PAD", component="BRAKES", unit_price="20", lead_time_days="2")
    fleet.add("stock", part_number="PAD", on_hand="3")
    fleet.set("repairs", 6, "component", "BRAKES")
    toml = "[tables.parts]\nvalues.component = { BRAKES = 'other' }\n"
    toml += "[tables.repairs]\nvalues.component = { brakes = 'other' }\n"
    result = fleet.read(toml)
    assert "PAD" not in set(result.tables["parts"]["part_number"]) | set(result.tables["stock"]["part_number"])
    assert sorted(f.table for f in result.findings) == ["parts", "repairs", "stock"]


def test_counts_reconcile(fleet):
    fleet.set("repairs", 3, "date", "x")
    fleet.set("repairs", 9, "labour_hours", "x")
    fleet.add("repairs", order="B", date="2020-02-02", unit="T-1", text="new tyres")
    result = fleet.read()
    table = build_reconciliation(result.counts, build_set_aside(result.findings)).set_index("table")
    assert list(table.loc["repairs", ["rows_read", "used_as_given", "used_repaired", "set_aside"]]) == [41, 38, 1, 2]
    for name, frame in result.tables.items():
        assert table.loc[name, "rows_read"] - table.loc[name, "set_aside"] == len(frame)


def test_stock_at_a_depot_without_vehicles_is_said_and_kept(fleet):
    assert not [note for note in fleet.read().notes if "no vehicle in service" in note]
    row = fleet.add("stock", part_number="CSB", depot="mian", on_hand="2")
    result = fleet.read()
    (said,) = [note for note in result.notes if "no vehicle in service" in note]
    assert said.startswith(f"stock.csv row {row}, column depot: 'mian' (nearest: 'main') has no vehicle in service")
    assert set(result.tables["stock"]["depot"]) == {"main", "mian"}

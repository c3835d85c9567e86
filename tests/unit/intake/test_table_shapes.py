"""Exports as reports print them: titles, headings on two lines, merged cells, groups, totals, page breaks."""

import csv
import io

import pandas as pd
import pytest
import xlsxwriter

from wearmodel.findings import build_reconciliation, build_set_aside
from wearmodel.intake.cells.delimited_text import CellGrid, read_delimited
from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.tables.sources import find_tables, list_sheets
from wearmodel.intake.tables.table_shape import header_candidates, header_place

HEADINGS = ["Order No", "Date", "Unit", "Odometer (km)", "Part No", "Qty", "Work done", "Parts cost"]


def line(number, unit="T-1", part="UJ-1", text="replaced u-joint rear, worn out", **cells):
    date = f"2020-0{1 + number % 9}-15"
    row = {"Order No": f"WO{number}", "Date": date, "Unit": unit, "Odometer (km)": str(11000 + 900 * number)}
    return list((row | {"Part No": part, "Qty": "1", "Work done": text, "Parts cost": "45.60"} | cells).values())


def further(part="UJ-1", text="replaced u-joint front, worn out"):
    return ["", "", "", "", part, "1", text, "45.60"]


@pytest.fixture
def export(fleet):
    """Writes the repairs as given and reads the fleet, beside tables that are in order."""
    fleet.drop("repairs", "inspections", "duty_log")

    def read(rows, toml="", name="repairs.csv"):
        out = io.StringIO()
        csv.writer(out).writerows(rows)
        fleet.write(toml)
        (fleet.path / name).write_text(out.getvalue(), encoding="utf-8", newline="")
        return read_fleet(fleet.path)

    return read


def left_out(result):
    return {f.row: f.problem for f in result.findings if f.table == "repairs" and not f.used}


def reconciled(result):
    table = build_reconciliation(result.counts, build_set_aside(result.findings)).set_index("table").loc["repairs"]
    assert table["rows_read"] - table["set_aside"] - table["waiting_for_review"] == len(result.tables["repairs"])
    return table


class TestHeadings:
    def test_titles_and_blank_lines_above(self, export):
        titles = [["Work orders, all depots"], [], ["Printed 2024-05-01 by us"], ["Date:", "2024-05-01"], [], []]
        result = export([*titles, HEADINGS, [], line(1), line(2)])
        repairs = result.tables["repairs"]
        assert list(repairs["order"]) == ["WO1", "WO2"] and list(repairs["row"]) == [9, 10]
        assert list(repairs["odometer"]) == [11900.0, 12800.0]

    def test_many_title_rows(self, export):
        result = export([*([f"Terms and conditions, part {i}"] for i in range(18)), HEADINGS, line(1)])
        assert list(result.tables["repairs"]["row"]) == [20]

    def test_a_group_over_a_line_of_headings(self, export):
        upper = ["Work order", "", "Vehicle", "Odometer", "Parts", "", "", ""]
        lower = ["No", "Date", "No", "km", "Part No", "Qty", "Work done", "Cost"]
        result = export([["Report"], upper, lower, line(1), line(2)])
        repairs = result.tables["repairs"]
        assert list(repairs["row"]) == [4, 5] and list(repairs["unit"]) == ["T-1", "T-1"]
        assert list(repairs["odometer"]) == [11900.0, 12800.0] and list(repairs["parts_cost"]) == [45.6, 45.6]

    def test_a_line_of_units_below_the_headings(self, export):
        headings = [*HEADINGS[:3], "Odometer", *HEADINGS[4:]]
        result = export([headings, ["", "", "", "mi", "", "pcs", "", "EUR"], line(1)])
        assert list(result.tables["repairs"]["odometer"]) == [pytest.approx(11900 * 1.609344)]
        assert not left_out(result)

    def test_dates_told_apart_by_their_groups(self, export):
        upper = ["Order No", "Opened", "Closed", "Unit", "Work done"]
        lower = ["", "Date", "Date", "", ""]
        rows = [["WO1", "2020-01-02", "2020-01-09", "T-1", "replaced u-joint rear, worn out"]]
        toml = '[tables.repairs]\ncolumns.date = "Closed Date"\n'
        result = export([upper, lower, *rows], toml)
        assert list(result.tables["repairs"]["date"]) == [pd.Timestamp("2020-01-09")]

    def test_a_first_line_of_words_only_is_data(self, fleet):
        fleet.add("parts", part_number="BOLT", component="other", unit_price="1", lead_time_days="2")
        fleet.rows["parts"].insert(0, fleet.rows["parts"].pop())
        result = fleet.read()
        assert [(f.row, f.value) for f in result.findings] == [(2, "other")]

    def test_candidates_for_a_sheet_nothing_is_known_of(self, tmp_path):
        path = tmp_path / "x.csv"
        path.write_text("Depot north,,\n,,\nAsset,Datum,Laufleistung\nT-1,2020-01-01,100\nT-2,2020-01-02,200\n")
        (place,) = list_sheets(tmp_path).places
        assert header_candidates(place.grid())[0] == 2

    def test_an_empty_sheet_has_no_headings(self):
        grid = CellGrid(pd.DataFrame(index=range(0)), pd.Series(dtype="int64").to_numpy())
        assert header_place(grid, table="repairs", named={}).headings == ()
        assert header_candidates(grid) == []


class TestRowsThatAreNoLines:
    def test_page_breaks(self, export):
        rows = [["Work orders"], HEADINGS, line(1), ["Page 1 of 2"], [], ["Work orders"], HEADINGS, line(2)]
        rows += [["", "", "", "", "", "", "Page 2 of 2"], ["Printed 2024-05-01 14:33"], ["*** End of report ***"]]
        result = export(rows)
        assert list(result.tables["repairs"]["row"]) == [3, 8]
        page = "the row is the title or the footer of a page, no line"
        assert left_out(result) == {4: page, 6: page, 7: "the row repeats the headings", 9: page, 10: page, 11: page}
        assert reconciled(result)["rows_read"] == 8

    def test_both_lines_of_headings_repeated(self, export):
        upper = ["Work order", "", "Vehicle", "Odometer", "Parts", "", "", ""]
        lower = ["No", "Date", "No", "km", "Part No", "Qty", "Work done", "Cost"]
        result = export([upper, lower, line(1), upper, lower, line(2)])
        assert list(left_out(result)) == [4, 5] and len(result.tables["repairs"]) == 2

    @pytest.mark.parametrize(
        "row",
        [
            ["Total", "", "", "", "", "2", "", "91.20"],
            ["Grand total:", "", "", "", "", "", "", "91.20"],
            ["", "", "", "", "", "2", "Sum", "91.20"],
            ["", "", "Total for T-1: 12"],
            ["Subtotal T-1", "", "T-1", "", "", "", "", "91.20"],
            ["WO1 Total", "", "", "", "", "2", "", "91.20"],
            ["", "", "", "", "", "", "", "Total 91.20 EUR"],
            ["Zwischensumme", "", "", "", "", "", "", "91,20"],
            ["2 records"],
            ["Number of orders: 2"],
        ],
    )
    def test_totals(self, export, row):
        result = export([HEADINGS, line(1), row, line(2)])
        assert left_out(result) == {3: "the row is a total, no line"}
        assert list(result.tables["repairs"]["order"]) == ["WO1", "WO2"]
        assert reconciled(result)["rows_read"] == 3

    def test_totals_of_other_tables(self, fleet):
        fleet.rows["stock"].append(["Total", "", "4", ""])
        fleet.rows["readings"].append(["Total for T-1", "", "51000"])
        fleet.rows["vehicles"].append(["Total: 4 vehicles"])
        fleet.rows["parts"].append(["Total", "", "", "", "", "", "165.60", ""])
        result = fleet.read()
        assert {(f.table, f.problem) for f in result.findings} == {
            (name, "the row is a total, no line") for name in ("stock", "readings", "vehicles", "parts")
        }
        assert len(result.tables["vehicles"]) == 4 and len(result.tables["parts"]) == 3

    @pytest.mark.parametrize("text", ["total loss, u-joint failed", "sum", "Total", "page 3 of 4: u-joint replaced"])
    def test_a_line_in_order_is_no_total_whatever_it_says(self, export, text):
        result = export([HEADINGS, line(1, text=text), line(2)])
        assert "total" not in "".join(left_out(result).values()) and "page" not in "".join(left_out(result).values())

    def test_a_broken_line_about_a_total_loss_stays_faulty(self, export):
        row = ["", "2020-05-01", "T-1", "", "", "", "total loss of grease, u-joint failed, replaced", ""]
        result = export([HEADINGS, *(line(i) for i in range(1, 30)), row])
        assert left_out(result) == {31: "the cell is empty"}

    def test_rows_of_the_page_do_not_count_as_faulty(self, export):
        """Half of the rows are page lines, far more than the share of faulty rows that stops a run."""
        rows = [HEADINGS]
        for i in range(1, 6):
            rows += [line(i), ["", "", "", "", "", "", "Subtotal", "45.60"], [f"Page {i} of 5"], HEADINGS]
        assert len(export(rows).tables["repairs"]) == 5

    def test_a_footer_beyond_the_last_heading(self, export):
        result = export([HEADINGS, line(1), [*[""] * 9, "Page 1 of 1"]])
        assert left_out(result) == {3: "the row is the title or the footer of a page, no line"}


class TestGroups:
    PROBLEM = "leaves order, date and unit blank, as a further line of the order above it"

    def test_further_lines_take_the_order_above(self, export):
        bearing = further("CSB", "replaced support bearing, failed")
        result = export([HEADINGS, line(1), further(), bearing, line(2, unit="T-4")])
        repairs = result.tables["repairs"]
        assert list(repairs["order"]) == ["WO1", "WO1", "WO1", "WO2"] and list(repairs["unit"])[:3] == ["T-1"] * 3
        assert repairs["odometer"].isna().tolist() == [False, True, True, False]
        taken = [f for f in result.findings if f.problem == self.PROBLEM]
        assert [(f.row, f.value, f.action, f.used) for f in taken] == [
            (3, "WO1", "taken from row 2", True),
            (4, "WO1", "taken from row 2", True),
        ]
        assert reconciled(result)["used_repaired"] >= 2

    def test_a_group_goes_on_after_a_page_break(self, export):
        rows = [["Work orders"], HEADINGS, line(1), further(), [], ["Page 1 of 2"], [], ["Work orders"], [], HEADINGS]
        result = export([*rows, further("CSB", "replaced support bearing, failed")])
        assert list(result.tables["repairs"]["order"]) == ["WO1"] * 3

    @pytest.mark.parametrize(
        "between",
        [[], ["", "", "", "", "", "", "Total", "45.60"], ["WO9", "", "T-1", "", "", "", "replaced u-joint", ""]],
        ids=["a blank row", "a total", "a broken line"],
    )
    def test_no_group_goes_on_after(self, export, between):
        rows = [HEADINGS, *(line(i) for i in range(1, 60)), between, further()]
        assert left_out(export(rows))[62] == "the cell is empty"

    def test_a_line_without_order_only_is_faulty(self, export):
        order, date, _, *rest = line(2)
        rows = [HEADINGS, *(line(i) for i in range(1, 30)), ["", date, "T-1", *rest], [order, date, "", *rest]]
        result = export(rows, "set_aside_limit = 0.2")
        assert left_out(result) == {31: "the cell is empty", 32: "the cell is empty"}

    def test_a_row_of_figures_alone_is_no_line_of_the_order(self, export):
        rows = [HEADINGS, *(line(i) for i in range(1, 30)), ["", "", "", "", "", "1", "", "45.60"]]
        assert list(left_out(export(rows))) == [31]

    def test_further_lines_at_the_top_have_no_order(self, export):
        rows = [HEADINGS, further(), *(line(i) for i in range(1, 30))]
        assert left_out(export(rows)) == {2: "the cell is empty"}

    def test_other_tables_are_not_filled(self, fleet):
        fleet.rows["readings"].append(["", "", "51000"])
        result = fleet.read()
        assert [f.problem for f in result.findings] == ["the cell is empty"] * 2


def merged_book(path, *, group_heading=False):
    """Orders whose number, date, unit and cost are merged over their lines."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("repairs")
    sheet.merge_range(0, 0, 0, 5, "Work orders of the year")
    top = 3
    if group_heading:
        sheet.merge_range(2, 0, 2, 1, "Work order")
        sheet.merge_range(2, 2, 3, 2, "Unit")
        sheet.merge_range(2, 3, 2, 5, "Parts")
        sheet.write_row(3, 0, ["No", "Date"])
        sheet.write_row(3, 3, ["Part No", "Work done", "Cost"])
        top = 4
    else:
        sheet.write_row(2, 0, ["Order No", "Date", "Unit", "Part No", "Work done", "Parts cost"])
    for i, (order, unit) in enumerate([("000123", "T-1"), ("WO2", "T-4")]):
        first = top + 3 * i
        for column, value in enumerate([order, "2020-05-15", unit]):
            sheet.merge_range(first, column, first + 2, column, value)
        sheet.merge_range(first, 5, first + 2, 5, 140.0)
        for j, text in enumerate(["replaced u-joint rear, worn out", "replaced u-joint front, failed"]):
            sheet.write_row(first + j, 3, ["UJ-1", text])
    sheet.merge_range(top + 6, 0, top + 6, 4, "Total")
    sheet.write(top + 6, 5, 280.0)
    book.close()


class TestMergedCells:
    @pytest.mark.parametrize("group_heading", [False, True])
    def test_what_is_merged_downwards_stands_for_every_line(self, fleet, group_heading):
        fleet.drop("repairs", "inspections", "duty_log")
        merged_book(fleet.write() / "repairs.xlsx", group_heading=group_heading)
        result = read_fleet(fleet.path)
        repairs = result.tables["repairs"]
        top = 5 if group_heading else 4
        assert list(repairs["row"]) == [top, top + 1, top + 3, top + 4]
        assert list(repairs["order"]) == ["000123", "000123", "WO2", "WO2"]
        assert list(repairs["unit"]) == ["T-1", "T-1", "T-4", "T-4"] and repairs["date"].notna().all()
        filled = [f for f in result.findings if f.problem == "stands in a cell merged over several rows"]
        assert {(f.row, f.action) for f in filled} == {
            (top + 1, f"taken from row {top}"),
            (top + 4, f"taken from row {top + 3}"),
        }
        headings = ["Work order No", "Work order Date", "Unit"] if group_heading else ["Order No", "Date", "Unit"]
        assert [f.column for f in filled if f.row == top + 1] == headings
        assert reconciled(result)["rows_read"] == 5

    def test_a_merged_sum_is_not_given_to_each_line(self, fleet):
        fleet.drop("repairs", "inspections", "duty_log")
        merged_book(fleet.write() / "repairs.xlsx")
        costs = read_fleet(fleet.path).tables["repairs"]["parts_cost"]
        assert costs.sum() == 280.0 and costs.isna().sum() == 2


def test_delimiters_are_still_told_by_the_headings_below_titles(tmp_path):
    path = tmp_path / "repairs.csv"
    path.write_text("Report, north depot, 2024\n\nOrder No;Date;Unit\nWO1;2020-01-01;T-1\n")
    (found,) = find_tables(tmp_path, sources={}).tables["repairs"]
    assert found.place is not None and found.place.grid().delimiter == ";"
    assert read_delimited(path, label="", score=lambda record: len(record) - 1).delimiter in (",", ";")

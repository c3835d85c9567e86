"""One table from several files, sheets and queries, and the same repair on two of them."""

import csv
import sqlite3

import openpyxl
import pandas as pd
import pytest

from wearmodel.errors import InputError
from wearmodel.findings import build_reconciliation, build_set_aside
from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.intake.tables.sources import list_sheets


def split(fleet, table="repairs", at=20):
    """Move a table's rows from the given one on to `later`, a table of the same headings."""
    later = fleet.rows[table][at:]
    del fleet.rows[table][at:]
    return later


def write_csv(fleet, name, rows, headers):
    with (fleet.path / name).open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([headers, *rows])


def write_two(fleet, rows, headers=None, toml='[tables.repairs]\nfile = ["repairs.csv", "more.csv"]\n'):
    """The fleet's own repairs and further rows on a second export."""
    fleet.write(toml)
    write_csv(fleet, "more.csv", rows, headers or fleet.headers["repairs"])
    return read_fleet(fleet.path)


def cells(fleet, row, **changes):
    """A copy of a row of the repairs, by its number in a spreadsheet."""
    return list((dict(zip(fleet.headers["repairs"], fleet.rows["repairs"][row - 2], strict=True)) | changes).values())


def used(result):
    return result.tables["repairs"].drop(columns=["file", "row"])


def left_out(result):
    return {(f.file, f.row): f.problem for f in result.findings if not f.used}


class TestWhereTheyAre:
    def test_a_list_of_files_is_one_table(self, fleet):
        expected = used(fleet.read())
        result = write_two(fleet, split(fleet))
        assert used(result).equals(expected)
        repairs = result.tables["repairs"]
        assert list(repairs["file"].unique()) == ["repairs.csv", "more.csv"]
        assert list(repairs["row"]) == [*range(2, 22), *range(2, 22)]
        counts = result.counts[result.counts["table"] == "repairs"]
        assert counts.values.tolist() == [["repairs", "repairs.csv", 20], ["repairs", "more.csv", 20]]

    def test_sources_with_headings_codes_units_and_date_orders_of_their_own(self, fleet):
        expected = used(fleet.read())
        rows, headers = split(fleet), list(fleet.headers["repairs"])
        headers[headers.index("unit")], headers[headers.index("odometer")] = "Reg", "Clock"
        book = openpyxl.Workbook()
        book.create_sheet("Lines").append(headers)
        for row in rows:
            year, month, day = row[1].split("-")
            miles = round(float(row[3]) / 1.609344, 6)
            book["Lines"].append([row[0], f"{month}/{day}/{year}", row[2], miles, *row[4:9], "BRK", *row[10:]])
        fleet.path.mkdir(exist_ok=True)
        book.save(fleet.path / "wo_2024.xlsx")
        fleet.write(
            '[[tables.repairs]]\nfile = "repairs.csv"\n'
            '[[tables.repairs]]\nfile = "wo_2024.xlsx"\nsheet = "Lines"\nunit = "mi"\ndate_order = "mdy"\n'
            'columns = { unit = "Reg", odometer = "Clock" }\nvalues.reason = { BRK = "failed" }\n'
        )
        result = read_fleet(fleet.path)
        pd.testing.assert_frame_equal(used(result), expected, check_exact=False)

    def test_findings_name_file_row_and_heading(self, fleet):
        rows, headers = split(fleet), list(fleet.headers["repairs"])
        headers[3] = "Meter"
        rows[4][3] = "1O4,500"
        rows[7][headers.index("labour_hours")] = "x"
        fleet.set("repairs", 3, "labour_hours", "x")
        result = write_two(fleet, rows, headers)
        assert [(f.file, f.row, f.column, f.value) for f in result.findings] == [
            ("repairs.csv", 3, "labour_hours", "x"),
            ("more.csv", 6, "Meter", "1O4,500"),
            ("more.csv", 9, "labour_hours", "x"),
        ]
        table = build_reconciliation(result.counts, build_set_aside(result.findings)).set_index("file")
        assert list(table.loc["repairs.csv", ["rows_read", "used_repaired", "set_aside"]]) == [20, 1, 0]
        assert list(table.loc["more.csv", ["rows_read", "used_repaired", "set_aside"]]) == [20, 1, 1]

    def test_too_many_faulty_rows_name_both_files(self, fleet):
        rows = split(fleet)
        for row in rows[:4]:
            row[1] = "x"
        with pytest.raises(InputError) as caught:
            write_two(fleet, rows)
        assert caught.value.problems[0].startswith("more.csv row 2, column date: 'x' is not a date")
        assert caught.value.problems[-1].startswith("repairs.csv and more.csv: 4 of 40 rows (10.0%) are faulty")

    def test_master_tables_in_two_files(self, fleet):
        expected = fleet.read().tables["vehicles"].drop(columns=["file", "row"])
        rows = fleet.rows["vehicles"]
        write = [rows[0], *split(fleet, "vehicles", at=2)]
        fleet.write('[tables.vehicles]\nfile = ["vehicles.csv", "south.csv"]\n')
        write_csv(fleet, "south.csv", write, fleet.headers["vehicles"])
        result = read_fleet(fleet.path)
        assert result.tables["vehicles"].drop(columns=["file", "row"]).equals(expected)
        assert left_out(result) == {("south.csv", 2): "the row is on vehicles.csv row 2 too"}
        write[0][3] = "light"
        write_csv(fleet, "south.csv", [[*rows[0][:3], "other", *rows[0][4:]], *write[1:]], fleet.headers["vehicles"])
        with pytest.raises(InputError, match=r"south.csv row 2, .*'T-1' is there twice, first in vehicles.csv row 2"):
            read_fleet(fleet.path)

    def test_queries_of_a_database(self, fleet):
        expected = used(fleet.read())
        headers, rows = fleet.headers["repairs"], fleet.rows.pop("repairs")
        (fleet.path / "repairs.csv").unlink()
        with sqlite3.connect(fleet.path / "shop.db") as shop:
            shop.execute(f"CREATE TABLE lines ({', '.join(f'{name!r} TEXT' for name in headers)})")
            shop.executemany(f"INSERT INTO lines VALUES ({', '.join('?' * len(headers))})", rows)
        shop.close()
        toml = '[databases]\nshop = "sqlite:///shop.db"\n'
        for low, high in (("2020-01-01", "2020-12-31"), ("2021-01-01", "2029-12-31")):
            toml += "[[tables.repairs]]\ndatabase = 'shop'\nquery = '''SELECT * FROM lines\n"
            toml += f"WHERE date BETWEEN '{low}' AND '{high}' ORDER BY date'''\n"
        result = fleet.read(toml)
        pd.testing.assert_frame_equal(used(result), expected)
        assert list(result.tables["repairs"]["file"].unique()) == ["database shop", "database shop query 2"]
        counts = result.counts[result.counts["table"] == "repairs"]
        assert counts["rows_read"].sum() == 40 and len(counts) == 2


REFUSALS = [
    ('file = ["a.csv", 3]', "tables.repairs.file: ['a.csv', 3] is not a list of texts; write each text once"),
    ('file = ["a.csv", "a.csv"]', "tables.repairs.file: ['a.csv', 'a.csv'] is not a list of texts"),
    ("file = []", "tables.repairs.file: [] is not a list of texts"),
    (
        'columns.unit = ["Fleet", "No"]',
        "tables.repairs.columns.unit: is one column, not several; only note and text can be joined",
    ),
    ('database = "shop"', "tables.repairs.database: stands alone; give database and query together"),
    ('query = "SELECT 1"', "tables.repairs.query: stands alone; give database and query together"),
    (
        'database = "shop"\nquery = "SELECT 1"\nsheet = "x"',
        "tables.repairs.database: stands beside a file or sheet; name one place for each source",
    ),
    ('database = "shop"\nquery = ""', "tables.repairs.query: is not a text; write it in quotation marks, 20,000"),
]


@pytest.mark.parametrize(("body", "problem"), REFUSALS)
def test_what_is_refused(fleet, body, problem):
    problems = fleet.problems(f"[tables.repairs]\n{body}\n")
    assert problems[0].startswith(f"fleet.toml, key {problem}")


def test_several_sections_each_say_where(fleet):
    problems = fleet.problems('[[tables.repairs]]\nfile = "repairs.csv"\n[[tables.repairs]]\nunit = "km"\n')
    assert problems == [
        "fleet.toml, key tables.repairs[2].file: is not there; each of several sections names its own file, sheet or "
        "database."
    ]


def test_one_file_named_twice(fleet):
    toml = '[[tables.repairs]]\nfile = "repairs.csv"\n[[tables.repairs]]\nfile = "Repairs.csv"\n'
    (problem,) = fleet.problems(toml)
    assert problem == "fleet.toml names repairs.csv twice under [tables.repairs]; name it once."


def test_an_unknown_database_is_named_with_the_nearest(fleet):
    toml = '[databases]\nshop = "sqlite:///x.db"\n[tables.repairs]\ndatabase = "shob"\nquery = "SELECT 1"\n'
    (problem,) = fleet.problems(toml)
    assert problem == (
        "fleet.toml, key tables.repairs.database: 'shob' is not named under [databases] (nearest: 'shop'); add its "
        "URL there."
    )


def test_a_query_keeps_its_lines_and_a_url_is_never_shown(fleet):
    query = "SELECT *  -- all\nFROM lines\nWHERE note = 'a  b'"
    toml = f"[databases]\nshop = 'sqlite:///p?key=secret'\n[tables.repairs]\ndatabase = 'shop'\nquery = '''{query}'''\n"
    settings = read_settings(fleet.write(toml))
    assert settings.tables["repairs"][0].query == query
    assert "secret" not in repr(settings)


def test_wordings_of_several_columns_are_joined_in_order(fleet):
    headers = [*fleet.headers["repairs"], "Complaint", "Cause", "Correction"]
    headers[headers.index("text")] = "line type"
    fleet.headers["repairs"] = headers
    for row in fleet.rows["repairs"]:
        row += ["Clunk on take-off.", "", "replaced u-joint"]
    fleet.rows["repairs"][3][-3:] = ["", "joint worn", ""]
    result = fleet.read('[tables.repairs]\ncolumns.text = ["Complaint", "Cause", "Correction"]\n')
    assert list(result.tables["repairs"]["text"])[2:4] == ["Clunk on take-off. replaced u-joint", "joint worn"]
    (problem,) = fleet.problems('[tables.repairs]\ncolumns.text = ["Complaint", "Remedy"]\n')
    assert "column 'Remedy', named for text in fleet.toml, is not there" in problem


class TestTheSameRepairTwice:
    """Rows of the fixture name no text; these tests give one to row 5."""

    @pytest.fixture
    def told(self, fleet):
        fleet.set("repairs", 5, "text", "U-joint worn, replaced")
        return fleet

    @pytest.mark.parametrize(
        "changes",
        [
            {},
            {"order": "wo 3"},
            {"order": "WO/0003"},
            {"text": "u-JOINT WORN,  replaced."},
            {"part_number": "uj 1", "unit": "t4"},
            {"odometer": "12701"},
            {"odometer": ""},
            {"parts_cost": ""},
            {"labour_hours": "9", "reason": ""},
            {"component": "", "position": ""},
        ],
        ids=str,
    )
    def test_counts_once(self, told, changes):
        expected = len(told.read().tables["repairs"])
        result = write_two(told, [cells(told, 5, **changes)])
        assert len(result.tables["repairs"]) == expected
        assert left_out(result) == {("more.csv", 2): "the row is on repairs.csv row 5 too"}
        assert result.counts["rows_read"].iloc[list(result.counts["file"]).index("more.csv")] == 1

    @pytest.mark.parametrize(
        "changes",
        [
            {"order": "WO4"},
            {"date": "2020-03-02"},
            {"text": "U-joint greased"},
            {"part_number": "CSB"},
            {"quantity": "2"},
            {"parts_cost": "45.70"},
            {"odometer": "12710"},
        ],
        ids=str,
    )
    def test_is_another_repair(self, told, changes):
        result = write_two(told, [cells(told, 5, **changes)])
        assert not any("too" in problem for problem in left_out(result).values())

    def test_the_fuller_row_is_used_whichever_file_it_is_on(self, told):
        told.set("repairs", 5, "labour_hours", "")
        told.set("repairs", 5, "parts_cost", "")
        full = cells(told, 5, labour_hours="2", parts_cost="45.60")
        result = write_two(told, [full])
        assert left_out(result) == {("repairs.csv", 5): "the row is on more.csv row 2 too"}
        kept = result.tables["repairs"][result.tables["repairs"]["file"] == "more.csv"]
        assert list(kept["labour_hours"]) == [2.0]

    def test_blank_cells_are_not_filled_from_the_other_row(self, told):
        told.set("repairs", 5, "labour_hours", "")
        told.set("repairs", 5, "odometer", "")
        other = cells(told, 5, labour_hours="2", odometer="12700", part_number="UJ-1", component="", position="")
        told.set("repairs", 5, "part_number", "UJ-1")
        kept = write_two(told, [other]).tables["repairs"].set_index("row").loc[[5]]
        assert kept["labour_hours"].isna().all() and kept["odometer"].isna().all()

    def test_two_alike_on_one_order_stay_two(self, told):
        """Both files list two joints, told apart by their cost alone; each stands for one of the other file."""
        told.rows["repairs"].append(cells(told, 5, parts_cost="50"))
        result = write_two(told, [cells(told, 5, parts_cost="50.00"), cells(told, 5, order="wo3")])
        assert left_out(result) == {
            ("more.csv", 2): "the row is on repairs.csv row 42 too",
            ("more.csv", 3): "the row is on repairs.csv row 5 too",
        }

    def test_a_second_line_of_one_file_finds_no_second_partner(self, told):
        blank = cells(told, 5, parts_cost="")
        result = write_two(told, [cells(told, 5), blank])
        assert left_out(result) == {("more.csv", 2): "the row is on repairs.csv row 5 too"}

    def test_lines_without_words_are_told_apart_by_their_codes(self, fleet):
        other = cells(fleet, 5, position="axle_right.joint")
        result = write_two(fleet, [other, cells(fleet, 6)])
        assert left_out(result) == {("more.csv", 3): "the row is on repairs.csv row 6 too"}

    def test_three_exports(self, told):
        told.write('[tables.repairs]\nfile = ["repairs.csv", "a.csv", "b.csv"]\n')
        for name in ("a.csv", "b.csv"):
            write_csv(told, name, [cells(told, 5)], told.headers["repairs"])
        assert set(left_out(read_fleet(told.path)).values()) == {"the row is on repairs.csv row 5 too"}

    def test_rows_of_one_number_in_two_files_are_not_taken_for_one(self, fleet):
        """Row numbers say nothing across files: row 2 repeats row 2 of the other file, not itself."""
        result = write_two(fleet, [cells(fleet, 2)])
        assert left_out(result) == {("more.csv", 2): "the row is on repairs.csv row 2 too"}

    def test_readings_of_two_exports(self, fleet):
        fleet.write('[tables.readings]\nfile = ["readings.csv", "clocks.csv"]\n')
        rows = [["t1", "01.01.2020", "10000.6"], ["t1", "01.01.2020", "10010"]]
        write_csv(fleet, "clocks.csv", rows, fleet.headers["readings"])
        result = read_fleet(fleet.path)
        assert left_out(result) == {("clocks.csv", 2): "the row is on readings.csv row 2 too"}

    def test_a_month_given_by_two_exports(self, fleet):
        fleet.write('[tables.duty_log]\nfile = ["duty_log.csv", "more.csv"]\n')
        write_csv(fleet, "more.csv", [["T-1", "2020-01", "9", "1"]], ["unit", "month", "distance", "stops"])
        problems = left_out(read_fleet(fleet.path))
        assert problems == {("more.csv", 2): "the row gives the same month again as duty_log.csv row 2"}


def test_sheets_are_listed_whatever_they_are_called(fleet):
    fleet.write_workbook("shop.xlsx")
    fleet.write('currency = "EUR"\n')
    (fleet.path / "corrections.csv").write_text("key,work\n")
    (fleet.path / "broken.xls").write_bytes(b"no workbook")
    (fleet.path / "away.csv").symlink_to("/etc/hostname")
    listing = list_sheets(fleet.path)
    labels = [place.label for place in listing.places]
    assert [label for label in labels if label.endswith(".csv")] == sorted(f"{name}.csv" for name in fleet.rows)
    assert [label for label in labels if "sheet" in label] == [f"shop.xlsx sheet {name}" for name in fleet.rows]
    assert len(listing.notes) == 2 and listing.notes[0].startswith("away.csv was passed over: away.csv is a link")
    place = next(place for place in listing.places if place.sheet == "stock")
    assert list(place.grid().cells.iloc[0]) == fleet.headers["stock"]


def test_a_folder_without_a_table_lists_nothing(tmp_path):
    (tmp_path / "fleet.toml").touch()
    assert list_sheets(tmp_path).places == ()
    with pytest.raises(InputError, match="does not exist"):
        list_sheets(tmp_path / "nowhere")

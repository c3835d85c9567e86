"""Folders of raw exports: what is proposed, written, and then read."""

import csv
import datetime as dt
import tomllib

import numpy as np
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wearmodel.errors import InputError
from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.intake.proposal.mapping_proposal import propose_mapping, write_proposal
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.simulate.fleet import simulate_fleet


@pytest.fixture(scope="module")
def tables():
    """Canonical tables of an invented fleet: name -> (headings, rows of text)."""
    frames = simulate_fleet(np.random.default_rng(11), vehicles=24, years=3).tables
    return {name: (list(frame.columns), frame.astype(str).to_numpy().tolist()) for name, frame in frames.items()}


@pytest.fixture(scope="module")
def canonical(tables, tmp_path_factory):
    folder = tmp_path_factory.mktemp("canonical")
    for name, (headings, rows) in tables.items():
        write_csv(folder / f"{name}.csv", [headings, *rows])
    return read_fleet(folder)


def write_csv(path, rows, *, delimiter=",", encoding="utf-8"):
    with path.open("w", encoding=encoding, newline="") as file:
        csv.writer(file, delimiter=delimiter).writerows(rows)


def columns_of(tables, name, headings):
    """Rows of a table under other headings; only the columns named, in the order given."""
    names, rows = tables[name]
    places = [names.index(column) for column in headings]
    return [list(headings.values()), *([row[i] for i in places] for row in rows)]


def assert_reads_as(folder, canonical, *, but=()):
    """After writing the proposal the folder is read as the canonical one is."""
    proposal = propose_mapping(folder)
    assert not proposal.undecided, proposal.undecided
    assert write_proposal(folder, proposal) == folder / "fleet.toml"
    fleet = read_fleet(folder)
    for name, expected in canonical.tables.items():
        if name not in but:
            got, wanted = (t.drop(columns=["file", "row"]) for t in (fleet.tables[name], expected))
            key = list(wanted.columns)
            got, wanted = (t.sort_values(key, ignore_index=True) for t in (got, wanted))
            assert got.equals(wanted), name
    return proposal


CAPITALS = {
    "ASSET_MASTER.TXT": ("vehicles", {
        "unit": "ASSET_NUM", "vehicle_class": "ASSET_CLASS", "driveline": "DRV_CONFIG", "duty": "DUTY_CD",
        "depot": "HOME_DEPOT", "in_service_date": "IN_SVC_DT", "in_service_odometer": "IN_SVC_ODO",
        "records_from": "RECORDS_FROM", "out_of_service_date": "DISPOSAL_DT",
    }),
    "WO_LINES.TXT": ("repairs", {
        "order": "WO_NUM", "date": "WO_CLOSE_DT", "unit": "EQUIP_ID", "odometer": "METER_RDG", "text": "REPAIR_DESC",
        "part_number": "PART_NUM", "quantity": "QTY_USED", "component": "COMP_CD", "position": "POS_CD",
        "reason": "RSN_CD", "labour_hours": "LBR_HRS", "parts_cost": "PART_AMT",
    }),
    "METER_READINGS.TXT": ("readings", {"unit": "EQUIP_ID", "date": "RDG_DT", "odometer": "ODO_RDG_KM"}),
    "PM_INSPECTIONS.TXT": ("inspections", {
        "unit": "EQUIP_ID", "date": "INSP_DT", "odometer": "METER", "position": "POS_CD", "finding": "COND_FOUND",
    }),
    "ITEM_CATALOG.TXT": ("parts", {
        "part_number": "ITEM_NO", "component": "PART_TYPE", "build": "BUILD", "vehicle_class": "VEH_CLASS",
        "position": "POS_CD", "renews": "RENEWS", "unit_price": "PRICE_EA", "lead_time_days": "LEAD_DAYS",
        "lead_time_sd_days": "LEAD_TIME_SD", "pack": "PACK_QTY", "superseded_by": "SUPERSEDED_BY",
    }),
    "STOCK.TXT": ("stock", {"part_number": "ITEM_NO", "depot": "WHSE", "on_hand": "SOH", "on_order": "QTY_ON_ORDER"}),
    "SUSPENSION.TXT": ("ride_height", {"unit": "EQUIP_ID", "date": "EFF_DT", "lift": "LIFT_MM", "note": "REMARKS"}),
    "UTILISATION.TXT": ("duty_log", {
        "unit": "EQUIP_ID", "month": "PERIOD", "distance": "KM_RUN", "stops": "STOP_COUNT", "idle_hours": "IDLE_HRS",
        "unpaved_share": "UNPAVED", "tow_hours": "TOW_HRS", "mean_speed": "AVG_SPEED",
    }),
}  # fmt: skip


def test_capitals_with_underscores(tables, canonical, tmp_path):
    for file, (name, headings) in CAPITALS.items():
        write_csv(tmp_path / file, columns_of(tables, name, headings), delimiter="|")
    proposal = assert_reads_as(tmp_path, canonical)
    assert proposal.tables == {name: (file,) for name, file in sorted_by_schema(CAPITALS).items()}
    text = (tmp_path / "fleet.toml").read_text(encoding="utf-8")
    assert 'columns.date = "WO_CLOSE_DT"' in text
    assert 'distance_unit = "km"' in text


def sorted_by_schema(exports):
    of = {table: file for file, (table, _) in exports.items()}
    return {table: of[table] for table in SCHEMA if table in of}


SPACED = {
    "Fleet list.csv": ("vehicles", {
        "unit": "Fleet No.", "vehicle_class": "Vehicle Type", "driveline": "Drive Line", "duty": "Usage",
        "depot": "Home Depot", "in_service_date": "Date Into Service", "in_service_odometer": "Start Odometer (km)",
        "records_from": "Records From", "out_of_service_date": "Date Sold",
    }),
    "Parts price list.csv": ("parts", {
        "part_number": "Stock Code", "component": "Part Type", "build": "Construction", "vehicle_class": "Vehicle Type",
        "position": "Fitted Position", "renews": "Kit Contents", "unit_price": "Price Each",
        "lead_time_days": "Lead Time (days)", "lead_time_sd_days": "Lead Time Spread", "pack": "Pack Size",
        "superseded_by": "Replaced By",
    }),
    "Stores.csv": ("stock", {
        "part_number": "Stock Code", "depot": "Store", "on_hand": "Qty On Hand", "on_order": "Qty On Order",
    }),
    "Lift kits.csv": ("ride_height", {
        "unit": "Fleet No.", "date": "Date Fitted", "lift": "Lift Height", "note": "Remarks",
    }),
    "Clock readings.csv": ("readings", {"unit": "Fleet No.", "date": "Date Read", "odometer": "Clock Reading"}),
    "Inspection sheets.csv": ("inspections", {
        "unit": "Fleet No.", "date": "Date Inspected", "odometer": "Clock Reading", "position": "Position",
        "finding": "Condition",
    }),
    "Monthly activity.csv": ("duty_log", {
        "unit": "Fleet No.", "month": "Month", "distance": "Distance Driven (km)", "stops": "No. of Stops",
        "idle_hours": "Idle Hours", "unpaved_share": "Off Road Share", "tow_hours": "Towing Hours",
        "mean_speed": "Average Speed km/h",
    }),
}  # fmt: skip
JOB_CARDS = {
    "order": "Job Card No.", "date": "Date Completed", "unit": "Fleet No.", "odometer": "Clock Reading (km)",
    "text": "Correction", "part_number": "Item Code", "quantity": "Qty", "component": "Component",
    "position": "Position", "reason": "Cause Code", "labour_hours": "Man Hours", "parts_cost": "Materials",
}  # fmt: skip


def test_spaced_headings_below_titles_and_one_file_a_year(tables, canonical, tmp_path):
    """Complaint, cause and correction are joined; two files with the same headings are one table."""
    title = [["Report of the workshop system"], ["Printed 3 March"], []]
    for file, (name, headings) in SPACED.items():
        write_csv(tmp_path / file, [*title, *columns_of(tables, name, headings)], delimiter=";", encoding="cp1252")
    heads, *lines = columns_of(tables, "repairs", JOB_CARDS)
    told = [["Complaint", "Cause", *heads], *(["", "", *line] for line in lines)]
    half = len(lines) // 2
    write_csv(tmp_path / "Jobs 2023.csv", [*title, *told[: half + 1]], delimiter=";")
    write_csv(tmp_path / "Jobs 2024.csv", [*title, told[0], *told[half + 1 :]], delimiter=";")
    proposal = assert_reads_as(tmp_path, canonical)
    assert proposal.tables["repairs"] == ("Jobs 2023.csv", "Jobs 2024.csv")
    sections = tomllib.loads(proposal.text)["tables"]["repairs"]
    assert [section["file"] for section in sections] == ["Jobs 2023.csv", "Jobs 2024.csv"]
    assert sections[0]["columns"]["text"] == ["Complaint", "Cause", "Correction"]


CRYPTIC = {
    "EXP01.csv": ("vehicles", ["unit", "driveline", "in_service_date"]),
    "EXP02.csv": ("repairs", [
        "order", "date", "unit", "odometer", "text", "part_number", "component", "position", "reason",
    ]),
    "EXP03.csv": ("readings", ["unit", "date", "odometer"]),
}  # fmt: skip


def test_headings_without_meaning(tables, tmp_path):
    """What the cells hold is proposed, and marked as such."""
    (tmp_path / "canonical").mkdir()
    (tmp_path / "export").mkdir()
    place = 0
    for file, (name, columns) in CRYPTIC.items():
        heads = {column: f"FLD_{(place := place + 1):02d}" for column in columns}
        rows = columns_of(tables, name, heads)
        told = [[*row, "SITE7" if i else "FLD_99"] for i, row in enumerate(rows)]
        write_csv(tmp_path / "export" / file, told)
        write_csv(tmp_path / "canonical" / f"{name}.csv", columns_of(tables, name, {c: c for c in columns}))
    # A price list by which part numbers are known again; its lead times nobody could tell from other figures.
    prices = columns_of(tables, "parts", {"part_number": "A1", "component": "A2", "unit_price": "A3", "pack": "A4"})
    write_csv(tmp_path / "export" / "EXP04.csv", prices)
    expected = read_fleet(tmp_path / "canonical")
    with pytest.raises(InputError):
        read_fleet(tmp_path / "export")
    proposal = assert_reads_as(tmp_path / "export", expected)
    assert {name: files for name, (files,) in proposal.tables.items()} == {
        "vehicles": "EXP01.csv", "parts": "EXP04.csv", "readings": "EXP03.csv", "repairs": "EXP02.csv",
    }  # fmt: skip
    assert set(tomllib.loads(proposal.text)["tables"]) == {"vehicles", "readings", "repairs"}
    assert any("parts (EXP04.csv): which column is lead_time_days?" in question for question in proposal.questions)
    assert proposal.text.count("by its contents alone: please check") == place + 3
    assert proposal.text.count("# Not used: 'FLD_99'.") == 3


def test_one_workbook_with_a_pivot_beside(tables, canonical, tmp_path):
    """Dates and numbers as such, sheets of any name, and sheets that are no table."""
    book = xlsxwriter.Workbook(tmp_path / "Export of June.xlsx")
    sheets = {"Assets": "ASSET_MASTER.TXT", "WO lines": "WO_LINES.TXT", "Meters": "METER_READINGS.TXT"}
    sheets |= {"Inspections 24": "PM_INSPECTIONS.TXT", "Catalogue": "ITEM_CATALOG.TXT", "Bins": "STOCK.TXT"}
    sheets |= {"Ride heights": "SUSPENSION.TXT", "Use": "UTILISATION.TXT"}
    write_pivot(book.add_worksheet("Summary"))
    for sheet, file in sheets.items():
        name, headings = CAPITALS[file]
        write_typed(book, book.add_worksheet(sheet), columns_of(tables, name, headings))
    book.add_worksheet("Notes").write(0, 0, "ask the storekeeper")
    book.close()
    proposal = assert_reads_as(tmp_path, canonical)
    assert any("sheet Summary" in note for note in proposal.notes)
    assert any("sheet Notes" in note for note in proposal.notes)
    assert set(proposal.tables) == set(SCHEMA) - {"fleet_plan"}


def write_pivot(sheet):
    sheet.write_row(0, 0, ["Sum of PART_AMT", "Column labels"])
    sheet.write_row(1, 0, ["Row labels", "2023", "2024", "Grand total"])
    for i, depot in enumerate(["north_yard", "river_yard", "ridge_yard", "Grand total"], start=2):
        sheet.write_row(i, 0, [depot, 1200.5 * i, 900.25 * i, 2100.75 * i])


def write_typed(book, sheet, rows):
    date = book.add_format({"num_format": "dd/mm/yyyy"})
    sheet.write_row(0, 0, rows[0])
    for i, row in enumerate(rows[1:], start=1):
        for j, cell in enumerate(row):
            if rows[0][j].endswith("_DT") and len(cell) == 10 and cell[4] == "-":
                sheet.write_datetime(i, j, dt.datetime.fromisoformat(cell), date)
            elif rows[0][j].endswith(("_RDG", "_KM", "_ODO", "_USED", "_EA", "SOH")) and cell.isdigit():
                sheet.write_number(i, j, float(cell))
            elif cell:
                sheet.write_string(i, j, cell)


@pytest.fixture
def shop(tables, tmp_path):
    """Three small exports with the headings of a shop, to be spoilt in one way."""
    for file, columns in SHOP.items():
        write_csv(tmp_path / f"shop {file}", columns_of(tables, file.partition(".")[0], columns))
    return tmp_path


SHOP = {
    "vehicles.csv": {"unit": "Asset", "driveline": "Drive Line", "in_service_date": "In Service"},
    "readings.csv": {"unit": "Asset", "date": "Reading Date", "odometer": "Odometer km"},
    "repairs.csv": {
        "order": "WO", "date": "Date Closed", "unit": "Asset", "odometer": "Odometer km", "text": "Work Done",
        "component": "Component", "position": "Position", "reason": "Reason",
    },
}  # fmt: skip


def change(path, alter):
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    write_csv(path, alter(rows))


def test_two_dates_are_a_question(shop):
    opened = "Date Opened"
    change(shop / "shop repairs.csv", lambda rows: [[*row, row[1] if i else opened] for i, row in enumerate(rows)])
    assert not propose_mapping(shop).undecided, "two columns that say the same leave no choice"
    change(shop / "shop repairs.csv", lambda rows: [rows[0], *([*r[:-1], "2023-08-01"] for r in rows[1:])])
    proposal = propose_mapping(shop)
    (question,) = proposal.undecided
    assert question.startswith("repairs (shop repairs.csv): which column is date, 'Date Closed' or 'Date Opened'?")
    assert '# columns.date = "Date Closed"\n# columns.date = "Date Opened"' in proposal.text
    write_proposal(shop, proposal)
    with pytest.raises(InputError, match="'Date Closed' and 'Date Opened' could each be the column date"):
        read_fleet(shop)
    toml = shop / "fleet.toml"
    toml.write_text(proposal.text.replace('# columns.date = "Date Closed"', 'columns.date = "Date Closed"'))
    assert len(read_fleet(shop).tables["repairs"])


def test_a_date_column_full_of_words_is_no_candidate(shop):
    change(shop / "shop repairs.csv", lambda rows: [[*row, "soon" if i else "Date In"] for i, row in enumerate(rows)])
    proposal = propose_mapping(shop)
    assert not proposal.undecided
    assert 'columns.date = "Date Closed"' in proposal.text


def test_layouts_told_from_the_class(shop):
    kinds = {}

    def classed(rows):
        for row in rows[1:]:
            kinds.setdefault(row[1], f"kind {len(kinds)}")
        return [["Asset", "Vehicle Class", "In Service"], *([r[0], kinds[r[1]], r[2]] for r in rows[1:])]

    change(shop / "shop vehicles.csv", classed)
    proposal = propose_mapping(shop)
    (question,) = proposal.undecided
    assert "which driveline layout do the vehicles have whose 'Vehicle Class' is" in question
    section = tomllib.loads(proposal.text)["tables"]["vehicles"]
    assert section["columns"] == {
        "unit": "Asset", "vehicle_class": "Vehicle Class", "driveline": "Vehicle Class",
        "in_service_date": "In Service",
    }  # fmt: skip
    answered = []
    for line in proposal.text.splitlines():
        if line.startswith("# values.driveline."):
            (layout,) = (layout for layout, kind in kinds.items() if f'"{kind}"' in line)
            answered.append(line.removeprefix("# ").replace('"?"', f'"{layout}"'))
        else:
            answered.append(line)
    (shop / "fleet.toml").write_text("\n".join(answered), encoding="utf-8")
    vehicles = read_fleet(shop).tables["vehicles"]
    assert vehicles["driveline"].map(kinds).equals(vehicles["vehicle_class"])


@pytest.mark.parametrize(
    ("words", "layout"),
    [
        ("Two-piece prop", "rear_two_piece"), ("2 pc shaft", "rear_two_piece"), ("single piece", "rear_one_piece"),
        ("FWD van", "front_half_shafts"), ("AWD", "all_wheel"), ("4x4 solid axle", "four_wheel_solid"),
        ("4WD IFS", "four_wheel_independent"), ("heavy truck", ""), ("FWD or AWD", ""),
        ("two piece shaft and steering shaft", ""),
    ],
)  # fmt: skip
def test_layouts_that_words_name(shop, words, layout):
    change(shop / "shop vehicles.csv", lambda rows: [rows[0], *([r[0], words, r[2]] for r in rows[1:])])
    proposal = propose_mapping(shop)
    said = f'values.driveline."{words}" = "{layout or "?"}"'
    assert (said if layout else f"# {said}") in proposal.text.splitlines()
    assert bool(proposal.undecided) == (not layout)


def test_codes_the_lexicon_knows_and_codes_it_does_not(shop):
    def recode(rows):
        meaning = {"planned": "PM", "failed": "broken down", "worn": "ZQ7"}
        return [rows[0], *([*row[:-1], meaning.get(row[-1], row[-1])] for row in rows[1:])]

    change(shop / "shop repairs.csv", recode)
    proposal = propose_mapping(shop)
    lines = proposal.text.splitlines()
    assert 'values.reason."PM" = "planned"' in lines
    assert 'values.reason."broken down" = "failed"' in lines
    assert '# values.reason."ZQ7" = "?"' in lines
    assert not proposal.undecided
    assert any("what do these codes of reason mean: 'ZQ7'" in question for question in proposal.questions)


def test_unit_of_distances(shop):
    assert 'distance_unit = "km"  # as in shop' in propose_mapping(shop).text
    change(shop / "shop readings.csv", lambda rows: [["Asset", "Reading Date", "Odometer (mi)"], *rows[1:]])
    text = propose_mapping(shop).text
    unit = tomllib.loads(text)["distance_unit"]
    assert {unit, *(t.get("unit", unit) for t in tomllib.loads(text)["tables"].values())} == {"km", "mi"}

    def without_unit(rows):
        return [[cell.replace(" km", "").replace(" (mi)", "") for cell in rows[0]], *rows[1:]]

    change(shop / "shop readings.csv", without_unit)
    change(shop / "shop repairs.csv", without_unit)
    proposal = propose_mapping(shop)
    assert any(question.startswith("distance_unit: nothing names the unit") for question in proposal.questions)
    assert tomllib.loads(proposal.text)["distance_unit"] == "km"


def test_days_and_months_that_cannot_be_told_apart(shop):
    change(shop / "shop vehicles.csv", lambda rows: [rows[0], *([r[0], r[1], "03/04/2021"] for r in rows[1:])])
    proposal = propose_mapping(shop)
    assert any("is the day first or the month?" in question for question in proposal.questions)
    assert '# date_order = "dmy"\n# date_order = "mdy"' in proposal.text
    assert not proposal.undecided


def test_two_sheets_that_could_be_one_table(shop):
    with (shop / "shop vehicles.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    write_csv(shop / "shop units.csv", [["Vehicle No", "Drive Line", "In Service"], *rows[1:]])
    proposal = propose_mapping(shop)
    assert "vehicles: which sheet is this table, shop" in proposal.undecided[0]
    assert "vehicles" not in tomllib.loads(proposal.text)["tables"]
    assert proposal.text.count("# [[tables.vehicles]]") == 2


def test_one_list_of_items_is_parts_and_stock(shop, tables):
    names, rows = tables["parts"]
    number, price = names.index("part_number"), names.index("unit_price")
    kinds = [row[names.index("component")].replace("_", " ") for row in rows]
    items = [[row[number], f"{kind}, boxed", row[price], "3"] for row, kind in zip(rows, kinds, strict=True)]
    write_csv(shop / "items.csv", [["Stock Code", "Description", "Price Each", "On Hand"], *items])
    proposal = propose_mapping(shop)
    assert tomllib.loads(proposal.text)["tables"]["stock"]["columns"] == {
        "part_number": "Stock Code", "on_hand": "On Hand",
    }  # fmt: skip
    assert "parts" not in tomllib.loads(proposal.text)["tables"], "without lead times it could not be read"
    assert any("which column is lead_time_days?" in question for question in proposal.questions)
    assert not proposal.undecided
    write_csv(
        shop / "items.csv",
        [["Stock Code", "Description", "Price Each", "On Hand", "Lead Days"], *([*item, "5"] for item in items)],
    )
    write_proposal(shop, propose_mapping(shop))
    fleet = read_fleet(shop)
    assert set(fleet.tables["parts"]["part_number"]) == set(fleet.tables["stock"]["part_number"])
    assert len(fleet.tables["parts"])


def test_the_name_of_a_vehicle_that_other_sheets_use(shop):
    """Of two columns of names in the vehicles table the one repairs and readings refer to."""
    change(
        shop / "shop vehicles.csv",
        lambda rows: [["Vehicle No", "Asset No", *rows[0][1:]], *([f"V{i}", *r] for i, r in enumerate(rows[1:]))],
    )
    proposal = propose_mapping(shop)
    assert not proposal.undecided
    assert tomllib.loads(proposal.text)["tables"]["vehicles"]["columns"]["unit"] == "Asset No"


def test_a_missing_table_is_a_question(shop):
    (shop / "shop repairs.csv").unlink()
    proposal = propose_mapping(shop)
    assert proposal.undecided[0].startswith("repairs: no sheet looks like this table, which needs order, date, unit")
    assert 'file = "shop readings.csv"' in proposal.text


HOSTILE = [
    '"quoted"', "it's 'single'", "two\nlines", "tab\there", "back\\slash", '=HYPERLINK("http://x")', "bell\x07",
    "\u202eright to left\u202c", "zero\u200bwidth", "# comment", "[tables.repairs]", "columns.unit = 'x'", "\x00",
    "日本", "😀 Work", "a" * 300, "]]", "'" * 3, '"' * 3, "line\u2028separator", "next\x85line",
]  # fmt: skip


@pytest.mark.parametrize("written", HOSTILE)
def test_hostile_headings_and_codes_stay_text(shop, written):
    """Headings, codes and sheet contents can say nothing but themselves."""

    def spoil(rows):
        coded = [[*row[:-1], written if i == 5 else row[-1]] for i, row in enumerate(rows)]
        return [[*row, "x" if i else written] for i, row in enumerate(coded)]

    change(shop / "shop repairs.csv", spoil)
    proposal = propose_mapping(shop)
    assert set(tomllib.loads(proposal.text)["tables"]) == {"vehicles", "readings", "repairs"}
    assert proposal.text.replace("\n", "").isprintable()
    write_proposal(shop, proposal)
    assert read_settings(shop).tables["repairs"]
    assert len(read_fleet(shop).tables["repairs"])


def test_a_hostile_heading_that_is_named_is_found_again(shop):
    heading = 'Odo "meter"\n=1+1 km'
    change(shop / "shop readings.csv", lambda rows: [["Asset", "Reading Date", heading], *rows[1:]])
    write_proposal(shop, propose_mapping(shop))
    assert len(read_fleet(shop).tables["readings"])


def test_an_existing_file_is_never_touched(shop):
    proposal = propose_mapping(shop)
    (shop / "fleet.toml").symlink_to(shop / "nowhere.toml")
    assert write_proposal(shop, proposal) is None
    assert not (shop / "nowhere.toml").exists()
    (shop / "fleet.toml").unlink()
    (shop / "fleet.toml").write_text("mine")
    assert write_proposal(shop, proposal) is None
    assert (shop / "fleet.toml").read_text() == "mine"


ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)


@given(headings=st.lists(ANY_TEXT, min_size=1, max_size=6), cells=st.lists(ANY_TEXT, min_size=6, max_size=6))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_headings_give_a_valid_file(tmp_path, headings, cells):
    write_csv(tmp_path / "a.csv", [headings, cells[: len(headings)], cells[: len(headings)]])
    proposal = propose_mapping(tmp_path)
    tomllib.loads(proposal.text)
    assert proposal.undecided


def test_a_folder_without_any_table_gets_no_proposal(tmp_path):
    """Nobody wants a file written into a folder named by mistake."""
    (tmp_path / "notes.md").write_text("not a table")
    with pytest.raises(InputError, match="holds no table that can be read"):
        propose_mapping(tmp_path)

"""A small sound fleet folder that each test spoils in one way."""

import csv
import datetime as dt
import io
from pathlib import Path

import pytest
import xlsxwriter

from wearmodel.errors import InputError
from wearmodel.intake.fleet import read_fleet

COLUMNS = {
    "vehicles": "unit vehicle_class driveline duty depot in_service_date in_service_odometer records_from "
    "out_of_service_date",
    "parts": "part_number component build vehicle_class position renews unit_price lead_time_days "
    "lead_time_sd_days pack superseded_by",
    "stock": "part_number depot on_hand on_order",
    "ride_height": "unit date lift note",
    "readings": "unit date odometer",
    "repairs": "order date unit odometer text part_number quantity component position reason labour_hours parts_cost",
    "inspections": "unit date odometer position finding",
    "duty_log": "unit month distance stops idle_hours unpaved_share tow_hours mean_speed",
    "fleet_plan": "unit vehicle_class depot month joins leaves",
}


class FleetFolder:
    """Tables as lists of lists of text, written to a folder on demand."""

    def __init__(self, folder: Path) -> None:
        self.path = folder
        self.headers = {name: columns.split() for name, columns in COLUMNS.items()}
        self.rows = {name: [] for name in COLUMNS}
        units = ["T-1", "T-2", "000123", "T-4"]
        drivelines = ["rear_two_piece", "rear_one_piece", "front_half_shafts", "four_wheel_solid"]
        for unit, driveline in zip(units, drivelines, strict=True):
            self.add("vehicles", unit=unit, driveline=driveline, in_service_date="2019-01-01", duty="hard")
            self.add("ride_height", unit=unit, date="2020-05-01", lift="60")
        first = dt.date(2020, 1, 1)
        for i in range(40):
            unit, day = units[i % 4], (first + dt.timedelta(days=20 * i)).isoformat()
            self.add("readings", unit=unit, date=day, odometer=str(10000 + 900 * i))
            self.add("duty_log", unit=unit, month=f"{2020 + i // 48}-{1 + i // 4:02d}", distance="2500", stops="40")
            position = ["rear.joint_rear", "rear.joint_front", "left.outboard_boot", "axle_left.joint"][i % 4]
            self.add("inspections", unit=unit, date=day, odometer=str(10000 + 900 * i), position=position, finding="ok")
            self.add(
                "repairs", order=f"WO{i:03d}", date=day, unit=unit, odometer=str(10000 + 900 * i), position=position,
                component="cv_boot_outboard" if i % 4 == 2 else "u_joint", reason="failed", part_number="UJ-1"
                if i % 4 != 2 else "0042", quantity="1", labour_hours="1.5", parts_cost="45.60",
            )
        self.add("parts", part_number="UJ-1", component="u_joint", unit_price="45.60", lead_time_days="6")
        self.add("parts", part_number="0042", component="cv_boot_outboard", unit_price="30", lead_time_days="4")
        self.add("parts", part_number="CSB", component="support_bearing", unit_price="90", lead_time_days="9")
        self.add("stock", part_number="UJ-1", on_hand="4")

    def add(self, table: str, **cells: str) -> int:
        """Append a row; its number as a spreadsheet shows it."""
        self.rows[table].append([cells.pop(name, "") for name in self.headers[table]])
        assert not cells
        return len(self.rows[table]) + 1

    def set(self, table: str, row: int, column: str, value: str) -> None:
        """Change a cell, by its row number in a spreadsheet."""
        self.rows[table][row - 2][self.headers[table].index(column)] = value

    def column(self, table: str, column: str, change) -> None:
        """Change a whole column."""
        i = self.headers[table].index(column)
        for row in self.rows[table]:
            row[i] = change(row[i])

    def drop(self, *tables: str) -> None:
        for table in tables:
            del self.rows[table]

    def text(self, table: str, delimiter: str = ",") -> str:
        out = io.StringIO()
        writer = csv.writer(out, delimiter=delimiter)
        writer.writerow(self.headers[table])
        writer.writerows(self.rows[table])
        return out.getvalue()

    def write(self, toml: str = "") -> Path:
        """Write every table as CSV, and `fleet.toml` where there is something in it."""
        self.path.mkdir(exist_ok=True)
        for table in self.rows:
            (self.path / f"{table}.csv").write_text(self.text(table), encoding="utf-8", newline="")
        if toml:
            (self.path / "fleet.toml").write_text(toml, encoding="utf-8")
        return self.path

    def write_workbook(self, name: str = "fleet.xlsx") -> Path:
        """Write every table as a sheet of one workbook, numbers and dates as such."""
        self.path.mkdir(exist_ok=True)
        book = xlsxwriter.Workbook(self.path / name)
        date = book.add_format({"num_format": "dd/mm/yyyy"})
        for table, rows in self.rows.items():
            sheet = book.add_worksheet(table)
            sheet.write_row(0, 0, self.headers[table])
            for i, row in enumerate(rows, start=1):
                for j, cell in enumerate(row):
                    heading = self.headers[table][j]
                    if not cell:
                        continue
                    if heading in ("unit", "part_number", "order"):
                        sheet.write_string(i, j, cell)
                    elif heading.endswith("date") and "-" in cell:
                        sheet.write_datetime(i, j, dt.datetime.fromisoformat(cell), date)
                    else:
                        sheet.write(i, j, float(cell) if cell.replace(".", "", 1).isdigit() else cell)
        book.close()
        return self.path

    def read(self, toml: str = "", **options):
        return read_fleet(self.write(toml), **options)

    def problems(self, toml: str = "", **options) -> list[str]:
        with pytest.raises(InputError) as caught:
            self.read(toml, **options)
        return list(caught.value.problems)


@pytest.fixture
def fleet(tmp_path):
    return FleetFolder(tmp_path / "fleet")

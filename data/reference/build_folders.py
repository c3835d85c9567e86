"""Build the two reference fleet folders from the published repair records in `raw/`.

Run from anywhere: `python data/reference/build_folders.py`. It rewrites the tables and `fleet.toml` of each folder
and leaves the README files alone.
"""

import csv
import datetime as dt
from dataclasses import dataclass
from pathlib import Path

__all__ = ["RECORDS", "Record", "build_folder"]

HERE = Path(__file__).resolve().parent
DAY_ZERO = dt.date(2000, 1, 1)


@dataclass(frozen=True)
class Record:
    """One published repair record and what it is called here.

    Parameters
    ----------
    raw : str
        File in `raw/`.
    folder : str
        Fleet folder to write.
    unit_column : str
        Column that names the unit.
    class_column : str
        Column whose value becomes the vehicle class; empty for one class.
    class_prefix : str
        Before that value, or the class itself.
    component, layout, position : str
        Codes of the part, of the layout and of its one position.
    label : str
        Name of the part for people.
    """

    raw: str
    folder: str
    unit_column: str
    class_column: str
    class_prefix: str
    component: str
    layout: str
    position: str
    label: str


RECORDS = (
    Record(
        raw="valve_seats_41.csv",
        folder="valve_seats",
        unit_column="engine",
        class_column="",
        class_prefix="engine",
        component="valve_seat",
        layout="engine_seats",
        position="engine.seats",
        label="Valve seat",
    ),
    Record(
        raw="braking_grids_33.csv",
        folder="braking_grids",
        unit_column="unit",
        class_column="batch",
        class_prefix="batch_",
        component="braking_grid",
        layout="locomotive_grids",
        position="locomotive.grids",
        label="Braking grid",
    ),
)


def build_folder(record: Record) -> None:
    """Write vehicles, readings, repairs and `fleet.toml` of one record."""
    folder = HERE / record.folder
    folder.mkdir(exist_ok=True)
    with (HERE / "raw" / record.raw).open(newline="", encoding="utf-8") as file:
        rows = [row | {"days": int(row["days"])} for row in csv.DictReader(file)]
    # A unit is seen until its row without a replacement; one that has none, until its last replacement.
    last_day: dict[str, int] = {}
    classes: dict[str, str] = {}
    for row in rows:
        unit = row[record.unit_column]
        last_day[unit] = max(last_day.get(unit, 0), row["days"])
        classes[unit] = record.class_prefix + (row[record.class_column] if record.class_column else "")
    vehicles = [
        [unit, classes[unit], record.layout, _date(0), 0, _date(0), _date(day)] for unit, day in last_day.items()
    ]
    readings = [[unit, _date(day), day] for unit, last in last_day.items() for day in (0, last)]
    replaced = [row for row in rows if row["replaced"] == "1"]
    repairs = [
        [f"{record.component}_{number:03d}", _date(row["days"]), row[record.unit_column], row["days"],
         f"{record.label} replaced", record.component, record.position, "failed"]
        for number, row in enumerate(replaced, start=1)
    ]
    _write(
        folder / "vehicles.csv",
        ["unit", "vehicle_class", "driveline", "in_service_date", "in_service_odometer", "records_from",
         "out_of_service_date"],
        vehicles,
    )
    _write(folder / "readings.csv", ["unit", "date", "odometer"], readings)
    _write(
        folder / "repairs.csv",
        ["order", "date", "unit", "odometer", "text", "component", "position", "reason"],
        repairs,
    )
    (folder / "fleet.toml").write_text(_settings(record, max(last_day.values())), encoding="utf-8")


def _date(day: int) -> str:
    return (DAY_ZERO + dt.timedelta(days=day)).isoformat()


def _settings(record: Record, last: int) -> str:
    return (
        "# Written by ../build_folders.py. The clock of this record is days in service.\n"
        'distance_unit = "days"\n'
        f"as_of = {_date(last)}\n\n"
        f"[components.{record.component}]\n"
        'clock = "days"\n'
        f'label = "{record.label}"\n\n'
        "[layouts]\n"
        f'{record.layout} = {{ "{record.position}" = "{record.component}" }}\n'
    )


def _write(path: Path, header: list[str], rows: list[list[object]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


if __name__ == "__main__":
    for known in RECORDS:
        build_folder(known)

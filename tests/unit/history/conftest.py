"""Small hand-made fleets, clean tables as intake would give them."""

import pandas as pd
import pytest

LAYOUTS = {
    "two_joints": {"rear.joint_front": "u_joint", "rear.joint_rear": "u_joint"},
    "one_boot": {"left.boot": "boot", "left.joint": "cv"},
}


def table(columns, rows, dates=("date",)):
    frame = pd.DataFrame(rows, columns=columns)
    for name in frame.columns:
        if name in dates or name.endswith("_date") or name == "records_from":
            frame[name] = pd.to_datetime(frame[name])
        elif name in ("odometer", "in_service_odometer", "quantity", "lift"):
            frame[name] = frame[name].astype(float)
    frame["file"] = "hand.csv"
    frame["row"] = range(2, len(frame) + 2)
    return frame


VEHICLES = ["unit", "driveline", "in_service_date", "in_service_odometer", "records_from", "out_of_service_date"]
REPAIRS = ["unit", "date", "component", "position", "reason", "part_number", "quantity"]
INSPECTIONS = ["unit", "date", "position", "finding"]


@pytest.fixture
def build():
    """Lives of a hand-made fleet, driven 100 distance units a day from the in-service date."""
    from wearmodel.history.events import build_events
    from wearmodel.history.lives import build_lives, build_windows
    from wearmodel.history.odometer import build_odometer_curves
    from wearmodel.history.renewals import build_renewals

    def lives_of(vehicles, repairs=(), inspections=(), parts=(), as_of="2020-12-31"):
        cars = table(VEHICLES, vehicles)
        for name, value in (("duty", "road"), ("vehicle_class", "van"), ("depot", "main")):
            cars[name] = value
        as_of = pd.Timestamp(as_of)
        readings = table(
            ["unit", "date", "odometer"],
            [
                (row.unit, date, row.in_service_odometer + 100.0 * (date - row.in_service_date).days)
                for row in cars.itertuples()
                for date in pd.date_range(row.in_service_date, as_of, freq="30D")
            ],
        )
        lines = table(REPAIRS, list(repairs))
        lines["odometer"] = float("nan")
        looks = table(INSPECTIONS, list(inspections))
        looks["odometer"] = float("nan")
        catalogue = table(["part_number", "renews"], list(parts))
        curves = build_odometer_curves(
            cars, readings=readings, repairs=lines, inspections=looks, distance_unit="km"
        ).curves
        renewals = build_renewals(lines, vehicles=cars, parts=catalogue, layouts=LAYOUTS)
        windows = build_windows(cars, curves=curves, as_of=as_of, distance_unit="km")
        events = build_events(renewals, windows=windows, layouts=LAYOUTS)
        lives = build_lives(events, windows=windows, curves=curves, inspections=looks)
        return lives, renewals

    return lives_of

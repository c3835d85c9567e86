"""What the shop wrote down agrees with what happened."""

import tomllib

import numpy as np
import pandas as pd
import pytest

from wearmodel.driveline.layouts import COMPONENTS, positions_of
from wearmodel.simulate.fleet import SimulatedFleet
from wearmodel.simulate.wording import repair_text

TABLE_COLUMNS = {
    "vehicles": "unit vehicle_class driveline duty depot in_service_date in_service_odometer records_from "
    "out_of_service_date",
    "ride_height": "unit date lift note",
    "readings": "unit date odometer",
    "repairs": "order date unit odometer text part_number quantity component position reason labour_hours parts_cost",
    "inspections": "unit date odometer position finding",
    "parts": "part_number component build vehicle_class position renews unit_price lead_time_days "
    "lead_time_sd_days pack superseded_by",
    "stock": "part_number depot on_hand on_order",
    "duty_log": "unit month distance stops idle_hours unpaved_share tow_hours mean_speed",
}


def test_tables_have_the_canonical_columns_and_only_text(clean_fleet: SimulatedFleet) -> None:
    assert {name: " ".join(table.columns) for name, table in clean_fleet.tables.items()} == TABLE_COLUMNS
    for table in clean_fleet.tables.values():
        assert len(table) > 0
        assert table.map(lambda cell: isinstance(cell, str)).all().all()


def test_every_recorded_renewal_has_its_line(clean_fleet: SimulatedFleet) -> None:
    lives = clean_fleet.lives[clean_fleet.lives["recorded"] & clean_fleet.lives["line"]]
    lines = clean_fleet.tables["repairs"]
    told = lines[["unit", "odometer", "position", "component", "reason"]].apply(tuple, axis=1)
    happened = lives.assign(odometer=lives["shown_odometer"].astype(str))
    happened = happened[["unit", "odometer", "position", "component", "ended"]].apply(tuple, axis=1)
    assert sorted(told) == sorted(happened)


def test_orders_are_one_visit_each_and_in_order_of_date(clean_fleet: SimulatedFleet) -> None:
    lines = clean_fleet.tables["repairs"]
    assert lines["date"].is_monotonic_increasing
    assert lines["order"].is_monotonic_increasing
    assert (lines.groupby("order")[["unit", "date", "odometer"]].nunique() == 1).all().all()
    assert lines["order"].duplicated().any()


def test_odometers_never_run_backwards(clean_fleet: SimulatedFleet) -> None:
    records = pd.concat(
        [clean_fleet.tables[name][["unit", "date", "odometer"]] for name in ("readings", "repairs", "inspections")]
    )
    records = records.assign(odometer=records["odometer"].astype(int)).sort_values(["unit", "date", "odometer"])
    steps = records.groupby("unit")["odometer"].diff().dropna()
    assert (steps >= 0).all()
    # All records of a vehicle's day state the same odometer.
    assert (records.groupby(["unit", "date"])["odometer"].nunique() == 1).all()


def test_monthly_distance_reconciles_with_the_odometer(clean_fleet: SimulatedFleet) -> None:
    usage = clean_fleet.usage
    readings = clean_fleet.tables["readings"]
    day = readings["date"].to_numpy().astype("datetime64[D]").astype(np.int64)
    odometer = readings["odometer"].astype(float)
    for unit, months in usage.groupby("unit"):
        mine = (readings["unit"] == unit).to_numpy()
        edges = np.concatenate([months["first_day"].iloc[:1], months["last_day"]]).astype(float)
        driven = np.concatenate([[0.0], np.cumsum(months["distance"])])
        base = float(odometer[mine].iloc[0])
        assert day[mine][0] == edges[0]
        # Between the ends of months the pace is even, so a reading lies on the straight line.
        assert odometer[mine].to_numpy() - base == pytest.approx(np.interp(day[mine], edges, driven), abs=75.0)


def test_duty_log_states_the_months_distance(clean_fleet: SimulatedFleet) -> None:
    log = clean_fleet.tables["duty_log"].merge(clean_fleet.usage, on=["unit", "month"], suffixes=("", "_true"))
    assert len(log) == len(clean_fleet.tables["duty_log"])
    assert (log["distance"].astype(float) - log["distance_true"]).abs().max() <= 0.5
    assert log["unpaved_share"].astype(float).between(0.0, 0.95).all()


def test_yearly_distances_are_plausible(clean_fleet: SimulatedFleet) -> None:
    usage = clean_fleet.usage
    of_unit = usage.groupby("unit")
    days = of_unit["last_day"].max() - of_unit["first_day"].min()
    yearly = of_unit["distance"].sum() / days * 365.25
    long_enough = yearly[days > 365]
    assert long_enough.between(9000.0, 75000.0).all()
    assert 15000.0 < long_enough.median() < 60000.0


def test_positions_belong_to_the_driveline(clean_fleet: SimulatedFleet) -> None:
    driveline = clean_fleet.tables["vehicles"].set_index("unit")["driveline"]
    for name in ("repairs", "inspections"):
        table = clean_fleet.tables[name]
        pairs = set(zip(driveline[table["unit"]], table["position"], strict=True))
        assert all(position in positions_of(line) for line, position in pairs)


def test_part_numbers_are_in_the_catalogue_and_fit(clean_fleet: SimulatedFleet) -> None:
    parts = clean_fleet.tables["parts"].set_index("part_number")
    assert parts.index.is_unique
    lines = clean_fleet.tables["repairs"]
    classes = clean_fleet.tables["vehicles"].set_index("unit")["vehicle_class"]
    used = parts.loc[lines["part_number"]]
    assert (used["vehicle_class"].to_numpy() == classes[lines["unit"]].to_numpy()).all()
    single = (used["renews"] == "").to_numpy()
    assert (used["component"].to_numpy()[single] == lines["component"].to_numpy()[single]).all()
    assert clean_fleet.tables["stock"]["part_number"].isin(parts.index).all()
    old = parts.index[parts["superseded_by"] != ""]
    assert len(old) == 1
    assert parts.loc[old[0], "superseded_by"] in parts.index
    assert lines.loc[lines["part_number"] == old[0], "date"].max() < "2023-07-02"


def test_records_stay_within_a_vehicles_time(clean_fleet: SimulatedFleet) -> None:
    vehicles = clean_fleet.tables["vehicles"].set_index("unit")
    begin = vehicles["records_from"].where(vehicles["records_from"] != "", vehicles["in_service_date"])
    begin = begin.where(begin > clean_fleet.truth["records_from"], clean_fleet.truth["records_from"])
    end = vehicles["out_of_service_date"].replace("", clean_fleet.truth["as_of"])
    for name in ("repairs", "readings", "inspections"):
        table = clean_fleet.tables[name]
        assert (table["date"].to_numpy() >= begin[table["unit"]].to_numpy()).all()
        assert (table["date"].to_numpy() <= end[table["unit"]].to_numpy()).all()


def test_settings_are_toml_with_costs_and_geometry(clean_fleet: SimulatedFleet) -> None:
    settings = tomllib.loads(clean_fleet.settings)
    assert settings["as_of"].isoformat() == clean_fleet.truth["as_of"]
    assert set(settings["cost"]) == set(COMPONENTS)
    assert set(settings["geometry"]) == set(clean_fleet.tables["vehicles"]["vehicle_class"])
    rear = settings["geometry"]["crew_truck"]["rear"]
    assert len(rear["joint_angles"]) == len(rear["shaft_lengths"]) + 1


@pytest.mark.parametrize("reason", ["failed", "worn", "planned", "collateral", "damage", "comeback"])
@pytest.mark.parametrize("driveline", ["four_wheel_solid+slip_spline+steering_shaft", "four_wheel_independent"])
def test_text_tells_every_part_and_place(driveline: str, reason: str) -> None:
    rng = np.random.default_rng(3)
    seen: dict[str, set[str]] = {}
    for position, component in positions_of(driveline).items():
        texts = {repair_text(rng, component=component, position=position, reason=reason) for _ in range(60)}
        assert not any("{" in text for text in texts)
        assert len(texts) > 3
        seen[position] = {text.lower() for text in texts}
    # No wording serves two positions.
    assert sum(len(texts) for texts in seen.values()) == len(set.union(*seen.values()))

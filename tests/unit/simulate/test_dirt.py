import numpy as np
import pandas as pd
import pytest

from wearmodel.simulate.dirt import DIRT_SHARES, HOUR_DIRT_SHARES
from wearmodel.simulate.fleet import SimulatedFleet, simulate_fleet
from wearmodel.simulate.scenario import HOUR_LAWS

FAULTY = {
    "repairs": ("odometer_slip", "odometer_not_a_number", "unreadable_date", "unknown_unit"),
    "readings": tuple(DIRT_SHARES["readings"]),
    "inspections": tuple(DIRT_SHARES["inspections"]),
}


def test_every_kind_of_dirt_is_there_and_counted(dirty_fleet: SimulatedFleet) -> None:
    counts = dirty_fleet.truth["dirt"]
    assert {name: set(kinds) for name, kinds in counts.items()} == {n: set(k) for n, k in DIRT_SHARES.items()}
    assert all(rows >= 1 for kinds in counts.values() for rows in kinds.values())


def test_a_clean_fleet_has_none(clean_fleet: SimulatedFleet) -> None:
    assert clean_fleet.truth["dirt"] == {}


@pytest.mark.parametrize("table", ["repairs", "readings", "inspections"])
def test_faulty_rows_stay_well_under_three_in_a_hundred(dirty_fleet: SimulatedFleet, table: str) -> None:
    faulty = sum(dirty_fleet.truth["dirt"][table][kind] for kind in FAULTY[table])
    assert faulty < 0.02 * len(dirty_fleet.tables[table])


def test_counts_are_what_the_tables_show(dirty_fleet: SimulatedFleet, clean_fleet: SimulatedFleet) -> None:
    counts = dirty_fleet.truth["dirt"]["repairs"]
    lines = dirty_fleet.tables["repairs"]
    units = set(dirty_fleet.tables["vehicles"]["unit"])
    assert (~lines["unit"].isin(units)).sum() == counts["unknown_unit"]
    assert pd.to_datetime(lines["date"], format="%Y-%m-%d", errors="coerce").isna().sum() == counts["unreadable_date"]
    assert (lines["odometer"] == "").sum() == counts["blank_odometer"]
    assert lines["odometer"].str.contains("O").sum() == counts["odometer_not_a_number"]
    assert lines.duplicated().sum() == counts["duplicate_line"]
    foreign = lines["part_number"] == ""
    assert foreign.sum() == counts["other_work"]
    codes = lines.loc[~foreign, ["component", "position", "reason"]]
    assert (codes == "").any(axis=1).sum() == counts["blank_codes"] + counts["position_untold"]
    added = counts["duplicate_line"] + counts["other_work"]
    assert len(lines) == len(clean_fleet.tables["repairs"]) + added


def test_slips_are_wrong_by_far(dirty_fleet: SimulatedFleet, clean_fleet: SimulatedFleet) -> None:
    clean = clean_fleet.tables["readings"]
    dirty = dirty_fleet.tables["readings"].iloc[: len(clean)]
    changed = dirty["odometer"] != clean["odometer"]
    assert changed.sum() == dirty_fleet.truth["dirt"]["readings"]["odometer_slip"]
    error = dirty.loc[changed, "odometer"].astype(float) - clean.loc[changed, "odometer"].astype(float)
    assert (error.abs() >= 30000.0).all()


def test_untold_positions_have_text_without_a_place(dirty_fleet: SimulatedFleet) -> None:
    lines = dirty_fleet.tables["repairs"]
    untold = lines[(lines["position"] == "") & (lines["component"] != "")]
    words = r"\b(?:left|right|LH|RH|front|rear|centre|outer|inner|outboard|inboard)\b"
    silent = ~untold["text"].str.contains(words, case=False, regex=True)
    assert silent.sum() == dirty_fleet.truth["dirt"]["repairs"]["position_untold"]


def test_a_small_fleet_gets_little_dirt() -> None:
    fleet = simulate_fleet(np.random.default_rng(4), vehicles=6, years=2)
    repairs = fleet.truth["dirt"]["repairs"]
    assert sum(repairs[kind] for kind in FAULTY["repairs"]) == 0


def test_hour_meters_have_slips_of_their_own() -> None:
    fleet = simulate_fleet(np.random.default_rng(5), vehicles=60, years=6, laws=HOUR_LAWS, engine_hours=True)
    counts, hours = fleet.truth["dirt"]["readings"], fleet.tables["readings"]["engine_hours"]
    assert set(HOUR_DIRT_SHARES) < set(counts)
    assert (hours == "meter dark").sum() == counts["hours_not_a_number"] == 1
    assert hours.str.startswith("-").sum() == counts["hours_negative"] == 1
    assert counts["hours_slip"] == round(HOUR_DIRT_SHARES["hours_slip"] * len(hours))

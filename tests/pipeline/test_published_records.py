"""Plans of two published repair records: replacements against the published analysis.

Valve seats: Nelson & Doganaksoy (1989); Nelson (1995), Technometrics 37. Braking grids: Doganaksoy & Nelson
(1991). Expected figures: tests/reference/mean_cumulative_function.
"""

import numpy as np
import pytest


def curve(plan):
    return plan.tables["mcf"].set_index("distance")


@pytest.mark.parametrize(
    ("day", "mcf"), [(61, 0.0243902439), (98, 0.1463414634), (348, 0.5853658537), (653, 1.5426875136)]
)
def test_valve_seats(plan_of, day, mcf):
    assert curve(plan_of("reference/valve_seats")).loc[day, "mcf"] == pytest.approx(mcf, abs=1e-8)


def test_valve_seats_count_every_replacement(plan_of):
    plan = plan_of("reference/valve_seats")
    table = plan.tables["reconciliation"].set_index("table")
    assert table.loc["repairs", "rows_read"] == 48
    assert table["set_aside"].sum() == 0
    steps = np.diff(np.concatenate([[0.0], plan.tables["mcf"]["mcf"]])) * plan.tables["mcf"]["at_risk"]
    assert steps.sum() == pytest.approx(48)


def test_braking_grids_both_batches(plan_of):
    """All 33 units together: the end of each batch checked by hand from the same rows."""
    plan = plan_of("reference/braking_grids")
    table = plan.tables["mcf"]
    assert (np.diff(np.concatenate([[0.0], table["mcf"]])) * table["at_risk"]).sum() == pytest.approx(50)
    assert set(plan.tables["lives"]["vehicle_class"]) == {"batch_1", "batch_2"}


@pytest.mark.parametrize(("batch", "day", "mcf"), [("batch_1", 650, 1.6), ("batch_2", 382, 1.4444444444)])
def test_braking_grids_by_batch(tmp_path, batch, day, mcf):
    """The fleet folder with one batch only, through the whole line."""
    import shutil
    from pathlib import Path

    import pandas as pd

    from wearmodel.intake.fleet import read_fleet
    from wearmodel.plan import build_plan

    source = Path(__file__).parents[2] / "data" / "reference" / "braking_grids"
    folder = tmp_path / "grids"
    shutil.copytree(source, folder)
    vehicles = pd.read_csv(folder / "vehicles.csv", dtype=str)
    kept = vehicles[vehicles["vehicle_class"] == batch]
    kept.to_csv(folder / "vehicles.csv", index=False)
    for name in ("repairs", "readings"):
        rows = pd.read_csv(folder / f"{name}.csv", dtype=str)
        rows[rows["unit"].isin(kept["unit"])].to_csv(folder / f"{name}.csv", index=False)
    plan = build_plan(read_fleet(folder), months=6, seed=1)
    assert curve(plan).loc[day, "mcf"] == pytest.approx(mcf, abs=1e-8)


@pytest.mark.parametrize("name", ["reference/valve_seats", "reference/braking_grids"])
def test_what_cannot_be_said_is_said(plan_of, name):
    plan = plan_of(name)
    notes = " ".join(plan.notes)
    for words in ("no parts table", "no ride_height table", "No geometry", "No price", "No vehicle is in service"):
        assert words in notes
    assert plan.tables["budget"].empty
    assert set(plan.tables["intervals"]["advice"]) == {"no costs given"}
    assert plan.tables["curves"]["survival"].between(0, 1).all()

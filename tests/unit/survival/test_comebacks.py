"""Comebacks: exact intervals, Poisson and Fisher's chances against scipy, and which fittings count."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from wearmodel.history.odometer_curves import OdometerCurves
from wearmodel.survival.coding import Coding
from wearmodel.survival.comebacks import (
    ALL_PARTS,
    build_comebacks,
    chance_beside_others,
    chance_of_so_many,
    share_interval,
)
from wearmodel.survival.model import ComponentModel

DAILY = 100.0
LAST = 1000.0


def test_interval_against_scipy_and_its_closed_ends():
    count, total = np.array([0, 1, 3, 7, 20, 50]), np.array([12, 4, 87, 42, 20, 615])
    lower, upper = share_interval(count.astype(float), total.astype(float), confidence=0.9)
    for k, n, low, high in zip(count, total, lower, upper, strict=True):
        theirs = stats.binomtest(int(k), int(n)).proportion_ci(0.9, method="exact")
        assert (low, high) == pytest.approx((theirs.low, theirs.high), rel=1e-9, abs=1e-12)
    assert upper[0] == pytest.approx(1 - 0.05 ** (1 / 12))
    assert lower[4] == pytest.approx(0.05 ** (1 / 20)) and upper[4] == 1.0


def test_interval_covers_at_least_as_often_as_it_says():
    for n, p in ((30, 0.04), (200, 0.04), (60, 0.5)):
        k = np.arange(n + 1.0)
        lower, upper = share_interval(k, np.full(n + 1, float(n)), confidence=0.9)
        covered = stats.binom.pmf(k, n, p)[(lower <= p) & (p <= upper)].sum()
        assert covered >= 0.9


def test_poisson_tail_against_scipy():
    count, expected = np.array([0.0, 1.0, 2.0, 9.0]), np.array([0.3, 0.01, 1.5, 4.2])
    np.testing.assert_allclose(chance_of_so_many(count, expected), stats.poisson.sf(count - 1, expected), rtol=1e-10)
    assert np.isnan(chance_of_so_many(np.array([2.0]), np.array([np.nan])))[0]


def test_fishers_chance_against_scipy():
    count, total = np.array([5.0, 2.0, 0.0, 17.0]), np.array([26.0, 18.0, 43.0, 528.0])
    chances = chance_beside_others(count, total, among=24.0, of=615.0)
    for k, n, chance in zip(count, total, chances, strict=True):
        table = [[k, n - k], [24 - k, 615 - n - 24 + k]]
        assert chance == pytest.approx(stats.fisher_exact(table, alternative="greater").pvalue, rel=1e-9)


def histories(rows):
    """Rows of (vehicle, start, end, ended, part, on record, chance) on vehicles that run 100 a day."""
    names = ["vehicle", "start_day", "end_day", "ended", "part_number", "on_record", "chance"]
    lives = pd.DataFrame(rows, columns=names)
    lives["component"], lives["duty"], lives["age_known"] = "u_joint", "town", True
    lives["running"] = (lives["ended"] == "in_service") & (lives["end_day"] == LAST)
    lives["start_odometer"] = lives["start_day"] * DAILY
    count = int(lives["vehicle"].max()) + 1
    vehicle = np.repeat(np.arange(count), 2)
    curves = OdometerCurves(
        units=tuple(f"V{i}" for i in range(count)),
        vehicle=vehicle,
        day=np.tile([0.0, LAST], count),
        odometer=np.tile([0.0, LAST * DAILY], count),
        daily=np.full(count, DAILY),
    )
    reasons = np.where(lives["on_record"], "failed", "")
    return SimpleNamespace(
        counted_at=lambda some, day: curves.distance_at(some["vehicle"], day),
        lives=lives,
        windows=pd.DataFrame({"first_day": np.full(count, 100.0), "last_day": np.full(count, LAST)}),
        events=SimpleNamespace(
            frame=pd.DataFrame({"reason": reasons}), spans=pd.DataFrame({"start": np.arange(len(lives))})
        ),
        curves=curves,
        segments=pd.DataFrame({"life": np.arange(len(lives)), "age_from": 0.0, "age_to": np.inf, "lift": 0.0}),
    )


def model_of(shape, scale):
    return ComponentModel(
        component="u_joint", label="U-joint", clock="km", basis="fitted", values=(float(np.log(scale)), np.log(shape)),
        covariance=((0.0, 0.0), (0.0, 0.0)), coding=Coding(("town",), (1.0,), "none", 0.0, (0.0,), None),
        lives=9, failures=9, vehicles=9, log_likelihood=0.0, converged=True, note="",
    )  # fmt: skip


def table_of(rows, *, models=None, days=90.0):
    made = histories(rows)
    blank = {"angle": np.nan, "length": np.nan, "described": False, "duty": "road"}
    traits = pd.DataFrame(blank, index=made.lives.index)
    return build_comebacks(made, models=models or {}, traits=traits, days=days).set_index("part_number")


COUNTED = [
    (0, 200.0, 230.0, "comeback", "A", True, 1.0),
    (0, 230.0, 700.0, "failed", "A", True, 1.0),
    (1, 300.0, 340.0, "planned", "A", True, 1.0),
    (1, 340.0, 390.0, "failed", "A", True, 1.0),
    (2, 300.0, 389.0, "comeback", "B", True, 0.25),
    (2, 400.0, LAST, "in_service", "", True, 1.0),
]
LEFT_OUT = [
    # The part the vehicle came with, a fitting before the record, the newest, one whose end is not known.
    (3, 100.0, 130.0, "comeback", "A", False, 1.0),
    (3, 50.0, 120.0, "comeback", "A", True, 1.0),
    (3, 950.0, 970.0, "comeback", "A", True, 1.0),
    (3, 970.0, LAST, "in_service", "A", True, 1.0),
    (3, 400.0, 440.0, "in_service", "A", True, 1.0),
]


def test_which_fittings_count():
    table = table_of(COUNTED + LEFT_OUT)
    assert list(table.index) == [ALL_PARTS, "A", "B", "not stated"]
    assert table.loc[ALL_PARTS, ["fittings", "comebacks", "early_failures"]].tolist() == [5.25, 1.25, 1.0]
    assert table.loc["A", ["fittings", "comebacks", "early_failures"]].tolist() == [4.0, 1.0, 1.0]
    assert table.loc["B", ["fittings", "comebacks"]].tolist() == [0.25, 0.25]
    np.testing.assert_allclose(table["fleet_share"], 1.25 / 5.25)
    np.testing.assert_allclose(table["share"], table["comebacks"] / table["fittings"])


def test_a_longer_window_counts_more_comebacks_and_fewer_fittings():
    rows = [(0, 200.0, 320.0, "comeback", "A", True, 1.0), (1, 850.0, LAST, "in_service", "A", True, 1.0)]
    assert table_of(rows, days=90.0).loc[ALL_PARTS, ["fittings", "comebacks"]].tolist() == [2.0, 0.0]
    assert table_of(rows, days=200.0).loc[ALL_PARTS, ["fittings", "comebacks"]].tolist() == [1.0, 1.0]


def test_the_share_of_short_records_is_the_true_one():
    """Comebacks come early: counting the newest fittings only where they came back would overstate the share."""
    rng = np.random.default_rng(3)
    start = rng.uniform(LAST - 200, LAST - 1, 6000).round()
    back = np.where(rng.random(6000) < 0.06, start + rng.integers(1, 60, 6000), np.inf)
    seen = back <= LAST
    rows = [
        (0, s, b if c else LAST, "comeback" if c else "in_service", "A", True, 1.0)
        for s, b, c in zip(start, back, seen, strict=True)
    ]
    row = table_of(rows).loc[ALL_PARTS]
    assert row["lower"] < 0.06 < row["upper"]
    finished = (start + 90 <= LAST).sum()
    naive = seen.sum() / (finished + (seen & (start + 90 > LAST)).sum())
    assert naive > row["upper"]


def test_expected_early_failures_are_the_cumulative_hazard():
    table = table_of(COUNTED + LEFT_OUT, models={"u_joint": model_of(1.5, 60_000.0)})
    run = np.array([30.0, 90.0, 40.0, 50.0, 89.0, 90.0]) * DAILY
    chance = np.array([1, 1, 1, 1, 0.25, 1])
    expected = chance @ (run / 60_000.0) ** 1.5
    assert table.loc[ALL_PARTS, "expected_early"] == pytest.approx(expected)
    assert table.loc[ALL_PARTS, "early_chance"] == pytest.approx(stats.poisson.sf(0, expected))
    assert "no more than wear explains" in table.loc[ALL_PARTS, "sentence"]


def test_more_early_failures_than_the_curve_explains_are_named():
    rows = [(i, 300.0, 340.0, "failed", "A", True, 1.0) for i in range(3)]
    rows += [(i + 3, 300.0, LAST, "in_service", "A", True, 1.0) for i in range(60)]
    told = table_of(rows, models={"u_joint": model_of(2.5, 150_000.0)}).loc[ALL_PARTS, "sentence"]
    assert told.startswith("0 of 63 fittings came back within 90 days (0.0%; 0.0% to ")
    assert "3 more failed that early with no comeback on record" in told
    assert told.endswith("more than wear explains, so look whether they are comebacks too.")
    unknown = table_of(rows).loc[ALL_PARTS]
    assert np.isnan(unknown["expected_early"]) and unknown["sentence"].endswith("with no comeback on record.")


def test_a_part_number_that_stands_out_is_named():
    rows = [(i, 300.0, 320.0 if i < 8 else LAST, "comeback" if i < 8 else "in_service", "BAD", True, 1.0)
            for i in range(30)]  # fmt: skip
    rows += [(i + 30, 300.0, 320.0 if i < 3 else LAST, "comeback" if i < 3 else "in_service", "GOOD", True, 1.0)
             for i in range(150)]  # fmt: skip
    table = table_of(rows)
    assert "look at this part and how it is fitted" in table.loc["BAD", "sentence"]
    assert "look at" not in table.loc["GOOD", "sentence"] and "look at" not in table.loc[ALL_PARTS, "sentence"]


def test_nothing_to_count_is_an_empty_table():
    assert table_of(LEFT_OUT).empty

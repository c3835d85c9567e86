"""A short form of the study on confounded fleets (`confounded_fleets.py`), and checks of what it draws."""

import numpy as np
import pytest
from confounded_fleets import DESIGNS, LARGEST_SHARE, drawn_fleet, drawn_vehicles, study, summary

FLEETS = 14
#: Of 14 intervals that hold the truth nine times in ten, fewer than 9 do with a chance of 0.002.
FEWEST_HELD = 9 / 14


@pytest.mark.parametrize("name", ["unlike", "null"])
def test_both_methods_find_the_life_ratio_and_the_crude_one_does_not(name):
    table = summary(study(name, fleets=FLEETS, seed=3, draws=120)).loc[name]
    assert table.loc["crude", "error"] < -0.15
    for method in ("standardised", "weighted"):
        row = table.loc[method]
        assert row["rms_share"] < LARGEST_SHARE + 0.1, method
        assert row["share"] < LARGEST_SHARE, method
        assert row["cover"] >= FEWEST_HELD, method


def test_raised_vehicles_do_the_harder_work():
    vehicles = drawn_vehicles(np.random.default_rng(1), 4_000, DESIGNS["plain"])
    share = np.isfinite(vehicles["raised_at"]).groupby([vehicles["duty"]]).mean()
    assert share["highway"] < share["town"] < share["site"]
    assert np.isfinite(vehicles["raised_at"]).mean() == pytest.approx(0.4, abs=0.12)


def test_lives_on_raised_vehicles_are_as_short_as_the_design_says():
    rng = np.random.default_rng(2)
    fleet = drawn_fleet(rng, 6_000, DESIGNS["plain"])
    lives, segments = fleet.lives, fleet.segments
    whole = segments.groupby("life")["lift"].agg(["min", "max"])
    same = (fleet.traits["duty"] == "site") & (fleet.traits["vehicle_class"] == "truck") & (lives["start_day"] == 0)
    # First parts that failed in the first tenth of the shortest service, where hardly any record has ended yet:
    # the share failed by an age t is 1 - exp(-(t / scale)^shape), so that ages at equal shares have the life ratio.
    ages = {}
    for side, low, high in (("raised", 80.0, 80.0), ("factory", 0.0, 0.0)):
        mine = same & (whole["min"] == low) & (whole["max"] == high)
        failed = np.where(np.isfinite(lives["stop_high"]), lives["stop_low"], np.inf)[mine]
        ages[side] = np.quantile(failed, 0.25)
    assert ages["raised"] / ages["factory"] == pytest.approx(0.7, rel=0.08)

"""Alarms on fleets without change, and changes that are found: a short form of the study (`drift_study.py`)."""

import pytest
from drift_study import early_share, moved_share
from scipy import stats

FLEETS = 60
#: At a rate of 5 % more than so many of 60 fleets come once in 100 times.
MOST = int(stats.binom.ppf(0.99, FLEETS, 0.05))


@pytest.mark.parametrize("ahead", [0.1, 0.5])
def test_curves_of_a_fleet_that_did_not_change_seldom_move(ahead):
    share, rows = moved_share(FLEETS, vehicles=100, ahead=ahead)
    assert share * FLEETS <= MOST
    # No row is called oftener than its chance says. The rows of a fleet are not independent, the fleets are: their own
    # spread gives the error of the mean, of which 2.33 are passed once in 100 times.
    assert rows.mean() < 0.05 + 2.33 * rows.std(ddof=1) / FLEETS**0.5


def test_parts_that_last_six_tenths_as_long_are_found():
    share, _ = moved_share(20, vehicles=150, ahead=0.75, worse_from=2.0, worse=0.6)
    assert share >= 0.9


@pytest.mark.parametrize("variance", [0.0, 0.3])
def test_fleets_without_a_bad_batch_seldom_show_one(variance):
    share, _ = early_share(FLEETS, vehicles=100, variance=variance)
    assert share * FLEETS <= MOST


def test_a_planted_bad_part_number_and_a_bad_month_are_found():
    _, found = early_share(20, vehicles=150, bad_part=0, bad_share=0.2)
    assert found >= 0.8
    _, found = early_share(10, vehicles=400, bad_month=100, bad_share=0.6)
    assert found >= 0.8

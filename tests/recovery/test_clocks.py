"""The right clock is chosen on invented fleets of known clock; where nothing tells them apart distance stays."""

import numpy as np
import pytest
from clock_lives import clock_lives, draw_lives

from wearmodel.survival.clock_choice import compare_clocks

FLEETS = 50
#: About 60 to 110 failures a fleet on vehicles whose use differs by the factor 1.5 to 1.8 (one standard deviation).
DESIGNS = {
    "one position": {"vehicles": 72, "positions": 1},
    "three positions": {"vehicles": 23, "positions": 3},
    "half found at looks": {"vehicles": 72, "positions": 1, "looked": 0.5},
    "less varied use": {"vehicles": 72, "positions": 1, "spread": 0.4, "months": 0.3},
}


def compared(share, **design):
    found = []
    for seed in range(FLEETS):
        drawn = draw_lives(np.random.default_rng(1000 + seed), share=share, **design)
        assert drawn.failed.sum() >= 60
        found.append(compare_clocks(clock_lives(drawn)))
    assert all(one.converged for one in found)
    return found


@pytest.mark.parametrize("name", DESIGNS)
def test_age_is_chosen_where_parts_age_in_years(name):
    assert np.mean([one.age_is_better for one in compared(1.0, **DESIGNS[name])]) >= 0.9


@pytest.mark.parametrize("name", DESIGNS)
def test_distance_stays_where_parts_age_by_distance(name):
    found = compared(0.0, **DESIGNS[name])
    assert not any(one.age_is_better for one in found)
    assert np.mean([one.distance_is_better for one in found]) >= 0.9


def test_nothing_to_tell_them_apart_leaves_distance():
    found = compared(1.0, vehicles=60, spread=0.02, months=0.02)
    assert np.mean([one.age_is_better or one.distance_is_better for one in found]) <= 0.1


def test_a_clock_of_both_is_found_with_its_share():
    found = compared(0.5, vehicles=60)
    assert np.mean([one.both_count for one in found]) >= 0.9
    # Shares are of the typical life's distance and time; half and half by construction.
    assert np.mean([one.share for one in found]) == pytest.approx(0.5, abs=0.1)


def test_a_clock_of_both_is_seldom_seen_where_there_is_one():
    for share in (0.0, 1.0):
        assert np.mean([one.both_count for one in compared(share, vehicles=60)]) <= 0.1

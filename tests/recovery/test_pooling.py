"""Pooled cells of simulated fleets: a short form of the study."""

import pytest
from pooling_study import study, summary


@pytest.fixture(scope="module")
def found():
    return summary(study(16, 9.0))


def test_borrowing_halves_the_error(found):
    assert found["error pooled"] < 0.65 * found["error alone"]
    assert found["error pooled"] < 0.75 * found["error together"]


def test_intervals_hold_the_truth(found):
    # 320 cells, not independent within a fleet: the standard error of the share is near 2.5 %.
    assert 0.83 <= found["coverage"] <= 0.97
    assert found["coverage, up to 3 failures"] >= 0.83

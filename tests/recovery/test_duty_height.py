"""Height by duty on simulated fleets: a short form of the study (`duty_height_study.py`)."""

import numpy as np
import pytest
from duty_height_study import ALIKE, DUTIES, UNLIKE, study

FLEETS = 60


@pytest.fixture(scope="module", params=[0.0, 0.4], ids=["vehicles alike", "vehicles unlike"])
def variance(request):
    return request.param


def test_effects_that_are_not_there_are_dropped(variance):
    found = study(FLEETS, ALIKE, variance=variance)
    # At a rate of 5 % more than 7 of 60 would come once in 100 times.
    assert found["kept"].sum() <= 7
    error = found["log_shape"].std() / np.sqrt(FLEETS)
    assert abs(found["log_shape"].mean()) < 0.01 + 2.6 * error
    for duty in DUTIES:
        assert found[f"held {duty}"].mean() >= 0.8


def test_effects_that_are_there_are_found(variance):
    found = study(FLEETS, UNLIKE, variance=variance)
    assert found["kept"].mean() >= 0.95
    for duty in DUTIES:
        error = found[f"bias {duty}"].std() / np.sqrt(FLEETS)
        # Borrowing draws the ratios of the duties together, by up to 3 % of life here.
        assert abs(found[f"bias {duty}"].mean()) < 0.03 + 2.6 * error
        assert found[f"held {duty}"].mean() >= 0.78
    error = found["log_shape"].std() / np.sqrt(FLEETS)
    assert abs(found["log_shape"].mean()) < 0.01 + 2.6 * error

"""What the uncertainty of the spreads of pooled effects adds to a component's law, with lives of unknown age."""

from dataclasses import replace

import numpy as np
import pytest
from design_lives import coded_lives, drawn_lives, drawn_vehicles

from wearmodel.survival.covariance import wider_covariance
from wearmodel.survival.law_fit import fit_law
from wearmodel.survival.unknown_ages.fit import fit_with_unknown_ages

STEP = 0.02


@pytest.mark.parametrize(("variance", "seed"), [(0.0, 1), (0.5, 2)])
def test_uncertain_spreads_add_what_moves_with_them(variance, seed):
    rng = np.random.default_rng(seed)
    vehicles = drawn_vehicles(rng, 80, variance=variance)
    begins = np.array([0.6 * vehicle.service for vehicle in vehicles])
    coded = coded_lives(vehicles, drawn_lives(rng, vehicles), begins=begins)
    data, unknown = coded.dated, coded.unknown
    duty = coded.coding.pooled[0]
    # Duty alone, so that one spread is uncertain.
    columns = np.append(0, duty)
    data = replace(data, design=data.design[:, columns])
    unknown = replace(unknown, design=unknown.design[:, columns])
    kind, none = [np.array([1, 2])], np.zeros(3)
    fit = fit_law(data, unknown, pooled=kind, tested=[False], fixed_precision=none)
    assert (fit.variance > 0) == (variance > 0)

    def refit(log_change):
        """The whole fit at another spread."""
        precision = none.copy()
        precision[1:] = (fit.spreads[0] * np.exp(log_change)) ** -2.0
        return fit_with_unknown_ages(
            data, unknown, frailty=variance > 0, prior_precision=precision, start=fit.dated_alone.values
        )

    size = len(fit.values)
    drift = (refit(STEP).values - refit(-STEP).values)[:size] / (2.0 * STEP)
    given = refit(0.0)
    alone = given.covariance if variance > 0 else wider_covariance(given.covariance, given.clustered_covariance)
    added = fit.covariance - alone[:size, :size]
    expected = fit.dated_alone.spread_covariance[0, 0] * np.outer(drift, drift)
    # The derivative by differences of 0.02 in the log of the spread.
    assert np.diag(added) == pytest.approx(np.diag(expected), rel=0.03, abs=1e-9)
    assert added[1, 2] == pytest.approx(expected[1, 2], rel=0.03)
    assert np.diag(added)[1:3].max() > 1e-5

"""Quadrature over gamma laws against moments in closed form."""

import numpy as np
import pytest
from scipy.special import gammaln

from wearmodel.survival.unknown_ages.gamma_nodes import gamma_nodes


@pytest.mark.parametrize(("nodes", "tolerance"), [(14, 5e-6), (20, 5e-8), (40, 1e-10)])
@pytest.mark.parametrize("power", [1.0 / 2.2, 1.0, 2.0])
def test_moments(nodes, tolerance, power):
    shape = np.array([1.3, 3.0, 3.0, 40.0, 8_000.0])
    points, weights = gamma_nodes(shape, nodes=nodes)
    expected = np.exp(gammaln(shape + power) - gammaln(shape))
    np.testing.assert_allclose((points**power) @ weights, expected, rtol=tolerance)
    assert weights.sum() == pytest.approx(1.0)


def test_too_few_points_are_refused():
    with pytest.raises(ValueError, match="at least 8"):
        gamma_nodes(np.ones(1), nodes=4)

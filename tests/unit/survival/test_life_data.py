"""The invariant of ages is enforced once, with the rows named."""

import numpy as np
import pytest

from wearmodel.survival.covariance import wider_covariance
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data


@pytest.mark.parametrize(
    ("entry", "low", "high"),
    [
        (5.0, 4.0, np.inf),
        (0.0, 4.0, 3.0),
        (-1.0, 4.0, np.inf),
        (4.0, 4.0, np.inf),
        (4.0, 4.0, 4.0),
        (0.0, np.nan, np.inf),
        (0.0, np.inf, np.inf),
    ],
)
def test_impossible_ages_are_refused(entry, low, high):
    with pytest.raises(ValueError, match=r"1 lives break .*row 1"):
        build_life_data(entry=[0.0, entry], stop_low=[1.0, low], stop_high=[1.0, high])


@pytest.mark.parametrize(("entry", "low", "high"), [(4.0, 4.0, 6.0), (0.0, 0.0, 6.0), (0.0, 4.0, 4.0)])
def test_edge_cases_are_accepted(entry, low, high):
    data = build_life_data(entry=[entry, 1.0], stop_low=[low, 3.0], stop_high=[high, 3.0])
    assert np.isfinite(fit_lives(data).values).all()


def test_no_failure_is_refused():
    data = build_life_data(entry=[0.0], stop_low=[5.0], stop_high=[np.inf])
    with pytest.raises(ValueError, match="no failure"):
        fit_lives(data)


def test_a_duty_without_failures_stays_finite_with_the_prior():
    rng = np.random.default_rng(3)
    life = rng.weibull(2.0, 60) * 10
    group = np.repeat([0.0, 1.0], 30)
    stop = np.where(group == 1, 2.0, life)
    high = np.where(group == 1, np.inf, life)
    data = build_life_data(
        entry=np.zeros(60), stop_low=stop, stop_high=high, design=np.column_stack([np.ones(60), group])
    )
    fit = fit_lives(data, prior_precision=np.array([0.0, 1.0]))
    assert fit.converged
    assert 0.0 < fit.values[1] < 2.0


def test_wider_covariance_is_at_least_as_wide_as_each():
    rng = np.random.default_rng(2)
    one, other = (a @ a.T for a in rng.normal(size=(2, 4, 4)))
    wide = wider_covariance(one, other)
    for narrow in (one, other):
        assert np.linalg.eigvalsh(wide - narrow).min() > -1e-9
    np.testing.assert_allclose(wider_covariance(one, one), one)

"""The table of laws against the curves and lives it stands for."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from wearmodel.curve_laws import LAW_COVARIANCES, build_laws
from wearmodel.survival.model import life_band, survival_band
from wearmodel.survival.weibull import log_life_slopes, survival
from workbook.example_model import EXAMPLE_MODEL


def unlike(model):
    """The model where vehicles wear unlike, with a covariance of its own."""
    own = model.components["u_joint"]
    rng = np.random.default_rng(3)
    root = rng.normal(size=(5, 5)) * 0.05
    whole = root @ root.T
    covariance = tuple(map(tuple, whole[:4, :4].tolist()))
    changed = replace(own, covariance=covariance, frailty_variance=0.3, frailty_covariance=tuple(whole[4].tolist()))
    return replace(model, components={**model.components, "u_joint": changed})


@pytest.mark.parametrize("model", [EXAMPLE_MODEL, unlike(EXAMPLE_MODEL)])
def test_bands_follow_from_the_law_and_its_covariance(model):
    own = model.components["u_joint"]
    laws = build_laws(model, (0.0, 75.0))
    assert laws.groupby(["component", "duty", "lift"]).ngroups == len(laws) == 6
    z = stats.norm.ppf(0.95)
    ages = np.array([20_000.0, 90_000.0, 150_000.0])
    for row in laws.itertuples(index=False):
        whole = np.zeros((3, 3))
        whole[np.triu_indices(3)] = [getattr(row, name) for name in LAW_COVARIANCES]
        whole = whole + np.triu(whole, 1).T
        law = {"shape": row.shape, "scale": row.scale, "variance": row.frailty_variance}
        band = survival_band(own, ages, duty=row.duty, lift=row.lift)
        assert survival(ages, **law) == pytest.approx(band.estimate, rel=1e-12)
        # Slopes of the log hazard in log scale, log shape and log variance by differences.
        step = 1e-5
        log_hazard = []
        for name in ("scale", "shape", "variance"):
            ends = [
                np.log(-np.log(survival(ages, **{**law, name: law[name] * np.exp(sign * step)}))) for sign in (1, -1)
            ]
            log_hazard.append((ends[0] - ends[1]) / (2 * step))
        slopes = np.array(log_hazard)
        half = z * np.sqrt(np.einsum("ia,ij,ja->a", slopes, whole, slopes))
        low = np.exp(np.log(band.estimate) * np.exp(half))
        assert low == pytest.approx(band.low, rel=1e-5)
        life = life_band(own, fraction=0.1, duty=row.duty, lift=row.lift)
        steps = np.array(log_life_slopes(0.1, shape=row.shape, variance=row.frailty_variance))
        assert float(life.high / life.estimate) == pytest.approx(np.exp(z * np.sqrt(steps @ whole @ steps)), rel=1e-9)


def test_components_without_a_curve_have_no_law():
    assert set(build_laws(EXAMPLE_MODEL, (0.0,))["component"]) == {"u_joint"}

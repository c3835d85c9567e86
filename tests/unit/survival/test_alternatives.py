"""The plain analysis and other families beside the curve as it is used."""

import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from lifelines import LogLogisticAFTFitter, LogNormalAFTFitter, WeibullAFTFitter
from scipy import integrate, stats

from wearmodel.survival.alternatives import ANALYSES, build_alternatives
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data
from workbook.example_model import EXAMPLE_MODEL

JOINT = EXAMPLE_MODEL.components["u_joint"]


def drawn(count=400, seed=3):
    """Lives of the example's universal joints, a third of them still running."""
    rng = np.random.default_rng(seed)
    design = np.column_stack([np.ones(count), rng.choice([0.0, 1.0], count), rng.choice([0.0, 0.75], count)])
    life = np.exp(design @ np.array(JOINT.values[:-1])) * rng.weibull(2.5, count)
    end = rng.uniform(20_000.0, 200_000.0, count)
    return design, np.minimum(life, end), life <= end


def lives_and_model(variance=0.0):
    design, stop, failed = drawn()
    zero = np.zeros(len(stop))
    data = build_life_data(entry=zero, stop_low=stop, stop_high=np.where(failed, stop, np.inf), design=design)
    plain = fit_lives(data)
    joint = replace(
        JOINT, frailty_variance=variance, dated_values=tuple(plain.values.tolist()), dated_failures=int(failed.sum())
    )
    model = replace(EXAMPLE_MODEL, components={**EXAMPLE_MODEL.components, "u_joint": joint})
    return model, {"u_joint": ComponentLives("u_joint", JOINT.coding, data, np.arange(len(stop)))}


def test_all_analyses_and_lives_of_a_vehicle_at_random():
    """B10 of the frailty law against integration of the survival over the gamma law."""
    table = build_alternatives(*lives_and_model(0.4)).set_index("analysis")
    assert list(table.index) == list(ANALYSES)
    assert (table["component"] == "u_joint").all()
    used = table.loc[ANALYSES[0]]
    law = stats.gamma(1 / 0.4, scale=0.4)
    for name, left in (("b10", 0.9), ("median", 0.5)):
        spent = (used[name] / 100_000.0) ** 2.5
        alive = integrate.quad(lambda z, spent=spent: law.pdf(z) * math.exp(-z * spent), 0.0, 60.0)[0]
        assert alive == pytest.approx(left, rel=1e-7)
    assert math.isnan(used["log_likelihood"])
    assert (table["frailty_variance"][1:] == 0.0).all()


def test_the_families_are_those_of_lifelines():
    """Same lives and covariates: log-likelihood, B10 and median of each family; the true one is Weibull."""
    model, coded = lives_and_model()
    table = build_alternatives(model, coded).set_index("analysis")
    design, stop, failed = drawn()
    frame = pd.DataFrame(design[:, 1:], columns=["duty", "height"]).assign(stop=stop, failed=failed)
    mix = pd.DataFrame({"duty": [0.4], "height": [0.0]})
    for name, fitter in zip(ANALYSES[1:], (WeibullAFTFitter, LogNormalAFTFitter, LogLogisticAFTFitter), strict=True):
        other = fitter().fit(frame, "stop", "failed")
        row = table.loc[name]
        assert row["log_likelihood"] == pytest.approx(other.log_likelihood_, abs=0.01), name
        for column, left in (("b10", 0.9), ("median", 0.5)):
            expected = float(np.squeeze(other.predict_percentile(mix, p=left)))
            assert row[column] == pytest.approx(expected, rel=2e-3), (name, column)
    assert table["log_likelihood"][1:].idxmax() == ANALYSES[1]


def test_components_without_a_plain_analysis_are_left_out():
    _, coded = lives_and_model()
    assert build_alternatives(EXAMPLE_MODEL, coded).empty

"""The plain analysis beside the curve as it is used."""

import math
from dataclasses import replace

import pytest
from scipy import integrate, stats

from wearmodel.survival.alternatives import ANALYSES, build_alternatives
from workbook.example_model import EXAMPLE_MODEL


def test_both_analyses_and_lives_of_a_vehicle_at_random():
    """B10 of the frailty law against integration of the survival over the gamma law."""
    joint = EXAMPLE_MODEL.components["u_joint"]
    plain = (joint.values[0] + 0.1, *joint.values[1:-1], math.log(2.0))
    joint = replace(joint, frailty_variance=0.4, dated_values=plain, dated_failures=20)
    model = replace(EXAMPLE_MODEL, components={**EXAMPLE_MODEL.components, "u_joint": joint})
    table = build_alternatives(model).set_index("analysis")
    assert list(table.index) == list(ANALYSES)
    assert (table["component"] == "u_joint").all()
    used = table.loc[ANALYSES[0]]
    law = stats.gamma(1 / 0.4, scale=0.4)
    for name, left in (("b10", 0.9), ("median", 0.5)):
        spent = (used[name] / 100_000.0) ** 2.5
        alive = integrate.quad(lambda z, spent=spent: law.pdf(z) * math.exp(-z * spent), 0.0, 60.0)[0]
        assert alive == pytest.approx(left, rel=1e-7)
    other = table.loc[ANALYSES[1]]
    assert other["median"] == pytest.approx(100_000.0 * math.exp(0.1) * math.log(2.0) ** 0.5, rel=1e-12)
    assert (other["failures"], other["frailty_variance"]) == (20, 0.0)


def test_components_without_a_plain_analysis_are_left_out():
    assert build_alternatives(EXAMPLE_MODEL).empty

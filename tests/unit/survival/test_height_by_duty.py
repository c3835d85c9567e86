"""Effects of height by duty: rows of the coding, the fit that keeps or drops them, life ratios, and the model file."""

import json
import math
import warnings
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from duty_height_study import ALIKE, DUTIES, LIFT, UNLIKE, drawn_lives, fitted

from wearmodel.plan_tables import build_fits
from wearmodel.policy.comparison.compare import compare_duties, compare_ride_heights
from wearmodel.survival.alternatives import build_alternatives
from wearmodel.survival.checks.influence import vehicle_influence
from wearmodel.survival.coding import Coding, GroupLevels, SwingMix, design_row, recode_duty_height
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import with_duty_height
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.families import WEIBULL
from wearmodel.survival.law_fit import fit_law
from wearmodel.survival.likelihood import evaluate
from wearmodel.survival.model import LifeModel, law, life_band, life_ratio_band
from wearmodel.survival.store import model_from_json, model_to_json
from wearmodel.survival.vehicle_terms import vehicle_terms

CODING = Coding(
    duties=("road", "town", "site"),
    duty_weights=(0.5, 0.3, 0.2),
    height="angle",
    height_centre=2.0,
    lifts=(0.0, 50.0),
    swing=SwingMix(angles=(1.0, 3.0), lengths=(900.0, 1100.0), weights=(0.5, 0.3)),
    fixed_share=0.2,
    groups=(GroupLevels("make", ("A", "B"), (0.7, 0.3)),),
    duty_height=0.8,
)


def test_columns_stand_before_fixed_positions_and_height():
    assert CODING.names == (
        "intercept", "duty:town", "duty:site", "make:B", "duty_height:town", "duty_height:site", "fixed_position",
        "angle",
    )  # fmt: skip
    assert [columns.tolist() for columns in CODING.pooled] == [[1, 2], [3], [4, 5]]
    assert CODING.tested == (False, True, True)
    assert CODING.with_duty_height(0.0).tested == (False, True)
    assert CODING.with_duty_height(0.0).duty_height_columns.size == 0


def test_a_row_is_the_mean_over_the_fleet_s_positions_and_duties():
    """`design_row` averages what `build_segment_design` gives position by position and duty by duty."""
    traits = pd.DataFrame(
        [
            (duty, make, angle, length, share * own * place)
            for duty, share in zip(CODING.duties, CODING.duty_weights, strict=True)
            for make, own in (("A", 0.7), ("B", 0.3))
            for angle, length, place in ((1.0, 900.0, 0.5), (3.0, 1100.0, 0.3), (np.nan, np.nan, 0.2))
        ],
        columns=["duty", "make", "angle", "length", "share"],
    )
    rows = build_segment_design(CODING, lift=np.full(len(traits), 50.0), traits=traits)
    share = traits["share"].to_numpy()
    assert design_row(CODING, lift=50.0) == pytest.approx(share @ rows, abs=1e-12)
    for duty in CODING.duties:
        own = share * (traits["duty"] == duty).to_numpy()
        assert design_row(CODING, duty=duty, lift=50.0) == pytest.approx(own @ rows / own.sum(), abs=1e-12)


def test_by_hand():
    plain = CODING.with_duty_height(0.0)
    height = design_row(plain, duty="site", lift=50.0)[-1]
    assert design_row(CODING, duty="site", lift=50.0)[4:6] == pytest.approx(
        [-0.3 * height / 0.8, (1.0 - 0.2) * height / 0.8]
    )
    assert (design_row(CODING, lift=50.0)[4:6] == 0.0).all()
    # A duty that the coding does not know counts as the mix.
    traits = pd.DataFrame({"duty": ["unheard of"], "make": ["A"], "angle": [4.0], "length": [900.0]})
    assert build_segment_design(CODING, lift=np.zeros(1), traits=traits)[0, 4:6] == pytest.approx([0.0, 0.0])


def test_adding_and_taking_out_columns():
    rows = np.array([design_row(CODING, duty=duty, lift=lift) for duty in CODING.duties for lift in (0.0, 50.0)])
    plain = recode_duty_height(rows, CODING, 0.0)
    assert plain == pytest.approx(np.delete(rows, [4, 5], axis=1))
    assert recode_duty_height(plain, CODING.with_duty_height(0.0), 0.8) == pytest.approx(rows, abs=1e-12)
    halved = recode_duty_height(rows, CODING, 0.4)
    assert halved[:, 4:6] == pytest.approx(2.0 * rows[:, 4:6])


def test_without_support_nothing_is_left_of_them():
    """The model is to the last digit that of a fit in which they were never tried."""
    mine = drawn_lives(np.random.default_rng(5), ALIKE)
    model = fitted(mine)
    assert model.coding == mine.coding
    precision = np.zeros(4)
    precision[-1] = (2.0 * np.std(mine.dated.design[:, -1]) / 0.7) ** 2
    plain = fit_law(mine.dated, mine.unknown, pooled=mine.coding.pooled, tested=(False,), fixed_precision=precision)
    assert model.values == tuple(plain.values.tolist())
    assert "some duties" not in model.note


@pytest.fixture(scope="module")
def unlike():
    mine = drawn_lives(np.random.default_rng(6), UNLIKE, vehicles=600)
    return mine, fitted(mine)


def test_with_many_lives_the_ratios_are_those_of_a_law_with_a_ratio_for_each_duty(unlike):
    """The second answer is that of lifelines, with one column for the raised vehicles of each duty."""
    from lifelines import WeibullAFTFitter

    mine, model = unlike
    data = mine.dated
    assert model.coding.duty_height > 0
    assert "in some duties than in others" in model.note
    road = 1.0 - data.design[:, 1:3].sum(axis=1)
    duty = np.column_stack([road, data.design[:, 1:3]])
    frame = pd.DataFrame(duty[:, 1:], columns=["town", "site"])
    for number, name in enumerate(DUTIES):
        frame[f"raised_{name}"] = duty[:, number] * data.design[:, -1]
    frame["stop"], frame["failed"] = data.before_low, data.exact
    frame = frame[frame["stop"] > 0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        aft = WeibullAFTFitter().fit(frame, "stop", "failed")
    for name in DUTIES:
        theirs = aft.params_["lambda_"][f"raised_{name}"]
        ratio = math.log(float(life_ratio_band(model, lift=LIFT, duty=name).estimate))
        # Borrowing draws ours a little towards each other.
        assert ratio == pytest.approx(theirs, abs=0.02)
    assert model.values[-1] == pytest.approx(float(aft.params_["rho_"].iloc[0]), abs=0.01)


def test_every_look_up_goes_by_the_duty(unlike):
    _, model = unlike
    for duty in DUTIES:
        ratio = float(life_ratio_band(model, lift=LIFT, duty=duty).estimate)
        scales = [law(model, duty=duty, lift=lift).scale for lift in (LIFT, 0.0)]
        assert ratio == pytest.approx(scales[0] / scales[1], rel=1e-12)
        lives = [float(life_band(model, fraction=0.1, duty=duty, lift=lift).estimate) for lift in (LIFT, 0.0)]
        assert ratio == pytest.approx(lives[0] / lives[1], rel=1e-12)
    logs = [math.log(float(life_ratio_band(model, lift=LIFT, duty=duty).estimate)) for duty in DUTIES]
    mixed = life_ratio_band(model, lift=LIFT, duty={"highway": 0.25, "site": 0.75})
    assert math.log(float(mixed.estimate)) == pytest.approx(0.25 * logs[0] + 0.75 * logs[2])
    fleet = math.log(float(life_ratio_band(model, lift=LIFT).estimate))
    assert fleet == pytest.approx(float(np.dot(logs, model.coding.duty_weights)), abs=1e-12)


def fleet_of(model):
    return LifeModel({"u_joint": model}, "km", "EUR", "2026-06-30", 10.0, 0.9, {}, "")


def test_parameters_are_in_the_table_of_fits(unlike):
    fits = build_fits(fleet_of(unlike[1])).set_index("parameter")
    for name in ("duty_height:town", "duty_height:site"):
        assert fits.loc[name, "lower"] < fits.loc[name, "estimate"] < fits.loc[name, "upper"]
    assert fits.loc["duty_height:site", "own_share"] > 0.5


def test_other_families_are_set_beside_them(unlike):
    """The plain analysis stands at the log-likelihood of its own values on the lives coded as the law is."""
    mine, model = unlike
    assert mine.coding.duty_height == 0.0 < model.coding.duty_height
    table = build_alternatives(fleet_of(model), {"u_joint": mine}).set_index("analysis")
    coded = mine.with_duty_height(model.coding.duty_height)
    expected = evaluate(coded.dated, np.array(model.dated_values), WEIBULL).value
    assert len(table) >= 3 and table["log_likelihood"].iloc[1] == pytest.approx(expected, rel=1e-9)


def test_the_model_file_keeps_them(unlike):
    model = fleet_of(unlike[1])
    again = model_from_json(model_to_json(model))
    assert again == model
    body = json.loads(model_to_json(model))
    body["components"]["u_joint"]["coding"]["duty_height"] = 0
    with pytest.raises(Exception, match="values expected"):
        model_from_json(json.dumps(body))


def test_lives_coded_without_them_are_recoded_for_the_model(unlike):
    mine, model = unlike
    coded = mine.with_duty_height(model.coding.duty_height)
    assert coded.dated.design.shape[1] == len(model.coding.names)
    assert coded.with_duty_height(0.0).dated.design == pytest.approx(mine.dated.design)
    assert vehicle_terms(model, mine).value == vehicle_terms(model, coded).value
    # The scores of a fitted law, less the pull of its priors, sum to 0.
    pull = np.array(model.prior_precision) * model.values
    assert vehicle_terms(model, mine).scores.sum(axis=0)[: len(pull)] == pytest.approx(pull, abs=0.05)
    assert np.isfinite(vehicle_influence(model, mine).height).all()


def test_lives_that_open_lines_weaken(unlike):
    """Information lost to open lines widens the effects of height by duty as it widens the others."""
    mine, model = unlike
    size = len(model.values)
    # The log variance of the frailty comes last, and loses nothing.
    lost = np.pad(0.3 * np.linalg.pinv(np.array(model.covariance)), (0, 1))
    found = fit_components(
        {"u_joint": mine}, labels={"u_joint": "Joint"}, clocks={"u_joint": "km"}, lost={"u_joint": lost}
    )["u_joint"]
    assert found.coding == model.coding
    assert (np.diag(found.covariance) > 1.2 * np.diag(model.covariance)).all()
    alike = drawn_lives(np.random.default_rng(5), ALIKE)
    wide = len(with_duty_height(alike).coding.names) + 1
    assert wide == size
    dropped = fit_components(
        {"u_joint": alike}, labels={"u_joint": "Joint"}, clocks={"u_joint": "km"},
        lost={"u_joint": np.diag(np.arange(wide + 1.0))},
    )["u_joint"]  # fmt: skip
    assert dropped.coding.duty_height == 0


def pieces_of(mine):
    data = mine.dated
    duty = np.array(DUTIES)[(data.design[:, 1:3] @ [1, 2]).astype(int)]
    return pd.DataFrame(
        {
            "life": np.arange(data.lives), "component": "u_joint", "duty": duty, "lift": LIFT * data.design[:, -1],
            "distance": data.before_low, "failed_here": data.exact, "weight": 1.0, "usable": True,
            "age": data.before_low,
        }
    )  # fmt: skip


def test_compare_goes_by_the_mix_of_the_raised_and_tells_each_duty(unlike):
    mine, model = unlike
    pieces, fleet = pieces_of(mine), fleet_of(model)
    blank = dict.fromkeys(["vehicle_class", "place", "make", "build", "greasing"], "")
    traits = pd.DataFrame({"duty": pieces["duty"], **blank, "angle": np.nan, "length": np.nan})
    row = compare_ride_heights(
        fleet, coded={"u_joint": mine}, pieces=pieces, levels=(0.0, LIFT), traits=traits
    ).iloc[0]
    raised = pieces[pieces["lift"] > 0]
    shares = (raised.groupby("duty")["distance"].sum() / raised["distance"].sum()).to_dict()
    assert row["life_ratio"] == pytest.approx(float(life_ratio_band(model, lift=LIFT, duty=shares).estimate))
    assert "Differs by duty" in row["note"]
    table = compare_duties(fleet, pieces=pieces, levels=(0.0, LIFT)).set_index("duty")
    assert list(table.index) == list(DUTIES)
    for duty, effect in zip(DUTIES, UNLIKE, strict=True):
        assert table.loc[duty, "life_ratio"] == pytest.approx(
            table.loc[duty, "median_raised"] / table.loc[duty, "median_factory"]
        )
        assert table.loc[duty, "lower"] < math.exp(effect) < table.loc[duty, "upper"]
    assert table["failures"].sum() == raised["failed_here"].sum()
    alike = replace(fleet, components={"u_joint": fitted(drawn_lives(np.random.default_rng(5), ALIKE))})
    assert compare_duties(alike, pieces=pieces, levels=(0.0, LIFT)).empty

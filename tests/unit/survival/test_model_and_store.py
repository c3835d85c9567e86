"""Bands of the fitted model, and the model file."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from wearmodel.errors import ModelError, OutputError
from wearmodel.survival.coding import ANGLE_FLOOR, Coding, SwingMix, design_row
from wearmodel.survival.model import (
    ComponentModel,
    LifeModel,
    ReplacementCost,
    law,
    life_band,
    life_ratio_band,
    parameter_draws,
    survival_band,
)
from wearmodel.survival.store import model_from_json, model_to_json, read_model, write_model

CODING = Coding(
    duties=("road", "site"),
    duty_weights=(0.75, 0.25),
    height="log_angle",
    height_centre=math.log(2.0),
    lifts=(0.0, 50.0),
    swing=SwingMix(angles=(2.0,), lengths=(1000.0,), weights=(1.0,)),
)
COVARIANCE = np.array(
    [[0.01, 0.001, 0.0, -0.002], [0.001, 0.02, 0.001, 0.0], [0.0, 0.001, 0.03, 0.001], [-0.002, 0.0, 0.001, 0.004]]
)
COMPONENT = ComponentModel(
    component="u_joint",
    label="Universal joint",
    clock="km",
    basis="fitted",
    values=(math.log(150_000.0), -0.4, -0.6, math.log(2.5)),
    covariance=tuple(tuple(row) for row in COVARIANCE.tolist()),
    coding=CODING,
    lives=100,
    failures=40,
    vehicles=30,
    log_likelihood=-400.0,
    converged=True,
    note="Rests on 40 failures.",
)
MODEL = LifeModel(
    components={"u_joint": COMPONENT},
    distance_unit="km",
    currency="EUR",
    as_of="2026-06-30",
    service_interval=15_000.0,
    confidence=0.9,
    costs={"u_joint": ReplacementCost(200.0, 900.0)},
    fingerprint="0" * 64,
)


#: The same where vehicles wear unlike.
UNLIKE = replace(COMPONENT, frailty_variance=0.4, frailty_covariance=(0.002, -0.001, 0.001, 0.01, 0.09))


def _unlike(body, covariance):
    """Give the model in a file a frailty with this covariance."""
    body["components"]["u_joint"].update(frailty_variance=0.4, frailty_covariance=covariance)


def _one_duty(body):
    """Give the model in a file one duty, and effects of height by duty all the same."""
    body["components"]["u_joint"]["coding"].update(duties=["road"], duty_weights=[1.0], duty_height=0.2)


def test_law_by_hand():
    assert law(COMPONENT, duty="road", lift=0.0).scale == pytest.approx(150_000.0)
    assert law(COMPONENT, duty="site").scale == pytest.approx(150_000.0 * math.exp(-0.4))
    assert law(COMPONENT).scale == pytest.approx(150_000.0 * math.exp(-0.1))
    angle = math.degrees(math.asin(math.sin(math.radians(2.0)) + 0.05))
    assert law(COMPONENT, duty="road", lift=50.0).scale == pytest.approx(150_000.0 * (angle / 2.0) ** -0.6)


def test_the_angle_has_a_floor():
    straight = replace(CODING, swing=SwingMix((0.0,), (math.inf,), (1.0,)))
    assert design_row(straight, duty="road")[-1] == pytest.approx(math.log(ANGLE_FLOOR) - math.log(2.0))


def test_bands_against_drawn_parameters():
    """Delta method against the quantiles of 200,000 draws."""
    draws = parameter_draws(COMPONENT, draws=200_000, rng=np.random.default_rng(5))
    row = design_row(CODING, duty="site", lift=50.0)
    log_scale, shape = draws[:, :-1] @ row, np.exp(draws[:, -1])
    life = np.exp(log_scale) * (-math.log(0.9)) ** (1 / shape)
    band = life_band(COMPONENT, fraction=0.1, duty="site", lift=50.0)
    np.testing.assert_allclose([band.low, band.high], np.quantile(life, [0.05, 0.95]), rtol=0.01)
    ratio = life_ratio_band(COMPONENT, lift=50.0)
    change = design_row(CODING, lift=50.0) - design_row(CODING, lift=0.0)
    np.testing.assert_allclose(
        [ratio.low, ratio.high], np.quantile(np.exp(draws[:, :-1] @ change), [0.05, 0.95]), rtol=0.01
    )
    at = survival_band(COMPONENT, [100_000.0], duty="site", lift=50.0)
    curve = np.exp(-((100_000.0 / np.exp(log_scale)) ** shape))
    np.testing.assert_allclose([at.low[0], at.high[0]], np.quantile(curve, [0.05, 0.95]), atol=0.01)
    np.testing.assert_allclose(np.cov(draws.T), COVARIANCE, atol=5e-4)


def test_survival_band_starts_at_one_and_falls():
    band = survival_band(COMPONENT, np.linspace(0, 400_000, 50))
    for curve in (band.estimate, band.low, band.high):
        assert curve[0] == 1.0
        assert (np.diff(curve) <= 0).all()
    assert (band.low <= band.estimate).all()
    assert (band.estimate <= band.high).all()


def test_weibull_law_against_scipy():
    point = law(COMPONENT, duty="site", lift=50.0)
    grid = np.linspace(0, 300_000, 20)
    band = survival_band(COMPONENT, grid, duty="site", lift=50.0)
    np.testing.assert_allclose(band.estimate, stats.weibull_min.sf(grid, point.shape, scale=point.scale), rtol=1e-12)


def test_bands_over_vehicles_against_drawn_parameters():
    """Delta method against the quantiles of 400,000 draws of all parameters, the frailty's variance among them."""
    whole = np.zeros((5, 5))
    whole[:4, :4] = COVARIANCE
    whole[4, :] = whole[:, 4] = UNLIKE.frailty_covariance
    centre = (*UNLIKE.values, math.log(0.4))
    draws = np.random.default_rng(6).multivariate_normal(centre, 0.09 * whole, size=400_000)
    small = replace(
        UNLIKE,
        covariance=tuple(tuple(row) for row in (0.09 * COVARIANCE).tolist()),
        frailty_covariance=tuple((0.09 * whole[4]).tolist()),
    )
    row = design_row(CODING, duty="site", lift=50.0)
    scale, shape, variance = np.exp(draws[:, :3] @ row), np.exp(draws[:, 3]), np.exp(draws[:, 4])
    spread = scale * variance ** (-1 / shape)
    for fraction in (0.1, 0.5):
        band = life_band(small, fraction=fraction, duty="site", lift=50.0)
        lives = stats.burr12.ppf(fraction, shape, 1 / variance, scale=spread)
        np.testing.assert_allclose([band.low, band.high], np.quantile(lives, [0.05, 0.95]), rtol=0.003)
    for age in (40_000.0, 150_000.0):
        at = survival_band(small, [age], duty="site", lift=50.0)
        curve = stats.burr12.sf(age, shape, 1 / variance, scale=spread)
        np.testing.assert_allclose([at.low[0], at.high[0]], np.quantile(curve, [0.05, 0.95]), atol=0.002)


def test_band_of_a_life_meets_the_band_of_survival():
    for fraction in (0.1, 0.5):
        life = life_band(UNLIKE, fraction=fraction, duty="site")
        at = survival_band(UNLIKE, life.estimate, duty="site")
        assert float(at.estimate) == pytest.approx(1.0 - fraction, rel=1e-12)
        # On the logarithms both are the same normal error, divided by the slope between them.
        step = 1e-6
        ahead, behind = (survival_band(UNLIKE, life.estimate * math.exp(s), duty="site") for s in (step, -step))
        slope = math.log(math.log(ahead.estimate) / math.log(behind.estimate)) / (2 * step)
        width = math.log(math.log(at.low) / math.log(at.estimate))
        assert width / slope == pytest.approx(math.log(life.high / life.estimate), rel=1e-6)


def test_a_vanishing_frailty_leaves_the_bands_as_they_were():
    tiny = replace(COMPONENT, frailty_variance=1e-8)
    ages = np.linspace(0, 400_000, 50)
    for name in ("estimate", "low", "high"):
        plain, frail = (getattr(survival_band(own, ages), name) for own in (COMPONENT, tiny))
        np.testing.assert_allclose(frail, plain, atol=1e-7)
        plain, frail = (getattr(life_band(own, fraction=0.1), name) for own in (COMPONENT, tiny))
        assert frail == pytest.approx(plain, rel=1e-7)


def test_bands_over_vehicles_start_at_one():
    band = survival_band(UNLIKE, np.linspace(0, 200_000, 50))
    for curve in (band.estimate, band.low, band.high):
        assert curve[0] == 1.0
        assert (np.diff(curve) <= 0).all()


def test_a_ratio_of_lives_knows_no_frailty():
    assert life_ratio_band(UNLIKE, lift=50.0) == life_ratio_band(COMPONENT, lift=50.0)


def test_unknown_duty_is_named():
    with pytest.raises(ValueError, match="duty 'lunar' is not known here; known: road, site"):
        law(COMPONENT, duty="lunar")


def test_round_trip(tmp_path):
    write_model(MODEL, tmp_path / "model.json")
    assert read_model(tmp_path / "model.json") == MODEL
    assert sorted(path.name for path in tmp_path.iterdir()) == ["model.json"]


def test_frailty_survives_the_file():
    model = replace(MODEL, components={"u_joint": UNLIKE})
    assert model_from_json(model_to_json(model)) == model
    given = replace(MODEL, components={"u_joint": replace(UNLIKE, frailty_covariance=())})
    assert model_from_json(model_to_json(given)) == given


def test_infinite_lengths_survive_the_file():
    coding = replace(CODING, swing=SwingMix((2.0,), (math.inf,), (1.0,)))
    model = replace(MODEL, components={"u_joint": replace(COMPONENT, coding=coding)})
    assert model_from_json(model_to_json(model)) == model


def test_a_file_from_before_engine_hours_is_read():
    """Version 3 knows distance and time alone."""
    by_time = replace(MODEL, components={"u_joint": replace(COMPONENT, day_counts=80.0)})
    body = json.loads(model_to_json(by_time))
    assert body["version"] == 4 and body["components"]["u_joint"].pop("hour_counts") == 0.0
    assert model_from_json(json.dumps(body | {"version": 3})) == by_time


def test_clocks_survive_the_file():
    for counts, name in (({}, "distance"), ({"day_counts": 80.0}, "age"), ({"hour_counts": 21.3}, "hours")):
        model = replace(MODEL, components={"u_joint": replace(COMPONENT, **counts)})
        assert model.components["u_joint"].ages_by == name
        assert model_from_json(model_to_json(model)) == model


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda body: body.update(version=99), "version 99"),
        (lambda body: body.update(version=2), "version 2, this program reads versions 3 to 4; write the file anew"),
        (lambda body: body["components"]["u_joint"].update(day_counts=-1.0), "'day_counts' must be 0 or a distance"),
        (lambda body: body["components"]["u_joint"].update(hour_counts=-1.0), "'hour_counts' must be 0 or, beside"),
        (
            lambda body: body["components"]["u_joint"].update(hour_counts=20.0, day_counts=90.0),
            "'hour_counts' must be 0 or, beside a 'day_counts' of 0, a distance an hour",
        ),
        (lambda body: body["components"]["u_joint"].pop("hour_counts"), "'hour_counts' is missing"),
        (lambda body: body["components"]["u_joint"]["coding"].pop("duty_height"), "'duty_height' is missing"),
        (lambda body: body["components"]["u_joint"]["coding"].update(duty_height=-1.0), "0 or a step"),
        (lambda body: body["components"]["u_joint"]["coding"].update(duty_height="inf"), "0 or a step"),
        (lambda body: _one_duty(body), "must be 0 without a height value or with one duty"),
        (lambda body: body["components"]["u_joint"].update(frailty_variance=10.5), "must be from 0 to 10"),
        (lambda body: body["components"]["u_joint"].update(frailty_variance=-0.1), "must be from 0 to 10"),
        (lambda body: body["components"]["u_joint"].update(frailty_variance="nan"), "must be from 0 to 10"),
        (lambda body: body["components"]["u_joint"].pop("frailty_variance"), "'frailty_variance' is missing"),
        (lambda body: body["components"]["u_joint"].pop("frailty_covariance"), "'frailty_covariance' is missing"),
        (lambda body: body["components"]["u_joint"].update(frailty_covariance=[0.0] * 5), "none where"),
        (lambda body: _unlike(body, [0.0] * 4), "must have 5 numbers"),
        (lambda body: _unlike(body, [0.0, 0.0, 0.0, 0.0, -0.1]), "last number not negative"),
        (lambda body: _unlike(body, [0.0, "inf", 0.0, 0.0, 0.1]), "must be finite"),
        (lambda body: body.update(schema="x"), "not a life model"),
        (lambda body: body.pop("currency"), "'currency' is missing"),
        (lambda body: body["components"]["u_joint"].update(values=[1.0]), "4 values expected, 1 found"),
        (lambda body: body["components"]["u_joint"].update(values=["a"] * 4), "must be a number"),
        (lambda body: body["components"]["u_joint"]["covariance"].pop(), "4 rows and columns"),
        (lambda body: body["components"]["u_joint"]["covariance"][0].__setitem__(0, -1.0), "not negative"),
        (lambda body: body["components"]["u_joint"]["coding"].update(height="sideways"), "must be one of"),
        (lambda body: body["components"]["u_joint"]["coding"].update(swing=None), "'swing' must be given"),
        (lambda body: body["components"]["u_joint"].update(basis="guess"), "'basis' must be one of"),
        (lambda body: body["components"]["u_joint"].update(lives=-1), "must be a count"),
        (lambda body: body["components"]["u_joint"]["values"].__setitem__(3, "nan"), "finite"),
        (lambda body: body["components"].update(u_joint=7), "an object was expected"),
    ],
)
def test_a_damaged_file_is_refused_in_one_sentence(change, words):
    body = json.loads(model_to_json(MODEL))
    change(body)
    with pytest.raises(ModelError, match=words) as caught:
        model_from_json(json.dumps(body), name="m.json")
    assert "m.json" in str(caught.value)
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize("text", ["", "{", "[" * 100_000, "[1]", '"x"'])
def test_what_is_no_model_is_refused(text):
    with pytest.raises(ModelError):
        model_from_json(text)


def test_missing_and_unwritable_files(tmp_path):
    with pytest.raises(ModelError, match="cannot be read"):
        read_model(tmp_path / "none.json")
    with pytest.raises(OutputError, match="cannot be written"):
        write_model(MODEL, tmp_path / "no" / "model.json")

"""Every field of a model file changed in turn: one sentence, or a model whose every answer is still a number."""

import copy
import json
import math
import warnings
from dataclasses import replace

import numpy as np
import pytest

from wearmodel.cli import main
from wearmodel.errors import ModelError
from wearmodel.survival.coding import Coding, GroupLevels, SwingMix
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
from wearmodel.survival.store import model_from_json, model_to_json

CODING = Coding(
    duties=("road", "site"),
    duty_weights=(0.75, 0.25),
    height="log_angle",
    height_centre=math.log(2.0),
    lifts=(0.0, 50.0),
    swing=SwingMix(angles=(2.0, 3.0), lengths=(1000.0, math.inf), weights=(0.5, 0.4)),
    fixed_share=0.1,
    groups=(GroupLevels("class", ("truck", "van"), (0.6, 0.4)),),
    duty_height=0.2,
)
VALUES = (math.log(150_000.0), -0.4, 0.2, 0.1, 0.05, -0.6, math.log(2.5))
COMPONENT = ComponentModel(
    component="u_joint", label="Universal joint", clock="km", basis="fitted", values=VALUES,
    covariance=tuple(tuple(row) for row in (0.01 * np.eye(7)).tolist()), coding=CODING, lives=100, failures=40,
    vehicles=30, log_likelihood=-400.0, converged=True, note="Rests on 40 failures.", frailty_variance=0.4,
    frailty_covariance=(0.0,) * 7 + (0.09,), own_share=(1.0,) * 7, prior_precision=(0.0,) * 7,
    dated_values=VALUES, dated_failures=20, day_counts=0.0,
)  # fmt: skip
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
BODY = json.loads(model_to_json(MODEL))
REMOVED = object()
INSTEAD = [
    REMOVED, None, True, "", "x", "nan", "inf", "-inf", "\ud800", "a\x00b\n", "=1+1", "y" * 10_000, -1, 0, 1, 7.5,
    -1e-9, 1e9, 1e300, -1e300, 10**400, [], [1], ["a", "a"], [[]], {}, {"a": 1},
]  # fmt: skip


def fields(body, path=()):
    """Path of everything in a JSON value."""
    items = body.items() if isinstance(body, dict) else enumerate(body) if isinstance(body, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from fields(value, (*path, key))


def tampered(path, value):
    body = copy.deepcopy(BODY)
    place = body
    for key in path[:-1]:
        place = place[key]
    if value is REMOVED:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return json.dumps(body)


def use(model):
    """Ask a model what the plan and the workbook functions ask of it; every answer is a number."""
    for own in model.components.values():
        for duty in (*own.coding.duties, "fleet"):
            for lift in (0.0, 50.0):
                assert 0.0 < law(own, duty=duty, lift=lift).scale < math.inf
                band = survival_band(own, [0.0, 1e4, 1e5, 1e6], duty=duty, lift=lift)
                for curve in (band.low, band.estimate, band.high):
                    assert ((curve >= 0.0) & (curve <= 1.0)).all()
                assert life_band(own, fraction=0.1, duty=duty, lift=lift).estimate > 0.0
        assert life_ratio_band(own, lift=50.0).estimate > 0.0
        drawn = parameter_draws(own, draws=5, rng=np.random.default_rng(1))
        assert np.isfinite(drawn).all()
    text = model_to_json(model)
    assert model_to_json(model_from_json(text)) == text


PATHS = sorted(fields(BODY), key=str)


def test_the_model_is_sound():
    assert model_from_json(json.dumps(BODY)) == MODEL
    assert len(PATHS) > 100
    use(MODEL)
    use(replace(MODEL, components={"u_joint": replace(COMPONENT, frailty_variance=0.0, frailty_covariance=())}))


@pytest.mark.parametrize("path", PATHS, ids=lambda path: ".".join(map(str, path)))
def test_every_field_changed(path):
    refused = 0
    for value in INSTEAD:
        try:
            model = model_from_json(tampered(path, value), name="m.json")
        except ModelError as error:
            (sentence,) = error.problems
            assert "m.json" in sentence and sentence.isprintable() and len(sentence) < 400
            refused += 1
            continue
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RuntimeWarning)
            use(model)
    assert refused >= 5, "hardly anything is checked here"


@pytest.mark.parametrize(
    "path", [("components", "u_joint", "values", 0), ("as_of",), ("costs", "u_joint", "failed"), ("schema",)]
)
def test_at_the_command_line(path, tmp_path, capsys):
    """Exit 2 and one sentence, before anything is read of the fleet."""
    (tmp_path / "m.json").write_text(tampered(path, "inf"), encoding="utf-8")
    out = tmp_path / "p.xlsx"
    assert main(["plan", str(tmp_path), "--model", str(tmp_path / "m.json"), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and "m.json" in said.err and not out.exists()

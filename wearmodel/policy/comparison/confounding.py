"""Why a crude comparison differs: what sets raised and factory-height vehicles apart beside their height."""

import math
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.model import ComponentModel

__all__ = ["told_why"]

Array = NDArray[Any]
_WORDS = {
    "duty": "duty",
    "class": "vehicle class",
    "place": "place of the parts",
    "make": "part number",
    "build": "build of the parts",
    "greasing": "greasing",
    "height": "joint angles at factory height",
}
#: Factors nearer to 1 than this are not worth a word.
_LEAST_FACTOR = 0.02


def told_why(
    model: ComponentModel, *, pieces: pd.DataFrame, inside: Array, traits: pd.DataFrame, crude: float
) -> str:
    """One sentence on why the crude life ratio differs from the adjusted one.

    Parameters
    ----------
    model : ComponentModel
        Life model of the component.
    pieces : pandas.DataFrame
        Segments of its lives: `life, duty, level, distance`.
    inside : ndarray of bool
        Segments on the raised side.
    traits : pandas.DataFrame
        Row by row for the lives.
    crude : float
        The crude ratio.

    Returns
    -------
    str
        By how much each kind of difference alone makes parts on the raised vehicles last longer or shorter, had all
        stood at factory height; empty where nothing can be said.
    """
    distance = pieces["distance"].to_numpy(dtype=float)
    raised, factory = distance * inside, distance * (pieces["level"] == 0).to_numpy()
    if not (math.isfinite(crude) and raised.sum() > 0 and factory.sum() > 0):
        return ""
    rows = build_segment_design(
        model.coding, lift=np.zeros(len(pieces)), traits=traits.iloc[pieces["life"].to_numpy()]
    )
    apart = (raised / raised.sum() - factory / factory.sum()) @ rows
    effects = apart * np.array(model.values[:-1])
    factors = {kind: math.exp(float(effects[columns].sum())) for kind, columns in _kinds(model).items()}
    told = sorted((k for k in factors if abs(math.log(factors[k])) >= _LEAST_FACTOR), key=lambda k: factors[k])
    if not told:
        return f"Crude {crude:.2f}: raised and factory-height vehicles hardly differ in what the model allows for."
    parts = [f"{factors[kind]:.2f} times as long because of their {_WORDS[kind]}" for kind in told]
    if "duty" in told:
        parts[told.index("duty")] += f" ({_most_apart(pieces, raised, factory)})"
    return f"Crude {crude:.2f}: even at factory height parts on the raised vehicles would last {', '.join(parts)}."


def _kinds(model: ComponentModel) -> dict[str, list[int]]:
    """Columns of each kind of covariate."""
    kinds: dict[str, list[int]] = {}
    for column, name in enumerate(model.coding.names):
        kind = name.partition(":")[0]
        if kind in ("fixed_position", "duty_height", model.coding.height):
            kind = "height"
        if kind in _WORDS:
            kinds.setdefault(kind, []).append(column)
    return kinds


def _most_apart(pieces: pd.DataFrame, raised: Array, factory: Array) -> str:
    """The duty whose share differs most."""
    shares = pd.DataFrame({"raised": raised / raised.sum(), "factory": factory / factory.sum()})
    by_duty = shares.groupby(pieces["duty"].to_numpy()).sum()
    most = by_duty.iloc[int(np.argmax((by_duty["raised"] - by_duty["factory"]).abs()))]
    return f"{most.name} {most['raised']:.0%} of the distance against {most['factory']:.0%}"

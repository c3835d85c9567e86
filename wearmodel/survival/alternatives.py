"""The curve as it is used beside the plain one: lives of known age alone, vehicles taken as alike."""

import math

import numpy as np
import pandas as pd

from wearmodel.survival.coding import design_row
from wearmodel.survival.model import ComponentModel, LifeModel
from wearmodel.survival.weibull import life_at

__all__ = ["ANALYSES", "build_alternatives"]

#: Words of the column `analysis`.
ANALYSES = ("as used", "known ages alone, vehicles alike")
_COLUMNS = ["component", "analysis", "failures", "shape", "b10", "median", "height_effect", "frailty_variance"]


def build_alternatives(model: LifeModel) -> pd.DataFrame:
    """Table `alternatives`.

    Parameters
    ----------
    model : LifeModel
        Life models.

    Returns
    -------
    pandas.DataFrame
        Columns `component, analysis, failures, shape, b10, median, height_effect, frailty_variance`, two rows a
        component with a curve of its own and failures enough at known ages: the curve as it is used, and the plain
        analysis. B10 and median [distance] are over the fleet's mix at factory height, of a part on a vehicle taken at
        random; `height_effect` is the coefficient of the height value in the log scale, blank without one.
    """
    rows = []
    for code, own in model.components.items():
        if own.basis != "fitted" or not own.dated_values:
            continue
        for analysis, values, failures, variance in (
            (ANALYSES[0], own.values, own.failures, own.frailty_variance),
            (ANALYSES[1], own.dated_values, own.dated_failures, 0.0),
        ):
            lives = (_life(own, values, fraction, variance) for fraction in (0.1, 0.5))
            height = math.nan if own.coding.height == "none" else values[-2]
            rows.append((code, analysis, failures, math.exp(values[-1]), *lives, height, variance))
    return pd.DataFrame(rows, columns=_COLUMNS)


def _life(own: ComponentModel, values: tuple[float, ...], fraction: float, variance: float) -> float:
    """Distance by which a fraction has failed, over the fleet's mix at factory height."""
    scale = math.exp(float(design_row(own.coding) @ np.array(values[:-1])))
    return float(life_at(fraction, shape=math.exp(values[-1]), scale=scale, variance=variance))

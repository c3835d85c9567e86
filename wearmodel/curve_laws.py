"""The laws behind the curves: the table `laws`, from which a spreadsheet looks up lives and chances itself."""

import numpy as np
import pandas as pd

from wearmodel.survival.coding import FLEET_MIX
from wearmodel.survival.model import LifeModel, law, law_covariance

__all__ = ["LAW_COVARIANCES", "build_laws"]

#: Columns of the covariance of log scale, log shape and log variance of the frailty, row by row from the diagonal on.
LAW_COVARIANCES = (
    "scale_scale", "scale_shape", "scale_frailty", "shape_shape", "shape_frailty", "frailty_frailty",
)  # fmt: skip


def build_laws(model: LifeModel, levels: tuple[float, ...]) -> pd.DataFrame:
    """Table `laws`: the law behind each curve of the table `curves`.

    Parameters
    ----------
    model : LifeModel
        Life models.
    levels : tuple of float
        Lift levels [mm].

    Returns
    -------
    pandas.DataFrame
        Columns `component, duty, lift, shape, scale, frailty_variance`: Weibull shape [-] and scale [distance] of a
        vehicle with frailty 1, and the variance of the frailty [-]; then `LAW_COVARIANCES` [-].
    """
    rows = []
    for code, own in model.components.items():
        if own.basis == "bound only":
            continue
        for duty in (FLEET_MIX, *own.coding.duties):
            for lift in levels if own.coding.height != "none" else (0.0,):
                point = law(own, duty=duty, lift=lift)
                upper = law_covariance(own, duty=duty, lift=lift)[np.triu_indices(3)]
                rows.append((code, duty, lift, point.shape, point.scale, point.variance, *upper.tolist()))
    names = ["component", "duty", "lift", "shape", "scale", "frailty_variance", *LAW_COVARIANCES]
    return pd.DataFrame(rows, columns=names)

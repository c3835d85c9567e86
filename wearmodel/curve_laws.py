"""The laws behind the curves: the table `laws`, from which a spreadsheet looks up lives and chances itself."""

import pandas as pd

from wearmodel.survival.coding import FLEET_MIX
from wearmodel.survival.model import LifeModel, law

__all__ = ["build_laws"]


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
        vehicle with frailty 1, and the variance of the frailty [-].
    """
    rows = []
    for code, own in model.components.items():
        if own.basis == "bound only":
            continue
        for duty in (FLEET_MIX, *own.coding.duties):
            for lift in levels if own.coding.height != "none" else (0.0,):
                point = law(own, duty=duty, lift=lift)
                rows.append((code, duty, lift, point.shape, point.scale, point.variance))
    return pd.DataFrame(rows, columns=["component", "duty", "lift", "shape", "scale", "frailty_variance"])

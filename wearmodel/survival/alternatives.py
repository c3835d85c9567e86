"""The curve as it is used beside others: the plain analysis, and other families of life laws."""

import math
from collections.abc import Iterator, Mapping

import numpy as np
import pandas as pd

from wearmodel.survival.coding import design_row
from wearmodel.survival.component_fits import FEWEST_FAILURES
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.families import LOG_LOGISTIC, LOGNORMAL, WEIBULL, Family
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.likelihood import LifeLikelihood
from wearmodel.survival.model import ComponentModel, LifeModel
from wearmodel.survival.weibull import life_at

__all__ = ["ANALYSES", "build_alternatives"]

#: Words of the column `analysis`; the third and fourth are the second with another family.
ANALYSES = (
    "as used",
    "known ages alone, vehicles alike",
    "the same, lognormal",
    "the same, log-logistic",
)
_COLUMNS = [
    *("component", "analysis", "failures", "shape", "b10", "median", "height_effect", "frailty_variance"),
    "log_likelihood",
]
_Row = tuple[str, int, float, float, float, float, float, float]


def build_alternatives(model: LifeModel, coded: Mapping[str, ComponentLives]) -> pd.DataFrame:
    """Table `alternatives`.

    Parameters
    ----------
    model : LifeModel
        Life models.
    coded : mapping of str to ComponentLives
        The lives they rest on, by component.

    Returns
    -------
    pandas.DataFrame
        Columns `component, analysis, failures, shape, b10, median, height_effect, frailty_variance, log_likelihood`,
        four rows a component with a curve of its own and failures enough at known ages: the curve as it is used, the
        plain analysis, and the plain analysis with lognormal and log-logistic lives. B10 and median [distance] are
        over the fleet's mix at factory height, of a part on a vehicle taken at random; `shape` is 1 over the standard
        deviation of log life for the lognormal, the power of the odds for the log-logistic; `height_effect` is the
        coefficient of the height value in the log scale, blank without one; `log_likelihood` is that of the lives of
        known age, blank for the curve as it is used, which rests on others too.

    Notes
    -----
    Same lives, same covariates, same priors and as many parameters: log-likelihoods of the three families may be set
    against each other as they stand (Cox, Tests of separate families of hypotheses, Berkeley Symposium 4, 1961).
    """
    rows = []
    for code, own in model.components.items():
        if own.basis != "fitted" or not own.dated_values or code not in coded or coded[code].data is None:
            continue
        rows += [(code, *row) for row in _rows(own, coded[code].with_duty_height(own.coding.duty_height))]
    return pd.DataFrame(rows, columns=_COLUMNS)


def _rows(own: ComponentModel, mine: ComponentLives) -> Iterator[_Row]:
    """Rows of one component, in the order of `ANALYSES`."""
    variance = own.frailty_variance
    yield ANALYSES[0], own.failures, *_figures(own, own.values, WEIBULL, variance), variance, math.nan
    plain = np.array(own.dated_values)
    value = LifeLikelihood(mine.dated, WEIBULL)(plain).value
    yield ANALYSES[1], own.dated_failures, *_figures(own, own.dated_values, WEIBULL, 0.0), 0.0, value
    # A model of another fleet may be used on lives of which too few failed to fit anything to them.
    if mine.dated.failures < FEWEST_FAILURES:
        return
    precision = np.array(own.prior_precision[:-1]) if own.prior_precision else np.zeros(len(plain) - 1)
    for name, family in zip(ANALYSES[2:], (LOGNORMAL, LOG_LOGISTIC), strict=True):
        fit = fit_lives(mine.dated, family=family, prior_precision=precision, clustered=False)
        if fit.converged:
            yield name, own.dated_failures, *_figures(own, tuple(fit.values), family, 0.0), 0.0, fit.log_likelihood


def _figures(
    own: ComponentModel, values: tuple[float, ...], family: Family, variance: float
) -> tuple[float, float, float, float]:
    """Shape, B10, median and effect of ride height."""
    height = math.nan if own.coding.height == "none" else values[-2]
    b10, median = (_life(own, values, family, fraction, variance) for fraction in (0.1, 0.5))
    return math.exp(values[-1]), b10, median, height


def _life(own: ComponentModel, values: tuple[float, ...], family: Family, fraction: float, variance: float) -> float:
    """Distance by which a fraction has failed, over the fleet's mix at factory height."""
    log_scale, shape = float(design_row(own.coding) @ np.array(values[:-1])), math.exp(values[-1])
    if family is WEIBULL:
        return float(life_at(fraction, shape=shape, scale=math.exp(log_scale), variance=variance))
    return math.exp(log_scale + family.z_at(fraction) / shape)

"""Cox-Snell residuals: do lives use up their cumulative hazard as the law says?"""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import pandas as pd

from wearmodel.survival.checks.hazards import LifeHazards
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.nonparametric import nonparametric_curve

__all__ = ["FarthestOff", "farthest_off", "residual_curve"]

#: A step of the curve says something where it stands on about this many failures and lives.
_FEWEST = 5.0
#: Beyond, where all but 1 in 50 of the record's parts have failed, its curve rests on how the last ones happen to end.
_LARGEST_HAZARD = 3.9


@dataclass(frozen=True)
class FarthestOff:
    """Where residuals leave the line of equality farthest.

    Parameters
    ----------
    residual : float
        Place on the line: the cumulative hazard that the model has there; NaN where nothing can be said.
    seen : float
        Cumulative hazard that was seen there.
    errors : float
        Standard errors of the log cumulative hazard between the two, above (+) or below (-) the line.
    """

    residual: float
    seen: float
    errors: float


def residual_curve(hazards: LifeHazards, data: LifeData, *, confidence: float = 0.9) -> pd.DataFrame:
    """The residuals' own cumulative hazard, to be laid beside the line of equality.

    Parameters
    ----------
    hazards : LifeHazards
        Of the lives under the model.
    data : LifeData
        The lives.
    confidence : float
        Of the pointwise band, two-sided.

    Returns
    -------
    pandas.DataFrame
        `residual, cumulative_hazard, lower, upper, lives` (weight at risk), a step at each failure.

    Notes
    -----
    The residual of a life is the cumulative hazard it ran between entry and end, an interval where the failure is
    known to one. Under the right law residuals are exponential with mean 1, censored as the lives are, so that
    their Nelson-Aalen (with intervals: Turnbull) cumulative hazard follows the residual itself (Cox & Snell,
    Journal of the Royal Statistical Society B 30, 1968; Klein & Moeschberger, Survival Analysis, 2nd ed. 2003, sec.
    11.2).
    """
    failed = data.exact | data.interval
    frame = pd.DataFrame(
        {
            "entry": 0.0,
            "stop_low": hazards.low - hazards.entry,
            "stop_high": np.where(failed, hazards.high - hazards.entry, np.inf),
            "weight": data.weight,
        }
    )
    curve = nonparametric_curve(frame, confidence=confidence)
    run = -np.log(curve[["survival", "upper", "lower"]].to_numpy(dtype=float))
    return pd.DataFrame(
        {
            "residual": curve["distance"], "cumulative_hazard": run[:, 0], "lower": run[:, 1], "upper": run[:, 2],
            "lives": curve["at_risk"],
        }
    )  # fmt: skip


def farthest_off(curve: pd.DataFrame, *, confidence: float = 0.9) -> FarthestOff:
    """Where the residuals leave the line of equality farthest.

    Parameters
    ----------
    curve : pandas.DataFrame
        From `residual_curve`.
    confidence : float
        That the curve was made with.

    Returns
    -------
    FarthestOff
        Only steps with five lives at risk and an error no larger than that of five failures count.
    """
    half = NormalDist().inv_cdf(0.5 + confidence / 2.0)
    known = curve[(curve["cumulative_hazard"] > 0) & (curve["residual"] > 0) & (curve["lives"] >= _FEWEST)]
    line, seen, upper = (known[name].to_numpy(dtype=float) for name in ("residual", "cumulative_hazard", "upper"))
    error = np.log(upper / seen) / half
    used = (error <= _FEWEST**-0.5) & (seen <= _LARGEST_HAZARD)
    if not used.any():
        return FarthestOff(math.nan, math.nan, 0.0)
    off = np.log(seen[used] / line[used]) / error[used]
    at = int(np.abs(off).argmax())
    return FarthestOff(float(line[used][at]), float(seen[used][at]), float(off[at]))

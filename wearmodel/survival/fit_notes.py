"""What a life model rests on, counted and in plain words."""

import math
from dataclasses import dataclass

import numpy as np

from wearmodel.survival.life_data import LifeData
from wearmodel.survival.unknown_ages.lives import UnknownAges

__all__ = ["FitCounts", "count_lives", "counted", "fit_note"]

#: A failure that could be about several positions names a vehicle where it is at least this likely.
_LIKELY = 0.5
#: Frailty variance from which a reader is told that vehicles wear unlike.
_WORTH_SAYING = 0.05


@dataclass(frozen=True)
class FitCounts:
    """What a fit rests on; of several lives of which one is true each counts in part.

    Parameters
    ----------
    lives, undated, failures : int
        Lives, those of them that began before the record, and failures.
    vehicles, failing : int
        Vehicles with a life, and with a failure.
    """

    lives: int
    undated: int
    failures: int
    vehicles: int
    failing: int


def count_lives(dated: LifeData, undated: UnknownAges) -> FitCounts:
    """Count what a fit rests on.

    Parameters
    ----------
    dated : LifeData
        Lives of known age.
    undated : UnknownAges
        Lives of unknown age.

    Returns
    -------
    FitCounts
        Whole numbers.
    """
    sets: list[LifeData | UnknownAges] = [dated, undated]
    vehicles = np.concatenate([one.cluster for one in sets])
    likely = np.concatenate([(one.exact | one.interval) & (one.weight >= _LIKELY) for one in sets])
    return FitCounts(
        lives=round(sum(float(one.weight.sum()) for one in sets)),
        undated=round(float(undated.weight.sum())),
        failures=round(sum(one.failures for one in sets)),
        vehicles=len(np.unique(vehicles)),
        failing=len(np.unique(vehicles[likely])),
    )


def counted(count: int, one: str, many: str) -> str:
    """A count with its noun.

    Parameters
    ----------
    count : int
        How many.
    one, many : str
        The noun for 1 and for other counts.

    Returns
    -------
    str
        `1 vehicle`, `2 vehicles`.
    """
    return f"{count} {one if count == 1 else many}"


def fit_note(counts: FitCounts, *, variance: float, by_duty: bool, converged: bool) -> str:
    """What a curve rests on, in plain words.

    Parameters
    ----------
    counts : FitCounts
        What the fit rests on.
    variance : float
        Of the frailty over vehicles [-].
    by_duty : bool
        Whether the effect of ride height differs by duty.
    converged : bool
        Whether the fit did.

    Returns
    -------
    str
        A few sentences.
    """
    failing = counted(counts.failing, "vehicle", "vehicles")
    note = f"Rests on {counts.failures} failures among {counts.lives} lives, on {failing}"
    note += f"; {counts.undated} of the lives began before the record. " if counts.undated else ". "
    if variance >= _WORTH_SAYING:
        faster = math.exp(1.2816 * math.sqrt(math.log1p(variance)) - 0.5 * math.log1p(variance))
        note += f"Vehicles wear unlike: one in ten has more than about {faster:.1f} times the failure rate. "
    if by_duty:
        note += "Ride height changes life more in some duties than in others. "
    if not converged:
        note += "The fit did not converge cleanly: treat it as a guide only."
    return note.rstrip()

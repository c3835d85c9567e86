"""Part numbers and fitting months with more early failures than their exposure explains."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.checks.hazards import expected_failures, life_hazards
from wearmodel.survival.comebacks import chance_of_so_many
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel

__all__ = ["EARLY_SHARE", "early_failures_by_group"]

Array = NDArray[Any]
#: A failure is early before the age at which such a share of parts has failed by the curve.
EARLY_SHARE = 0.1
#: Smaller groups are not looked at; a sum of chances that make up five lives may round to just below five.
_FEWEST_FITTINGS = 5.0 - 1e-9


def early_failures_by_group(
    model: ComponentModel, data: LifeData, *, rates: Array, groups: Mapping[str, Array]
) -> pd.DataFrame:
    """Early failures of each group of fittings beside what the curve expects of them.

    Parameters
    ----------
    model : ComponentModel
        Life model of the component.
    data : LifeData
        Lives of known age, coded for it.
    rates : ndarray, shape (n_vehicles,)
        Expected frailty of each vehicle.
    groups : mapping of str to ndarray of str, shape (n_lives,)
        Kind of group -> group of each life; empty where it is in none.

    Returns
    -------
    pandas.DataFrame
        Columns `group, value, fittings` (lives under observation at an early age)`, early_failures, expected, chance`
        (of so many or more); groups of fewer than five fittings are left out.

    Notes
    -----
    Each life is expected to fail by the cumulative hazard it ran at early ages while under observation, at its own
    duty, ride height and vehicle; what the model makes of part numbers is left out, or a bad one would be expected to
    be bad. Where the fittings of all other groups failed early oftener than the curve expects, as much more is expected
    of this one. Counts are taken as Poisson, which makes the chance no smaller than it is.
    """
    weight = data.weight
    seen, expected = _counts(model, _without_makes(model, data), rates)
    at_risk = expected > 0
    all_seen, all_expected = float(weight @ seen), float(weight @ expected)
    rows = []
    for kind, names in groups.items():
        codes, values = pd.factorize(pd.Series(names), sort=True)
        sums = [np.bincount(codes, weights=weight * part) for part in (at_risk, seen, expected)]
        for value, fittings, failed, mean in zip(values, *sums, strict=True):
            if not value or fittings < _FEWEST_FITTINGS:
                continue
            rest = all_expected - mean
            beyond = max((all_seen - failed) / rest, 1.0) if rest > 0 else 1.0
            rows.append((kind, str(value), float(fittings), float(failed), float(mean * beyond)))
    table = pd.DataFrame(rows, columns=["group", "value", "fittings", "early_failures", "expected"])
    chances = chance_of_so_many(table["early_failures"].to_numpy(float), table["expected"].to_numpy(float))
    return table.assign(chance=chances)


def _without_makes(model: ComponentModel, data: LifeData) -> LifeData:
    """The lives coded as if every part were of the fleet's mix of part numbers."""
    design = data.design.copy()
    names = list(model.coding.names)
    for group in model.coding.groups:
        if group.kind == "make":
            design[:, [names.index(name) for name in group.names]] = group.shares[1:]
    return replace(data, design=design)


def _counts(model: ComponentModel, data: LifeData, rates: Array) -> "tuple[Array, Array]":
    """Early failures of each life, seen and expected while it was early and under observation."""
    hazards = life_hazards(model, data, rates=rates)
    limit = -np.log1p(-EARLY_SHARE)
    failed = (data.exact | data.interval) & (hazards.high <= limit)
    whole = expected_failures(hazards, data)
    # A failure that may lie on either side of the limit counts as running at its last good look.
    run = np.maximum(np.minimum(hazards.low, limit) - np.minimum(hazards.entry, limit), 0.0)
    return failed.astype(float), np.where(failed, whole, run)

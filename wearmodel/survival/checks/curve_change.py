"""Whether a life curve moved since an earlier model of the same fleet."""

import math
from collections.abc import Mapping
from dataclasses import replace
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
from scipy import stats

from wearmodel.survival.checks.chances import adjusted_chances
from wearmodel.survival.coding import Coding, GroupLevels
from wearmodel.survival.model import ComponentModel, life_band

__all__ = ["FALSE_ALARMS", "FEWEST_FAILURES", "MOVED_COLUMNS", "build_moved_curves"]

#: Share of fleets without any change in which a curve is said to have moved, at most.
FALSE_ALARMS = 0.05
#: With fewer the error of a curve is itself too uncertain for the chance of a change.
FEWEST_FAILURES = 20
MOVED_COLUMNS = (
    *("component", "quantity", "before", "now", "change", "lower", "upper", "chance", "chance_adjusted", "result"),
    *("failures_before", "failures_now", "earlier_as_of", "sentence"),
)
#: Quantity -> share failed.
_QUANTITIES: Mapping[str, float] = {"life at 10 %": 0.1, "median": 0.5}


def build_moved_curves(
    earlier: Mapping[str, ComponentModel], now: Mapping[str, ComponentModel], *, earlier_as_of: str, confidence: float
) -> pd.DataFrame:
    """Table `moved_curves`.

    Parameters
    ----------
    earlier, now : mapping of str to ComponentModel
        Models by component; today's record holds the earlier one and what came since.
    earlier_as_of : str
        End of the record of the earlier models.
    confidence : float
        Of the interval of the change, two-sided.

    Returns
    -------
    pandas.DataFrame
        One row a component and quantity (life at 10 %, median): both lives, of a fresh part on a vehicle taken at
        random in today's mix of work at factory height, `change` (now over before, less 1) with its interval, the
        chance of so great a change were nothing changed, that chance among all rows (`chance_adjusted`), `result`
        (`moved`, `as before` or `cannot be told`) and a sentence.

    Notes
    -----
    The two estimates share the earlier record. Of two efficient estimates, the one on part of the other's data, the
    difference does not depend on the better one, so that its variance is that of the first less that of the second
    (Hausman, Specification tests in econometrics, Econometrica 46, 1978, corollary 2.6). As both variances are
    themselves estimates, it is taken to be no less than the share of the failures that came since leaves of the first,
    and the difference by Student's law, with the vehicles behind the earlier curve less 1 as degrees of freedom.
    """
    rows = []
    for code, mine in now.items():
        before = earlier.get(code)
        problem = _problem(before, mine)
        if before is None or problem:
            rows.append(_untold(code, before, mine, earlier_as_of, problem))
            continue
        rows += [
            _row(_at_mix_of(before, mine.coding), mine, quantity, fraction, earlier_as_of, confidence)
            for quantity, fraction in _QUANTITIES.items()
        ]
    table = pd.DataFrame(rows, columns=list(MOVED_COLUMNS))
    table["chance_adjusted"] = adjusted_chances(table["chance"].to_numpy(dtype=float))
    told = table["chance"].notna()
    moved = told & (table["chance_adjusted"] < FALSE_ALARMS)
    table.loc[told, "result"] = np.where(moved[told], "moved", "as before")
    table.loc[told, "sentence"] = [
        _sentence(row, bool(is_moved), mine.clock)
        for (_, row), is_moved, mine in zip(
            table[told].iterrows(), moved[told], table.loc[told, "component"].map(now), strict=True
        )
    ]
    return table


def _problem(before: ComponentModel | None, now: ComponentModel) -> str:
    """Why the two cannot be compared; empty where they can."""
    if before is None:
        return "the earlier model has no such component"
    if before.basis != "fitted" or now.basis != "fitted":
        return f"too few failures for a curve of its own {'then' if before.basis != 'fitted' else 'now'}"
    if before.failures < FEWEST_FAILURES:
        return f"it rested on {before.failures} failures, and a fair comparison needs {FEWEST_FAILURES}"
    if before.clock != now.clock or before.ages_by != now.ages_by:
        return "its ages were counted by another clock then"
    return ""


def _untold(
    code: str, before: ComponentModel | None, now: ComponentModel, earlier_as_of: str, problem: str
) -> tuple[object, ...]:
    failures = math.nan if before is None else before.failures
    blank = (math.nan,) * 7
    sentence = f"Cannot be compared with the model of {earlier_as_of}: {problem}."
    return (code, "", *blank, "cannot be told", failures, now.failures, earlier_as_of, sentence)


def _at_mix_of(model: ComponentModel, now: Coding) -> ComponentModel:
    """An earlier model told at today's mix of duties and groups, where it knows the same ones."""
    coding = model.coding
    weights = dict(zip(now.duties, now.duty_weights, strict=True))
    if set(weights) == set(coding.duties):
        coding = replace(coding, duty_weights=tuple(weights[duty] for duty in coding.duties))
    today = {group.kind: dict(zip(group.levels, group.shares, strict=True)) for group in now.groups}
    groups = tuple(_with_shares(group, today.get(group.kind, {})) for group in coding.groups)
    return replace(model, coding=replace(coding, groups=groups, swing=now.swing or coding.swing, lifts=now.lifts)) if (
        coding.height == now.height
    ) else replace(model, coding=replace(coding, groups=groups))  # fmt: skip


def _with_shares(group: GroupLevels, today: Mapping[str, float]) -> GroupLevels:
    if set(group.levels) != set(today):
        return group
    return replace(group, shares=tuple(today[level] for level in group.levels))


def _row(
    before: ComponentModel, now: ComponentModel, quantity: str, fraction: float, earlier_as_of: str, confidence: float
) -> tuple[object, ...]:
    """Both lives and the chance of their difference."""
    half = NormalDist().inv_cdf(0.5 + confidence / 2.0)
    lives, errors = [], []
    for model in (before, now):
        band = life_band(model, fraction=fraction, confidence=confidence)
        lives.append(float(band.estimate))
        errors.append(math.log(float(band.high) / float(band.low)) / (2.0 * half))
    came = max(now.failures - before.failures, 1) / max(now.failures, before.failures)
    error = math.sqrt(max(errors[0] ** 2 - errors[1] ** 2, errors[0] ** 2 * came))
    change = math.log(lives[1] / lives[0])
    # The error is itself an estimate, over as many vehicles.
    law = stats.t(max(before.vehicles - 1, 1))
    chance = 2.0 * float(law.sf(abs(change) / error))
    reach = float(law.ppf(0.5 + confidence / 2.0)) * error
    shown = [math.expm1(change + step * reach) for step in (0, -1, 1)]
    counts = (before.failures, now.failures, earlier_as_of)
    return (before.component, quantity, *lives, *shown, chance, math.nan, "", *counts, "")


def _sentence(row: "pd.Series[Any]", moved: bool, clock: str) -> str:
    """What a row says."""
    word = "longer" if row["change"] > 0 else "shorter"
    what = "1 in 10 fails by" if row["quantity"] == "life at 10 %" else "half fail by"
    text = (
        f"{what[0].upper()}{what[1:]} {row['now']:,.0f} {clock}; by the model of {row['earlier_as_of']} it was "
        f"{row['before']:,.0f}, {abs(row['change']):.0%} {word} now"
    )
    if not moved:
        return f"{text}: no more than what the new lines may bring by chance."
    return f"{text}: more than chance explains; look for what changed in parts, work or the record."

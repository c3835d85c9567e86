"""Comebacks: fittings that did not hold, as a share of fittings within an early window."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import special

from wearmodel.frame_rows import frame_rows
from wearmodel.history.histories import Histories
from wearmodel.processes import each
from wearmodel.survival.life_chances import life_log_likelihoods
from wearmodel.survival.model import ComponentModel

__all__ = ["ALL_PARTS", "build_comebacks", "chance_beside_others", "chance_of_so_many", "share_interval"]

Array = NDArray[Any]

#: Row of all part numbers of a component together, and of fittings whose line named no part.
ALL_PARTS = "all"
_NO_NUMBER = "not stated"
#: What had less chance than this is called more than chance explains.
_LEAST_CHANCE = 0.05
_COLUMNS = (
    *("component", "part_number", "fittings", "comebacks", "share", "lower", "upper", "fleet_share", "part_chance"),
    *("early_failures", "expected_early", "early_chance", "window_days", "sentence"),
)


def build_comebacks(
    histories: Histories,
    *,
    models: Mapping[str, ComponentModel],
    traits: pd.DataFrame,
    days: float,
    confidence: float = 0.9,
) -> pd.DataFrame:
    """Table `comebacks`: by component and part number, how many fittings came back early.

    Parameters
    ----------
    histories : Histories
        Lives, events, windows and curves.
    models : mapping of str to ComponentModel
        Life models; they tell how many parts fail that early by wear alone.
    traits : pandas.DataFrame
        Row by row for the lives, from `wearmodel.survival.covariates.build_traits`.
    days : float
        The early window, from fitting [d].
    confidence : float
        Of the interval of a share, two-sided.

    Returns
    -------
    pandas.DataFrame
        Columns `component, part_number, fittings, comebacks, share, lower, upper, fleet_share, part_chance,
        early_failures, expected_early, early_chance, window_days, sentence`; the row `all` of a component comes
        first. `comebacks` have that reason on record; `early_failures` failed or were found worn in the window
        without it; `expected_early` is how many the life curve lets expect (NaN without a curve) and
        `early_chance` the chance of so many or more; `fleet_share` is the share of the component's row `all`, and
        `part_chance` the chance of so many comebacks among its fittings of this part if all were alike.

    Notes
    -----
    A fitting counts when its line is on record and its vehicle was under observation for the whole window after
    it, whatever became of the part: so each counts with its outcome known, and the share is that of a binomial
    draw. To count the newest fittings only where they came back already would overstate it. The part number is that
    of the line that fitted the part, a kit's where it came in a kit. Lines that could be about several positions
    count for their chance. Expected early failures are the life curve's cumulative hazard over the distance each
    fitting ran in the window; so many or more have the chance of a Poisson count.
    """
    fittings = _fittings(histories, days)
    if fittings.empty:
        return pd.DataFrame(columns=list(_COLUMNS))
    fittings["hazard"] = _hazards(fittings, histories, models=models, traits=traits)
    table = _shares(fittings, confidence)
    table["early_chance"] = chance_of_so_many(table["early_failures"].to_numpy(), table["expected_early"].to_numpy())
    table["window_days"] = days
    # Many part numbers are looked at: one of them stands out by chance more easily than one alone.
    looked_at = max(int(table["part_chance"].notna().sum()), 1)
    table["sentence"] = [_sentence(row, looked_at) for row in frame_rows(table)]
    return table[list(_COLUMNS)]


def _shares(fittings: pd.DataFrame, confidence: float) -> pd.DataFrame:
    """Counts and shares of each component, then of its part numbers if it has several."""
    frames = []
    for code, mine in fittings.groupby("component"):
        whole = _counts(mine, by="component").assign(part_number=ALL_PARTS)
        parts = _counts(mine, by="part_number").assign(component=code)
        among, of = float(whole["comebacks"].iloc[0]), float(whole["fittings"].iloc[0])
        chances = chance_beside_others(parts["comebacks"].to_numpy(), parts["fittings"].to_numpy(), among=among, of=of)
        shown = [whole.assign(part_chance=np.nan)]
        shown += [parts.assign(part_chance=chances)] if len(parts) > 1 else []
        frames.append(pd.concat(shown).assign(fleet_share=among / of))
    table = pd.concat(frames, ignore_index=True)
    came, fitted = table["comebacks"].to_numpy(), table["fittings"].to_numpy()
    lower, upper = share_interval(came, fitted, confidence=confidence)
    return table.assign(share=came / fitted, lower=lower, upper=upper)


def share_interval(count: Array, total: Array, *, confidence: float) -> tuple[Array, Array]:
    """Exact interval of a share.

    Parameters
    ----------
    count, total : ndarray, shape (n_rows,)
        How many of how many; they need not be whole where chances are summed.
    confidence : float
        Two-sided, between 0 and 1.

    Returns
    -------
    tuple of ndarray
        Lower and upper limit, 0 to 1.

    References
    ----------
    Clopper & Pearson (1934), Biometrika 26, 404-413, by quantiles of the beta distribution.
    """
    tail = (1.0 - confidence) / 2.0
    rest = np.maximum(total - count, 0.0)
    some, not_all = count > 0, rest > 0
    lower = np.where(some, special.betaincinv(np.where(some, count, 1.0), rest + 1.0, tail), 0.0)
    upper = np.where(not_all, special.betaincinv(count + 1.0, np.where(not_all, rest, 1.0), 1.0 - tail), 1.0)
    return lower, upper


def chance_of_so_many(count: Array, expected: Array) -> Array:
    """Chance that a Poisson count is so high or higher.

    Parameters
    ----------
    count : ndarray, shape (n_rows,)
        What was seen; need not be whole.
    expected : ndarray, shape (n_rows,)
        Mean; NaN where it is not known.

    Returns
    -------
    ndarray, shape (n_rows,)
        1 for a count of 0; NaN where the mean is.
    """
    known = np.isfinite(expected)
    tail = special.gammainc(np.maximum(count, 1e-12), np.where(known, expected, 1.0))
    return np.where(known, np.where(count > 0, tail, 1.0), np.nan)


def chance_beside_others(count: Array, total: Array, *, among: float, of: float) -> Array:
    """Chance that so many or more of all comebacks fall on one part number, were all part numbers alike.

    Parameters
    ----------
    count, total : ndarray, shape (n_parts,)
        Comebacks and fittings of each part number.
    among, of : float
        Comebacks and fittings of all part numbers together.

    Returns
    -------
    ndarray, shape (n_parts,)
        Fisher's exact test, one-sided; sums of chances are rounded to whole counts.

    References
    ----------
    Fisher, Statistical Methods for Research Workers, 5th ed. 1934, sec. 21.02.
    """
    came, fitted = round(among), round(of)
    hits = np.arange(came + 1)
    out = []
    for seen, own in zip(np.round(count), np.round(total), strict=True):
        possible = hits[(hits >= seen) & (hits <= own) & (came - hits <= fitted - own)]
        ways = _log_choose(own, possible) + _log_choose(fitted - own, came - possible) - _log_choose(fitted, came)
        out.append(min(float(np.exp(ways).sum()), 1.0))
    return np.array(out)


def _log_choose(n: float, k: Any) -> Any:
    """Logarithm of the number of ways to choose k of n."""
    return special.gammaln(n + 1.0) - special.gammaln(np.asarray(k) + 1.0) - special.gammaln(n - np.asarray(k) + 1.0)


def _fittings(histories: Histories, days: float) -> pd.DataFrame:
    """Fittings whose first days were all under observation, one row each, with what became of them."""
    lives, windows = histories.lives, histories.windows
    vehicle = lives["vehicle"].to_numpy()
    on_record = histories.events.frame["reason"].to_numpy(dtype=object)[histories.events.spans["start"]] != ""
    start, end = lives["start_day"].to_numpy(), lives["end_day"].to_numpy()
    watched = (start >= windows["first_day"].to_numpy()[vehicle]) & (
        start + days <= windows["last_day"].to_numpy()[vehicle]
    )
    ended = lives["ended"].to_numpy(dtype=object)
    within = end - start <= days
    # What ended it is not known: a line that could be about other positions.
    lost = within & (ended == "in_service") & ~lives["running"].to_numpy(dtype=bool)
    counts = on_record & watched & ~lost & lives["age_known"].to_numpy(dtype=bool) & (lives["chance"].to_numpy() > 0)
    number = lives["part_number"].where(lives["part_number"] != "", _NO_NUMBER)
    frame = lives.assign(
        life=np.arange(len(lives)),
        part_number=number,
        comeback=within & (ended == "comeback"),
        early=within & np.isin(ended, ["failed", "worn"]),
        until_day=np.minimum(end, start + days),
    )
    return frame[counts].reset_index(drop=True)


def _hazards(
    fittings: pd.DataFrame, histories: Histories, *, models: Mapping[str, ComponentModel], traits: pd.DataFrame
) -> Array:
    """Cumulative hazard of each fitting over what it ran in the window; NaN without a curve."""
    counted = histories.counted_at(fittings, fittings["until_day"].to_numpy(dtype=float))
    distance = counted - fittings["start_odometer"]
    out = np.full(len(fittings), np.nan)
    segments = histories.segments
    rows_of = {
        str(code): rows for code, rows in fittings.groupby("component").indices.items()
        if str(code) in models and models[str(code)].basis != "bound only"
    }  # fmt: skip

    def hazards(code: str) -> Array:
        rows, mine = rows_of[code], fittings.iloc[rows_of[code]]
        pieces = segments[np.isin(segments["life"].to_numpy(), mine["life"])]
        at = pieces["life"].to_numpy()
        return -life_log_likelihoods(
            models[code],
            lives=mine.assign(entry=0.0, stop_low=np.maximum(distance.iloc[rows], 0.0), stop_high=np.inf).reset_index(
                drop=True
            ),
            segments=pieces.assign(life=np.searchsorted(mine["life"].to_numpy(), at)),
            traits=traits.iloc[at],
            other_rate=0.0,
        )

    found = each(hazards, list(rows_of), sizes=[len(rows) for rows in rows_of.values()])
    for rows, mine in zip(rows_of.values(), found, strict=True):
        out[rows] = mine
    return out


def _counts(fittings: pd.DataFrame, *, by: str) -> pd.DataFrame:
    """Sums of chances by one column."""
    chance = fittings["chance"]
    sums = pd.DataFrame(
        {
            by: fittings[by],
            "fittings": chance,
            "comebacks": chance * fittings["comeback"],
            "early_failures": chance * fittings["early"],
            "expected_early": chance * fittings["hazard"],
        }
    )
    return sums.groupby(by).sum(min_count=1).reset_index()


def _figure(count: float) -> str:
    """A count; with a decimal where chances are summed."""
    return f"{count:,.0f}" if abs(count - round(count)) < 0.05 else f"{count:,.1f}"


def _sentence(row: Any, looked_at: int) -> str:
    """What the row says, and where it gives reason to look."""
    text = (
        f"{_figure(row.comebacks)} of {_figure(row.fittings)} fittings came back within {row.window_days:.0f} days "
        f"({row.share:.1%}; {row.lower:.1%} to {row.upper:.1%})."
    )
    if row.part_chance * looked_at < _LEAST_CHANCE:
        text += (
            f" That is more than chance explains beside the {row.fleet_share:.1%} of all part numbers: look at this "
            "part and how it is fitted."
        )
    if row.early_failures < 0.5:
        return text
    text += f" {_figure(row.early_failures)} more failed that early with no comeback on record"
    if np.isnan(row.expected_early):
        return f"{text}."
    text += f", where the life curve lets expect {row.expected_early:.1f}"
    if row.early_chance < _LEAST_CHANCE:
        return f"{text}: more than wear explains, so look whether they are comebacks too."
    return f"{text}: no more than wear explains."

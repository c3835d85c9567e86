"""Duty told by likeness: to the vehicles whose duty is recorded, or to each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri

from wearmodel.intake.learning.duty_measures import MEASURES, DutyMonths
from wearmodel.one_thread import one_thread

__all__ = ["DutyClusters", "DutyLikeness", "fit_duty_clusters", "fit_duty_likeness"]

FloatArray = npt.NDArray[np.float64]
Words = npt.NDArray[np.object_]

_FEWEST_EACH = 5
_LEAST_SURE = 0.8
_LEAST_KNOWN = 0.8
_FOLDS = 5
_MOST_CLUSTERS = 5
_FEWEST_TO_CLUSTER = 20
# Below a mean silhouette of 0.25 no structure worth the name was found: Kaufman and Rousseeuw, Finding Groups in
# Data, 1990, table 4 of chapter 2 (from memory).
_LEAST_SILHOUETTE = 0.25
# An adjusted Rand index below 0.65 is poor agreement: Steinley, Psychological Methods 9 (2004), 386 (from memory).
_LEAST_RAND = 0.65
_SILHOUETTE_SAMPLE = 2_000
# What sets a group apart: standard deviations above the mean of all, and share of the highest group's.
_APART = 0.5
_NEAR_TOP = 0.75


@dataclass(frozen=True, eq=False)
class _WorkScale:
    """Brings the measures that are used to one scale: logarithms of rates and speeds, then mean 0, variance 1."""

    columns: npt.NDArray[np.intp]
    mean: FloatArray
    spread: FloatArray

    def apply(self, measures: FloatArray) -> FloatArray:
        """Scaled measures, shape (n_units, n_columns); NaN where one is not known."""
        return (_logged(measures)[:, self.columns] - self.mean) / self.spread


def _logged(measures: FloatArray) -> FloatArray:
    """Rates and speeds as logarithms; the share as it is."""
    share = list(MEASURES).index("unpaved_share")
    out = np.log1p(measures)
    out[:, share] = measures[:, share]
    return np.asarray(out)


def _fit_scale(measures: FloatArray) -> _WorkScale:
    """The scale of some vehicles, of the measures that most of them have."""
    logged = _logged(measures)
    known = np.isfinite(logged)
    often = known.mean(axis=0) >= _LEAST_KNOWN if len(measures) else np.zeros(measures.shape[1], dtype=bool)
    whole = logged[known[:, often].all(axis=1)] if often.any() else logged[:0]
    if not len(whole):
        return _WorkScale(np.empty(0, dtype=np.intp), np.empty(0), np.empty(0))
    varied = often & (np.ptp(whole, axis=0) > 1e-9)
    return _WorkScale(np.flatnonzero(varied), whole[:, varied].mean(axis=0), whole[:, varied].std(axis=0))


@dataclass(frozen=True, eq=False)
class DutyLikeness:
    """How the recorded words follow from the work.

    Parameters
    ----------
    words : tuple of str
        Words that can be assigned, in alphabetical order.
    vehicles : tuple of int
        Recorded vehicles behind each.
    accuracy : float
        Share of recorded vehicles whose word came back when each fifth of them was kept back.
    sure, sure_accuracy : float
        Share of those kept back that were assigned at all, and share of these that were right.
    """

    words: tuple[str, ...]
    vehicles: tuple[int, ...]
    accuracy: float
    sure: float
    sure_accuracy: float
    _scale: _WorkScale
    _model: "_Nearness"

    def assign(self, measures: FloatArray) -> Words:
        """The recorded word each vehicle's work is like; `unknown` where none is likely enough.

        Parameters
        ----------
        measures : ndarray, shape (n_units, n_measures)
            As of `DutyMonths.measures`.
        """
        return self._model.words_of(self._scale.apply(measures), self.words)


@dataclass(frozen=True, eq=False)
class _Nearness:
    """A logistic regression, and how far from its samples it may be believed."""

    regression: Any
    centres: FloatArray
    spread: FloatArray
    farthest: float

    def words_of(self, scaled: FloatArray, words: Sequence[str]) -> Words:
        """Words of the scaled rows: `unknown` where unlikely, unlike every word, or not wholly known."""
        out = np.full(len(scaled), "unknown", dtype=object)
        whole = np.flatnonzero(np.isfinite(scaled).all(axis=1))
        if not len(whole):
            return out
        chance = self.regression.predict_proba(scaled[whole])
        apart = (scaled[whole][:, np.newaxis, :] - self.centres) / self.spread
        near = np.sqrt((apart**2).sum(axis=2)).min(axis=1) <= self.farthest
        sure = near & (chance.max(axis=1) >= _LEAST_SURE)
        out[whole[sure]] = np.array(words, dtype=object)[chance.argmax(axis=1)[sure]]
        return out


def _fit_nearness(scaled: FloatArray, targets: npt.NDArray[np.intp]) -> _Nearness:
    from sklearn.linear_model import LogisticRegression

    regression = LogisticRegression(C=10.0, max_iter=1000).fit(scaled, targets)
    centres = np.stack([scaled[targets == word].mean(axis=0) for word in np.unique(targets)])
    within = scaled - centres[targets]
    spread = np.maximum(within.std(axis=0), 1e-6) * np.sqrt(len(scaled) / max(len(scaled) - len(centres), 1))
    seen = np.sqrt(((within / spread) ** 2).sum(axis=1)).max()
    # Work farther from every word than chance takes it is of none: the logistic curve alone would be certain.
    chance = np.sqrt(chdtri(scaled.shape[1], 0.001))
    return _Nearness(regression, centres, spread, float(max(chance, 1.25 * seen)))


def fit_duty_likeness(measures: FloatArray, recorded: Words, *, seed: int = 0) -> DutyLikeness | str:
    """Learn from the vehicles whose duty is recorded what work goes with which word.

    Parameters
    ----------
    measures : ndarray, shape (n_units, n_measures)
        Of the recorded vehicles with enough months.
    recorded : ndarray of str, shape (n_units,)
        Their words.
    seed : int
        Of the division into fifths.

    Returns
    -------
    DutyLikeness or str
        A clause saying why not, where fewer than two words have 5 vehicles each or the work does not tell
        them apart.
    """
    from sklearn.model_selection import StratifiedKFold

    scale = _fit_scale(measures)
    scaled = scale.apply(measures)
    whole = np.isfinite(scaled).all(axis=1)
    words, counts = np.unique(recorded[whole].astype(str), return_counts=True)
    words, counts = words[counts >= _FEWEST_EACH], counts[counts >= _FEWEST_EACH]
    if len(words) < 2 or not len(scale.columns):
        return f"fewer than two recorded words have {_FEWEST_EACH} vehicles with enough of a duty log"
    whole &= np.isin(recorded.astype(str), words)
    scaled, targets = scaled[whole], np.searchsorted(words, recorded[whole].astype(str))
    told = np.full(len(scaled), "unknown", dtype=object)
    best = np.empty(len(scaled), dtype=np.intp)
    with one_thread("scipy.optimize", "sklearn.linear_model"):
        for rest, back in StratifiedKFold(_FOLDS, shuffle=True, random_state=seed).split(scaled, targets):
            model = _fit_nearness(scaled[rest], targets[rest])
            told[back] = model.words_of(scaled[back], words.tolist())
            best[back] = model.regression.predict(scaled[back])
        final = _fit_nearness(scaled, targets)
    sure = told != "unknown"
    right = (told == words[targets])[sure]
    likeness = DutyLikeness(
        words=tuple(words.tolist()),
        vehicles=tuple(counts.tolist()),
        accuracy=float((best == targets).mean()),
        sure=float(sure.mean()),
        sure_accuracy=float(right.mean()) if len(right) else 0.0,
        _scale=scale,
        _model=final,
    )
    if likeness.sure < 0.5 or likeness.sure_accuracy < _LEAST_SURE:
        return (
            f"the duty log does not tell the recorded words apart (right in {likeness.accuracy:.0%} of the recorded "
            "vehicles)"
        )
    return likeness


@dataclass(frozen=True, eq=False)
class DutyClusters:
    """Vehicles grouped by likeness of work.

    Parameters
    ----------
    words : ndarray of str, shape (n_units,)
        Group of each vehicle; `unknown` where a measure is missing.
    names : tuple of str
        Of the groups.
    silhouette : float
        Mean silhouette of the grouping, -1 to 1.
    rand_index : float
        Mean adjusted Rand index against groupings of resampled months.
    stability : ndarray, shape (n_units,)
        Share of resamples in which a vehicle keeps its group; NaN where it has none.
    """

    words: Words
    names: tuple[str, ...]
    silhouette: float
    rand_index: float
    stability: FloatArray


def fit_duty_clusters(
    months: DutyMonths, *, rows: npt.NDArray[np.bool_], resamples: int = 30, seed: int = 0
) -> DutyClusters | str:
    """Group vehicles by likeness of work.

    Parameters
    ----------
    months : DutyMonths
        Of all vehicles of the log.
    rows : ndarray of bool, shape (n_units,)
        Vehicles with enough months.
    resamples : int
        Times the months are drawn anew.
    seed : int
        Of the starts of the grouping and the resamples.

    Returns
    -------
    DutyClusters or str
        A clause saying why not, where there are too few vehicles, or the groups stand poorly apart or hang on
        single months.

    Notes
    -----
    k-means on scaled measures with k of 2 to 5 by the highest mean silhouette, no group smaller than 5
    vehicles. Each resample is scaled and grouped anew and its groups matched to the first ones so that most
    vehicles agree.
    """
    measures = months.measures()
    scale = _fit_scale(measures[rows])
    scaled = scale.apply(measures)
    inside = rows & np.isfinite(scaled).all(axis=1) if len(scale.columns) else np.zeros(len(rows), dtype=bool)
    if inside.sum() < _FEWEST_TO_CLUSTER:
        return f"only {int(inside.sum())} vehicles have enough of a duty log, and groups need {_FEWEST_TO_CLUSTER}"
    with one_thread("sklearn.cluster"):
        best = _best_clusters(scaled[inside], seed)
        if best is None:
            return f"every division leaves a group of fewer than {_FEWEST_EACH} vehicles"
        groups, silhouette = best
        if silhouette < _LEAST_SILHOUETTE:
            return f"the groups hardly stand apart (mean silhouette {silhouette:.2f}, {_LEAST_SILHOUETTE} needed)"
        keeps, rand_index = _cluster_stability(months, inside, groups, resamples=resamples, seed=seed)
    if rand_index < _LEAST_RAND:
        return f"the groups hang on single months (adjusted Rand index {rand_index:.2f}, {_LEAST_RAND} needed)"
    names = _cluster_names(scaled[inside], groups, scale.columns)
    words = np.full(len(rows), "unknown", dtype=object)
    words[inside] = names[groups]
    stability = np.full(len(rows), np.nan)
    stability[inside] = keeps
    return DutyClusters(words, tuple(sorted(names)), silhouette, rand_index, stability)


def _best_clusters(scaled: FloatArray, seed: int) -> tuple[npt.NDArray[np.intp], float] | None:
    """Groups with the highest mean silhouette, and that silhouette."""
    from sklearn.metrics import silhouette_score

    best: tuple[npt.NDArray[np.intp], float] | None = None
    most = min(_MOST_CLUSTERS, len(np.unique(scaled.round(9), axis=0)) - 1)
    for number in range(2, most + 1):
        groups = _clusters(scaled, number, seed)
        if np.bincount(groups, minlength=number).min() < _FEWEST_EACH:
            continue
        sample = _SILHOUETTE_SAMPLE if len(scaled) > _SILHOUETTE_SAMPLE else None
        score = float(silhouette_score(scaled, groups, sample_size=sample, random_state=seed))
        if best is None or score > best[1]:
            best = groups, score
    return best


def _clusters(scaled: FloatArray, number: int, seed: int) -> npt.NDArray[np.intp]:
    from sklearn.cluster import KMeans

    return np.asarray(KMeans(number, n_init=10, random_state=seed).fit_predict(scaled), dtype=np.intp)


def _cluster_stability(
    months: DutyMonths, inside: npt.NDArray[np.bool_], groups: npt.NDArray[np.intp], *, resamples: int, seed: int
) -> tuple[FloatArray, float]:
    """Share of resamples in which each vehicle keeps its group, and the mean adjusted Rand index."""
    from scipy.optimize import linear_sum_assignment
    from sklearn.metrics import adjusted_rand_score

    rng = np.random.default_rng(seed)
    number = int(groups.max()) + 1
    kept, tried, agreement = np.zeros(len(groups)), np.zeros(len(groups)), []
    for _ in range(resamples):
        drawn = months.resampled(rng)[inside]
        scale = _fit_scale(drawn)
        scaled = scale.apply(drawn)
        whole = np.isfinite(scaled).all(axis=1)
        if len(np.unique(scaled[whole].round(9), axis=0)) <= number:
            continue
        again = _clusters(scaled[whole], number, seed)
        table = np.zeros((number, number))
        np.add.at(table, (groups[whole], again), 1.0)
        before, after = linear_sum_assignment(-table)
        match = np.empty(number, dtype=np.intp)
        match[after] = before
        tried[whole] += 1.0
        kept[whole] += match[again] == groups[whole]
        agreement.append(adjusted_rand_score(groups[whole], again))
    share = np.divide(kept, tried, out=np.full(len(kept), np.nan), where=tried > 0.0)
    return share, float(np.mean(agreement)) if agreement else 0.0


def _cluster_names(scaled: FloatArray, groups: npt.NDArray[np.intp], columns: npt.NDArray[np.intp]) -> Words:
    """A word for each group by what its centre stands highest in; numbered where two share one."""
    centres = np.stack([scaled[groups == group].mean(axis=0) for group in range(groups.max() + 1)])
    # Not for what another group has much more of.
    height = np.where(centres >= np.maximum(_APART, _NEAR_TOP * centres.max(axis=0)), centres, 0.0)
    words_of = [measure.word for measure in MEASURES.values()]
    words = [words_of[columns[row.argmax()]] if row.max() > 0.0 else "mixed" for row in height]
    # The one farthest apart comes first.
    order = np.argsort(-height.max(axis=1), kind="stable")
    names = np.empty(len(words), dtype=object)
    for group in order:
        alike = [other for other in order if words[other] == words[group]]
        names[group] = words[group] if len(alike) == 1 else f"{words[group]}_{alike.index(group) + 1}"
    return names

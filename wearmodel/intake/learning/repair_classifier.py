"""Learns from the lines a fleet has coded itself what its words mean, and suggests a code for those it has not.

Words, pairs of words and pieces of words are weighed by the codes they stand with. How far that can be trusted is
measured on wordings that were kept back, and every suggestion carries it as a probability.
"""

import warnings
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import expit

from wearmodel.intake.learning.wording_features import (
    NUMBER,
    TextFeatures,
    Texts,
    Vocabulary,
    fit_vocabulary,
    normalised_texts,
)
from wearmodel.one_thread import one_thread

__all__ = ["LineClassifier", "Suggestions", "fit_line_classifier"]

FloatArray = npt.NDArray[np.float64]

_FOLDS = 5
_MOST_WORDINGS = 30_000
_MOST_OF_RARE = 1_000
# Wordings are tallied by ranges of probability; the upper ones are those that decide what is reviewed.
_EDGES = np.array([0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0])
# Below this share of known words a suggestion is drawn towards the plain share of its label.
_ENOUGH_KNOWN = 0.5
_LEAST_LOG = -50.0


@dataclass(frozen=True, eq=False)
class Suggestions:
    """What lines are taken to mean.

    Parameters
    ----------
    label : ndarray of object, shape (n_texts,)
        The likeliest label of each text.
    probability : ndarray, shape (n_texts,)
        Chance that it is right, above 0 and below 1.
    """

    label: npt.NDArray[np.object_]
    probability: FloatArray


@dataclass(frozen=True, eq=False)
class LineClassifier:
    """What a fleet's coded lines teach, as built by `fit_line_classifier`.

    Parameters
    ----------
    labels : tuple of str
        Labels it can suggest, in alphabetical order.
    left_out : tuple of str
        Labels with too few lines to learn from; they are never suggested.
    lines, wordings : int
        Coded lines learnt from, and how many different wordings they have.
    accuracy : float
        Share of wordings it got right when they, and all that say the same words, were kept from it. Wordings
        of labels left out count as wrong.
    calibration : pandas.DataFrame
        One row a range of probability, measured on wordings kept back both from the learning and from the
        calibration: `low, high, wordings, predicted` (mean probability), `observed` (share that was right).
    """

    labels: tuple[str, ...]
    left_out: tuple[str, ...]
    lines: int
    wordings: int
    accuracy: float
    calibration: pd.DataFrame
    _vocabulary: Vocabulary = field(repr=False)
    _scorer: "_Scorer" = field(repr=False)
    _calibrator: "_Calibrator" = field(repr=False)

    def suggest(self, texts: Texts) -> Suggestions:
        """The likeliest label of each text and the chance that it is right.

        Parameters
        ----------
        texts : sequence of str, shape (n_texts,)
            As written; the first 2,000 characters of each are looked at.

        Returns
        -------
        Suggestions
            In the order of the texts. A text that shares no word with the lines learnt from gets no more
            than the plain share of its label in them.
        """
        codes, distinct = pd.factorize(normalised_texts(texts))
        scores = self._scorer.scores(self._vocabulary.features(distinct.tolist()))
        names = np.array(self.labels, dtype=object)
        return Suggestions(names[scores.best][codes], self._calibrator.probability(scores)[codes])


def fit_line_classifier(
    texts: Texts,
    labels: Texts,
    *,
    fewest: int = 200,
    fewest_each: int = 20,
    seed: int = 0,
) -> LineClassifier | None:
    """Learn what the words of coded lines mean.

    Parameters
    ----------
    texts : sequence of str, shape (n_lines,)
        Text of each line, as written.
    labels : sequence of str, shape (n_lines,)
        Code of each line; lines with an empty one, and lines without a word, are passed over.
    fewest : int
        Lines needed in all.
    fewest_each : int
        Lines a label needs, of at least 5 different wordings; others are left out.
    seed : int
        Of the division into parts for measuring; the same lines and seed give the same answers.

    Returns
    -------
    LineClassifier or None
        None when there are too few lines, or fewer than two labels with enough.

    Notes
    -----
    A multinomial logistic regression on tf-idf weights of words, pairs of words and pieces of three and four
    letters; all numbers count as one word. Each wording counts once, however often it was written; of more than
    30,000 wordings a share is drawn from each label. Wordings are divided into five parts, those of the same
    words in whatever order always together, and each part is scored by a regression fitted to the other four.
    From these scores comes the probability: the lower of a logistic curve [1]_ in the score and the share of
    known words, with a ceiling below 1 for codes that do not follow the words, and of the isotonic curve [2]_
    through the same points.

    References
    ----------
    .. [1] J. Platt, "Probabilistic outputs for support vector machines", 1999.
    .. [2] B. Zadrozny and C. Elkan, "Transforming classifier scores into accurate multiclass probability
       estimates", 2002.
    """
    wordings = _coded_wordings(texts, labels, seed=seed)
    kept = _labels_with_enough(wordings, fewest_each)
    is_kept = wordings["label"].isin(kept)
    if len(kept) < 2 or wordings.loc[is_kept, "lines"].sum() < fewest:
        return None
    with one_thread("scipy.optimize", "sklearn.linear_model"):
        return _learn(wordings[is_kept].reset_index(drop=True), wordings[~is_kept], kept)


def _learn(learnt: pd.DataFrame, beside: pd.DataFrame, labels: list[str]) -> LineClassifier:
    """Learn from the wordings of some labels; those beside are of labels left out."""
    targets = np.searchsorted(np.array(labels, dtype=object), learnt["label"].to_numpy(dtype=object))
    vocabulary = fit_vocabulary(learnt["text"].tolist())
    features = vocabulary.features(learnt["text"].tolist())
    weights = learnt["weight"].to_numpy(dtype=np.float64)
    final = _fit_scorer(features, targets, weights, labels=len(labels))
    trial = _kept_back(features, targets, learnt, labels=len(labels))
    if len(beside):  # not learnt from at all, so the final scorer may be tried on them
        trial = _joined(trial, final.scores(vocabulary.features(beside["text"].tolist())), beside)
    shares = np.bincount(targets, weights=weights) / weights.sum()
    return LineClassifier(
        labels=tuple(labels),
        left_out=tuple(sorted(set(beside["label"]))),
        lines=int(learnt["lines"].sum()),
        wordings=int(learnt["text"].nunique()),
        accuracy=float(np.average(trial.right, weights=trial.weights)),
        calibration=_calibration(trial, shares),
        _vocabulary=vocabulary,
        _scorer=final,
        _calibrator=_fit_calibrator(trial, shares),
    )


@dataclass(frozen=True, eq=False)
class _Scores:
    """Log probability of every label before calibration, shape (n_texts, n_labels); share of known words."""

    log_probability: FloatArray
    known: FloatArray

    @property
    def best(self) -> npt.NDArray[np.intp]:
        """The likeliest label."""
        return self.log_probability.argmax(axis=1)

    def evidence(self) -> FloatArray:
        """What the calibration goes by: log odds of the likeliest label, share of known words."""
        top = self.log_probability.max(axis=1)
        return np.column_stack([top - np.log(np.maximum(-np.expm1(top), 1e-9)), self.known])


@dataclass(frozen=True, eq=False)
class _Scorer:
    """A regression and the weight of each feature, 0 for those met too seldom."""

    regression: Any
    feature_weights: FloatArray
    labels: int

    def scores(self, features: TextFeatures) -> _Scores:
        """Scores of texts."""
        every = np.full((len(features.words), self.labels), _LEAST_LOG)
        if not len(every):
            return _Scores(every, np.empty(0))
        found = self.regression.predict_log_proba(features.weighted(self.feature_weights))
        every[:, self.regression.classes_] = np.maximum(found, _LEAST_LOG)
        return _Scores(every, features.known_share(self.feature_weights))


@dataclass(frozen=True, eq=False)
class _Trial:
    """Wordings scored by something that had not learnt from them: were they right, and what each counts."""

    scores: _Scores
    right: npt.NDArray[np.bool_]
    weights: FloatArray
    folds: npt.NDArray[np.intp]

    def part(self, rows: npt.NDArray[np.bool_]) -> "_Trial":
        """Some of the wordings."""
        scores = _Scores(self.scores.log_probability[rows], self.scores.known[rows])
        return _Trial(scores, self.right[rows], self.weights[rows], self.folds[rows])


@dataclass(frozen=True, eq=False)
class _Calibrator:
    """From scores to the chance that the likeliest label is right."""

    curve: FloatArray
    isotonic: Any
    shares: FloatArray
    ceiling: float

    def probability(self, scores: _Scores) -> FloatArray:
        """Chance that the likeliest label of each text is right."""
        if not len(scores.known):
            return np.empty(0)
        smooth = _curve(self.curve, scores.evidence())
        chance = np.clip(np.minimum(smooth, self.isotonic.predict(smooth)), 1.0 - self.ceiling, self.ceiling)
        share = np.minimum(self.shares[scores.best], chance)
        # Where few words are known, certainty gives way to the plain share of the label.
        return np.asarray(share + (chance - share) * np.minimum(scores.known / _ENOUGH_KNOWN, 1.0))


def _curve(parameters: FloatArray, evidence: FloatArray) -> FloatArray:
    """Logistic curve in the evidence, times the share of codes that follow the words at all."""
    level, slope, known, most = parameters
    return np.asarray(expit(most) * expit(level + slope * evidence[:, 0] + known * evidence[:, 1]))


def _fit_curve(evidence: FloatArray, hits: FloatArray, misses: FloatArray) -> FloatArray:
    """Maximum likelihood; neither a higher score nor more known words may lower the chance."""
    from scipy.optimize import minimize

    def loss(parameters: FloatArray) -> float:
        chance = np.clip(_curve(parameters, evidence), 1e-9, 1.0 - 1e-9)
        return -float(hits @ np.log(chance) + misses @ np.log1p(-chance)) / float(hits.sum() + misses.sum())

    start = np.array([0.0, 0.5, 0.0, 4.0])
    bounds = [(-20.0, 20.0), (0.0, 20.0), (0.0, 20.0), (-2.0, 9.0)]
    return np.asarray(minimize(loss, start, method="L-BFGS-B", bounds=bounds).x)


def _coded_wordings(texts: Texts, labels: Texts, *, seed: int) -> pd.DataFrame:
    """Different wordings with a label each: `text, label, lines, weight, bag, bag_label, fold`."""
    frame = pd.DataFrame({"text": normalised_texts(texts), "label": np.asarray(labels, dtype=object)})
    frame = frame[(frame["text"].str.strip(f"{NUMBER} ") != "") & (frame["label"] != "")]
    # Sorted by what they say: the order of the rows is no evidence.
    rows = frame.groupby(["text", "label"], sort=True).size().rename("lines").reset_index()
    # A wording that was coded in two ways counts in part for each.
    rows["weight"] = rows["lines"] / rows.groupby("text")["lines"].transform("sum")
    rows["bag"] = pd.factorize(rows["text"].map(lambda text: " ".join(sorted(set(text.split())))))[0]
    main = rows.sort_values("lines", ascending=False, kind="stable").drop_duplicates("bag").sort_values("bag")
    main = main.iloc[np.random.default_rng(seed).permutation(len(main))]
    rank = main.groupby("label").cumcount().to_numpy()
    each = main.groupby("label")["label"].transform("size").to_numpy(dtype=np.float64)
    picked = pd.DataFrame({"bag": main["bag"].to_numpy(), "bag_label": main["label"].to_numpy(), "fold": rank % _FOLDS})
    picked = picked[rank < np.maximum(each * _MOST_WORDINGS / len(rows), _MOST_OF_RARE)]
    return rows.merge(picked, on="bag", how="inner")


def _labels_with_enough(wordings: pd.DataFrame, fewest_each: int) -> list[str]:
    """Labels with enough lines, and with a wording in each part that is kept back in turn."""
    lines = wordings.groupby("label")["lines"].sum()
    bags = wordings.drop_duplicates("bag")["bag_label"].value_counts().reindex(lines.index, fill_value=0)
    return sorted(str(label) for label in lines.index[(lines >= fewest_each) & (bags >= _FOLDS)])


def _fit_scorer(features: TextFeatures, targets: npt.NDArray[np.intp], weights: FloatArray, *, labels: int) -> _Scorer:
    """Fit the regression and the weights of features; rarer ones weigh more."""
    from sklearn.exceptions import ConvergenceWarning
    from sklearn.linear_model import LogisticRegression

    feature_weights = features.rarity()
    regression = LogisticRegression(C=10.0, tol=1e-3, max_iter=60)
    with warnings.catch_warnings():
        # Stopped early it is still a scorer: what its scores are worth is measured afterwards.
        warnings.simplefilter("ignore", ConvergenceWarning)
        regression.fit(features.weighted(feature_weights), targets, sample_weight=weights)
    return _Scorer(regression, feature_weights, labels)


def _kept_back(features: TextFeatures, targets: npt.NDArray[np.intp], learnt: pd.DataFrame, *, labels: int) -> _Trial:
    """Each part of the wordings, scored by what the other parts teach."""
    weights, folds = learnt["weight"].to_numpy(), learnt["fold"].to_numpy()
    scores = _Scores(np.full((len(learnt), labels), np.nan), np.full(len(learnt), np.nan))
    for fold in range(_FOLDS):
        back = folds == fold
        scorer = _fit_scorer(features.part(~back), targets[~back], weights[~back], labels=labels)
        part = scorer.scores(features.part(back))
        scores.log_probability[back], scores.known[back] = part.log_probability, part.known
    return _Trial(scores, scores.best == targets, weights, folds)


def _joined(first: _Trial, scores: _Scores, beside: pd.DataFrame) -> _Trial:
    """A trial with wordings of labels left out, which no suggestion can get right."""
    return _Trial(
        _Scores(
            np.vstack([first.scores.log_probability, scores.log_probability]),
            np.concatenate([first.scores.known, scores.known]),
        ),
        np.concatenate([first.right, np.zeros(len(beside), dtype=bool)]),
        np.concatenate([first.weights, beside["weight"].to_numpy()]),
        np.concatenate([first.folds, beside["fold"].to_numpy()]),
    )


def _fit_calibrator(trial: _Trial, shares: FloatArray) -> _Calibrator:
    """Fit how often the likeliest label is right, by its score and the share of known words."""
    from sklearn.isotonic import IsotonicRegression

    evidence = trial.scores.evidence()
    hits, misses = trial.weights[trial.right].sum(), trial.weights[~trial.right].sum()
    # Platt's targets: a sample without a miss does not make the next one certain.
    target = np.where(trial.right, (hits + 1.0) / (hits + 2.0), 1.0 / (misses + 2.0))
    curve = _fit_curve(evidence, trial.weights * target, trial.weights * (1.0 - target))
    isotonic = IsotonicRegression(y_min=0.0, y_max=1.0, out_of_bounds="clip")
    isotonic.fit(_curve(curve, evidence), trial.right, sample_weight=trial.weights)
    count = trial.weights.sum()
    return _Calibrator(curve, isotonic, shares, (count + 1.0) / (count + 2.0))


def _calibration(trial: _Trial, shares: FloatArray) -> pd.DataFrame:
    """Table of probability against what was right, each part calibrated by the others."""
    probability = np.full(len(trial.right), np.nan)
    for fold in range(_FOLDS):
        back = trial.folds == fold
        probability[back] = _fit_calibrator(trial.part(~back), shares).probability(trial.part(back).scores)
    bins = np.clip(np.searchsorted(_EDGES, probability, side="right") - 1, 0, len(_EDGES) - 2)
    sums = pd.DataFrame({"wordings": trial.weights, "predicted": trial.weights * probability})
    sums["observed"] = trial.weights * trial.right
    table = sums.groupby(bins).sum()
    table[["predicted", "observed"]] = table[["predicted", "observed"]].div(table["wordings"], axis=0)
    table.insert(0, "low", _EDGES[table.index])
    table.insert(1, "high", _EDGES[table.index + 1])
    return table.reset_index(drop=True)

"""A classifier of repair lines that ships with the program, learnt from written lines of many invented workshops.

It sees a line as a whole where the lexicon reads phrase by phrase, so that it has a view on wordings the lexicon does
not know. Its views fill in what the words leave open, and speak against readings; they never read a place.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO

import numpy as np
import numpy.typing as npt
from scipy.special import expit, log_softmax

from wearmodel.intake.learning.trade_features import line_words, rule_features, word_features
from wearmodel.intake.words.wordings import Wording

__all__ = ["SEVERAL", "TARGETS", "UNSAID", "TradeReader", "View", "load_trade_reader"]

FloatArray = npt.NDArray[np.float64]

TARGETS = ("deed", "component", "reason")
"""What is told of a line: `renewed`, `idle` or `other`; a component; a reason."""

SEVERAL, UNSAID = "several", "unsaid"
"""Labels of lines that tell several components or reasons, or none."""

_MOST_WORDS_KEPT = 200_000


@dataclass(frozen=True)
class View:
    """What one line is taken to mean.

    Parameters
    ----------
    deed, component, reason : str
        The likeliest; a component or reason can also be `SEVERAL` or `UNSAID`.
    deed_chance, component_chance, reason_chance : float
        Chance that it is right, as measured on lines of workshops kept back.
    words, unknown_words : int
        Number of different words of the line, and of those among them that no line learnt from holds.
    """

    deed: str
    deed_chance: float
    component: str
    component_chance: float
    reason: str
    reason_chance: float
    words: int = 0
    unknown_words: int = 0


class TradeReader:
    """Weights of features for every label.

    Parameters
    ----------
    names : sequence of str
        Features.
    weights : ndarray, shape (n_features, n_labels)
        The labels of all targets side by side.
    intercepts : ndarray, shape (n_labels,)
        Their intercepts.
    labels : mapping of str to tuple of str
        Labels of each target, in the order of the columns.
    curves : mapping of str to tuple of two floats
        Level and slope of the logistic curve from log odds to the chance of being right, of each target.
    """

    def __init__(
        self,
        names: Sequence[str],
        weights: npt.NDArray[np.floating],
        intercepts: FloatArray,
        labels: dict[str, tuple[str, ...]],
        curves: dict[str, tuple[float, float]],
    ) -> None:
        self._rows = {name: row for row, name in enumerate(names)}
        self._weights = np.asarray(weights, dtype=np.float64)
        self._intercepts = intercepts
        self._labels, self._curves = labels, curves
        self._of_words: dict[str, FloatArray] = {}

    def view(self, text: str, wording: Wording) -> View:
        """What one line is taken to mean.

        Parameters
        ----------
        text : str
            As written.
        wording : Wording
            What the lexicon read of it.
        """
        words = line_words(text)
        scores = self._intercepts + self._sum(rule_features(words, wording))
        different = dict.fromkeys(words)
        for word in different:
            scores += self._of_word(word)
        told: dict[str, tuple[str, float]] = {}
        start = 0
        for target in TARGETS:
            labels = self._labels[target]
            told[target] = self._likeliest(scores[start : start + len(labels)], target)
            start += len(labels)
        unknown = sum(f"w:{word}" not in self._rows for word in different)
        return View(*told["deed"], *told["component"], *told["reason"], len(different), unknown)

    def _likeliest(self, scores: FloatArray, target: str) -> tuple[str, float]:
        logs = log_softmax(scores)
        best = int(logs.argmax())
        odds = logs[best] - np.log(max(-np.expm1(logs[best]), 1e-12))
        level, slope = self._curves[target]
        return self._labels[target][best], float(expit(level + slope * odds))

    def _of_word(self, word: str) -> FloatArray:
        found = self._of_words.get(word)
        if found is None:
            found = self._sum(word_features(word))
            if len(self._of_words) < _MOST_WORDS_KEPT:
                self._of_words[word] = found
        return found

    def _sum(self, features: Sequence[str]) -> FloatArray:
        rows = [self._rows[name] for name in features if name in self._rows]
        return np.asarray(self._weights[rows].sum(axis=0))


@cache
def load_trade_reader() -> TradeReader:
    """The classifier that ships with the program.

    Returns
    -------
    TradeReader
        Learnt by `data/trade_lines/learn.py`.
    """
    raw = files("wearmodel.intake.learning").joinpath("trade_weights.npz").read_bytes()
    with np.load(BytesIO(raw)) as stored:
        names = bytes(stored["names"]).decode().split("\n")
        labels = {target: tuple(bytes(stored[f"{target}_labels"]).decode().split("\n")) for target in TARGETS}
        curves = {target: tuple(stored[f"{target}_curve"].tolist()) for target in TARGETS}
        intercepts = np.asarray(stored["intercepts"], dtype=np.float64)
        return TradeReader(names, stored["weights"], intercepts, labels, curves)

"""Learns the classifier of trade lines from the lines beside this file; run `python data/trade_lines/learn.py`.

Most were written by hand for this project, by writers who had seen neither the lexicon nor the wordings of the
simulated shops in `tests/exports`; `shops.csv` holds lines of the development shops among those (`collect_shops.py`).
Chances come from lines of workshops kept back, a fifth of the workshops at a time.
"""

import sys
import warnings
from typing import Any

import numpy as np
import numpy.typing as npt
from reading_doubts import learn_doubt, views_of
from scipy import sparse
from scipy.optimize import minimize
from scipy.special import expit
from sklearn.exceptions import ConvergenceWarning
from sklearn.feature_extraction.text import CountVectorizer
from sklearn.linear_model import LogisticRegression
from trade_lines import FOLDER, TradeLine, fingerprint, read_lines, text_array

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.learning.trade_features import line_words, rule_features, word_features
from wearmodel.intake.learning.trade_reader import SEVERAL, TARGETS, UNSAID
from wearmodel.intake.words.repair_text import build_lexicon, wording

WEIGHTS = FOLDER.parents[1] / "wearmodel" / "intake" / "learning" / "trade_weights.npz"
FOLDS = 5
PENALTY = 2.0
#: What the lexicon read counts as much as a few words; a piece of a word less than the word.
SCALES = {"r": 0.2, "w": 0.1, "p": 0.1, "c": 0.035}
#: Weights below this move no chance that is told.
LEAST_WEIGHT = 0.004


def target_of(line: TradeLine, target: str) -> str:
    """The label of a line; empty where it cannot have one."""
    if target == "deed":
        return {"renewal": "renewed", "other": "other"}.get(line.kind, "idle")
    if target == "reason":
        if line.kind != "renewal":
            return ""
        return SEVERAL if len(line.reasons) > 1 else line.reasons[0] or UNSAID
    if line.kind == "other" or not (line.components or line.kind == "renewal"):
        return ""
    if len(line.components) > 1:
        return SEVERAL
    return next(iter(line.components & COMPONENTS.keys()), UNSAID)


def features_of(lines: list[TradeLine]) -> tuple[list[str], Any]:
    """Names of features, and how often each line holds each of them."""
    lexicon = build_lexicon(COMPONENTS, steering_side="left")

    def features(text: str) -> list[str]:
        words = line_words(text)
        found = rule_features(words, wording(text, lexicon=lexicon))
        return found + [name for word in dict.fromkeys(words) for name in word_features(word)]

    counter = CountVectorizer(analyzer=features, min_df=2)
    held = counter.fit_transform([line.text for line in lines]).astype(np.float64)
    return [str(name) for name in counter.get_feature_names_out()], held


def scales_of(names: list[str], held: Any) -> npt.NDArray[np.float64]:
    """Weight of each feature before learning: rare ones count more."""
    holders = np.asarray((held > 0).sum(axis=0), dtype=np.float64).ravel()
    rarity = np.log((1.0 + held.shape[0]) / (1.0 + holders)) + 1.0
    return np.array([SCALES[name[0]] for name in names]) * np.where([name[0] == "r" for name in names], 1.0, rarity)


def fitted(features: Any, labels: npt.NDArray[np.object_], *, balanced: bool) -> Any:
    """A multinomial logistic regression; balanced where the shares of the labels here say nothing of a fleet's."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)
        weights = "balanced" if balanced else None
        return LogisticRegression(C=PENALTY, max_iter=100, tol=1e-3, class_weight=weights).fit(features, labels)


def folds_of(shops: list[str]) -> npt.NDArray[np.intp]:
    """Which fold each line is kept back with: all lines of a shop together."""
    number = {shop: place for place, shop in enumerate(sorted(set(shops)))}
    return np.array([number[shop] % FOLDS for shop in shops])


def kept_back(
    features: Any, labels: npt.NDArray[np.object_], folds: npt.NDArray[np.intp], *, balanced: bool
) -> tuple[npt.NDArray[np.object_], npt.NDArray[np.float64]]:
    """Likeliest label of every line and its log odds, from lines of other shops that have a label."""
    odds, likeliest = np.empty(len(labels)), np.empty(len(labels), dtype=object)
    for fold in range(FOLDS):
        back = folds == fold
        from_lines = ~back & (labels != "")
        model = fitted(features[from_lines], labels[from_lines], balanced=balanced)
        chances = np.clip(model.predict_proba(features[back]), 1e-12, 1.0 - 1e-12)
        top = chances.max(axis=1)
        odds[back], likeliest[back] = np.log(top / (1.0 - top)), model.classes_[chances.argmax(axis=1)]
    return likeliest, odds


def curve_of(odds: npt.NDArray[np.float64], right: npt.NDArray[np.bool_]) -> tuple[float, float]:
    """Level and slope from log odds to the chance of being right."""

    def loss(parameters: npt.NDArray[np.float64]) -> float:
        chance = np.clip(expit(parameters[0] + parameters[1] * odds), 1e-9, 1.0 - 1e-9)
        return -float(np.mean(np.where(right, np.log(chance), np.log1p(-chance))))

    level, slope = minimize(loss, np.array([0.0, 1.0])).x
    return float(level), float(slope)


def _told(chance: npt.NDArray[np.float64], right: npt.NDArray[np.bool_], shops: list[str]) -> list[str]:
    """How many lines are right, and how many of those from some chance on: simulated shops, then hand-written lines."""
    is_shop = np.array([shop.startswith("shops ") for shop in shops])
    told = []
    for name, some in (("shops", is_shop), ("by hand", ~is_shop)):
        shares = ", ".join(
            f"from {limit} on {np.mean(chance[some] >= limit):.0%} of lines, "
            f"{np.mean(right[some & (chance >= limit)]):.1%} right"
            for limit in (0.8, 0.9, 0.95, 0.98)
        )
        told.append(f"{name} {some.sum():,} lines, {np.mean(right[some]):.1%} right; {shares}")
    return told


def main() -> int:
    """Learn, and write the weights."""
    lines = read_lines()
    names, held = features_of(lines)
    scales = scales_of(names, held)
    features = (held @ sparse.diags(scales)).tocsr()
    stored: dict[str, Any] = {}
    blocks, intercepts = [], []
    folds, told = folds_of([line.shop for line in lines]), {}
    for target in TARGETS:
        every = np.array([target_of(line, target) for line in lines], dtype=object)
        has, is_balanced = every != "", target == "deed"
        likeliest, odds = kept_back(features, every, folds, balanced=is_balanced)
        right = likeliest == every
        curve = curve_of(odds[has], right[has])
        chance = expit(curve[0] + curve[1] * odds)
        told[target] = (likeliest, chance)
        shops = [line.shop for line, one in zip(lines, has, strict=True) if one]
        print(f"{target}: {'; '.join(_told(chance[has], right[has], shops))}", flush=True)
        model = fitted(features[has], every[has], balanced=is_balanced)
        stored[f"{target}_labels"] = text_array([str(label) for label in model.classes_])
        stored[f"{target}_curve"] = np.array(curve)
        blocks.append(model.coef_.T * scales[:, None])
        intercepts.append(model.intercept_)
    weights = np.hstack(blocks)
    kept = np.abs(weights).max(axis=1) >= LEAST_WEIGHT
    stored["names"] = text_array([name for name, keep in zip(names, kept, strict=True) if keep])
    stored["weights"] = weights[kept].astype(np.float16)
    stored["intercepts"] = np.concatenate(intercepts)
    stored["fingerprint"] = text_array([fingerprint()])
    np.savez_compressed(WEIGHTS, **stored)
    print(f"{kept.sum():,} of {len(names):,} features, {WEIGHTS.stat().st_size / 1e6:.2f} MB")
    learn_doubt(lines, views_of(lines, told, folds))
    return 0


if __name__ == "__main__":
    sys.exit(main())

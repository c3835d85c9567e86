"""Learns the classifier of trade lines from the lines beside this file; run `python data/trade_lines/learn.py`.

Most were written by hand for this project, by writers who had seen neither the lexicon nor the wordings of the
simulated shops in `tests/exports`; `shops.csv` holds lines of the development shops among those (`collect_shops.py`).
Chances come from lines of workshops kept back, a fifth of the workshops at a time.
"""

import csv
import hashlib
import sys
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.optimize import minimize
from scipy.special import expit
from sklearn.exceptions import ConvergenceWarning
from sklearn.feature_extraction.text import CountVectorizer
from sklearn.linear_model import LogisticRegression

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.learning.trade_features import line_words, rule_features, word_features
from wearmodel.intake.learning.trade_reader import SEVERAL, TARGETS, UNSAID
from wearmodel.intake.words.repair_text import build_lexicon, wording

FOLDER = Path(__file__).parent
WEIGHTS = FOLDER.parents[1] / "wearmodel" / "intake" / "learning" / "trade_weights.npz"
FOLDS = 5
PENALTY = 2.0
#: What the lexicon read counts as much as a few words; a piece of a word less than the word.
SCALES = {"r": 0.2, "w": 0.1, "p": 0.1, "c": 0.035}
#: Weights below this move no chance that is told.
LEAST_WEIGHT = 0.004


@dataclass(frozen=True)
class TradeLine:
    """One written line and what it means."""

    shop: str
    text: str
    kind: str
    components: frozenset[str]
    reasons: tuple[str, ...]


def read_lines() -> list[TradeLine]:
    """All written lines, files in the order of their names."""
    lines = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as source:
            for row in csv.DictReader(source):
                parts = frozenset(part.partition("@")[0].strip() for part in row["parts"].split(";") if part.strip())
                reasons = tuple(dict.fromkeys(reason.strip() for reason in row["reason"].split(";")))
                lines.append(TradeLine(f"{path.stem} {row['voice']}", row["text"], row["kind"], parts, reasons))
    return lines


def fingerprint() -> str:
    """What tells that weights were learnt from the lines as they are."""
    digest = hashlib.sha256()
    for path in sorted(FOLDER.glob("*.csv")):
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()


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


def curve_of(
    features: Any, labels: npt.NDArray[np.object_], shops: list[str], *, balanced: bool
) -> tuple[tuple[float, float], str]:
    """Level and slope from log odds to the chance of being right, on shops kept back, and a line that says how well."""
    number = {shop: place for place, shop in enumerate(sorted(set(shops)))}
    folds = np.array([number[shop] % FOLDS for shop in shops])
    odds, right = np.empty(len(labels)), np.empty(len(labels), dtype=bool)
    for fold in range(FOLDS):
        back = folds == fold
        model = fitted(features[~back], labels[~back], balanced=balanced)
        chances = np.clip(model.predict_proba(features[back]), 1e-12, 1.0 - 1e-12)
        top = chances.max(axis=1)
        odds[back], right[back] = np.log(top / (1.0 - top)), model.classes_[chances.argmax(axis=1)] == labels[back]

    def loss(parameters: npt.NDArray[np.float64]) -> float:
        chance = np.clip(expit(parameters[0] + parameters[1] * odds), 1e-9, 1.0 - 1e-9)
        return -float(np.mean(np.where(right, np.log(chance), np.log1p(-chance))))

    level, slope = minimize(loss, np.array([0.0, 1.0])).x
    chance = expit(level + slope * odds)
    return (float(level), float(slope)), "; ".join(_told(chance, right, shops))


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


def text_array(texts: list[str] | tuple[str, ...]) -> npt.NDArray[np.uint8]:
    """Texts as bytes, one a line."""
    return np.frombuffer("\n".join(texts).encode(), dtype=np.uint8)


def main() -> int:
    """Learn, and write the weights."""
    lines = read_lines()
    names, held = features_of(lines)
    scales = scales_of(names, held)
    features = (held @ sparse.diags(scales)).tocsr()
    stored: dict[str, Any] = {}
    blocks, intercepts = [], []
    for target in TARGETS:
        every = np.array([target_of(line, target) for line in lines], dtype=object)
        has = every != ""
        shops = [line.shop for line, one in zip(lines, has, strict=True) if one]
        curve, told = curve_of(features[has], every[has], shops, balanced=target == "deed")
        print(f"{target}: {told}", flush=True)
        model = fitted(features[has], every[has], balanced=target == "deed")
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
    return 0


if __name__ == "__main__":
    sys.exit(main())

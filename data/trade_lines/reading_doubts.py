"""Learns how likely readings are wrong, from lines of workshops kept back; `learn.py` runs it.

Every line is read on a vehicle that may have its parts, by its words alone and with what a classifier says that has
not seen its workshop, and the reading is held against the truth.
"""

from collections import Counter
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import logit
from sklearn.ensemble import GradientBoostingClassifier
from sklearn.model_selection import GroupKFold
from trade_lines import FOLDER, TradeLine, fingerprint, text_array

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS
from wearmodel.intake.learning.boosted_trees import BoostedTrees
from wearmodel.intake.learning.trade_features import line_words
from wearmodel.intake.learning.trade_reader import View
from wearmodel.intake.repairs.line_readings import LineReading
from wearmodel.intake.repairs.reading_doubt import features_of, helped_reading
from wearmodel.intake.repairs.repair_lines import LineKnowledge, RepairLine, line_reading
from wearmodel.intake.words.repair_text import build_lexicon, wording

WEIGHTS = FOLDER.parents[1] / "wearmodel" / "intake" / "learning" / "doubt_weights.npz"
FOLDS = 8
_SMALL = {**LAYOUTS["slip_spline"], **LAYOUTS["steering_shaft"]}
#: Vehicles with half shafts, with a propeller shaft in two pieces, and with two shafts and a driven rigid axle.
VEHICLES = {name: {**LAYOUTS[name], **_SMALL} for name in ("all_wheel", "rear_two_piece", "four_wheel_solid")}
_FAMILIES = {"cv_boot": "cv_boot_", "cv_joint": "cv_joint_", "half_shaft": "cv_"}

Rows = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


def views_of(
    lines: list[TradeLine], told: dict[str, tuple[Any, Any]], folds: npt.NDArray[np.intp]
) -> list[View]:
    """What a classifier says of each line that has not seen its workshop: label and chance by target."""
    words = [dict.fromkeys(line_words(line.text)) for line in lines]
    known = [Counter(word for one, n in zip(words, folds, strict=True) if n != fold for word in one)
             for fold in range(int(folds.max()) + 1)]
    return [
        View(
            *(value for target in ("deed", "component", "reason") for value in (labels[target][n], chances[target][n])),
            len(one), sum(known[folds[n]][word] < 2 for word in one),
        )
        for labels, chances in [({t: v[0] for t, v in told.items()}, {t: v[1] for t, v in told.items()})]
        for n, one in enumerate(words)
    ]  # fmt: skip


def is_right(line: TradeLine, reading: LineReading) -> bool:
    """Whether a used reading tells what the line means: a renewal, its parts and its reasons."""
    if line.kind != "renewal" or line.reasons == ("",):
        return False
    read = [reading, *reading.further]
    codes, reasons = {part.component for part in read}, {part.reason for part in read}
    if not all(any(_is_of(code, true) for true in line.components) for code in codes):
        return False
    return all(any(_is_of(code, true) for code in codes) for true in line.components) and set(line.reasons) <= reasons


def _is_of(code: str, true: str) -> bool:
    return code == true or (true in _FAMILIES and code.startswith(_FAMILIES[true]))


def judged(lines: list[TradeLine], views: list[View]) -> tuple[list[Any], list[Any]]:
    """Features, whether it is wrong, and the shop: of every used reading, and of every line left out."""
    lexicon = build_lexicon(COMPONENTS, steering_side="left")
    places = {place: code for layout in LAYOUTS.values() for place, code in layout.items()}
    known = LineKnowledge(VEHICLES, places, COMPONENTS, None, lexicon)
    used, dropped = [], []
    for number, (line, view) in enumerate(zip(lines, views, strict=True)):
        words = wording(line.text, lexicon=lexicon)
        blank = RepairLine(_vehicle(line, number), "", "", "", "", words)
        first = line_reading(blank, known=known)
        second = helped_reading(blank, first, view, known=known)
        used += [
            (features_of(reading, words, view, first=first), not is_right(line, reading), line.shop)
            for reading in (first, second)
            if reading is not None and reading.verdict == "kept"
        ]
        if first.verdict == "left_out":
            dropped.append((features_of(first, words, view, first=first), line.kind == "renewal", line.shop))
    return used, dropped


def _vehicle(line: TradeLine, number: int) -> str:
    if any(part.startswith(("cv", "half")) for part in line.components):
        return "all_wheel"
    return "rear_two_piece" if "support_bearing" in line.components else sorted(VEHICLES)[number % len(VEHICLES)]


def _fitted(rows: Rows, wrong: Flags) -> BoostedTrees:
    model = GradientBoostingClassifier(
        n_estimators=120, learning_rate=0.08, max_leaf_nodes=8, max_depth=4, min_samples_leaf=20, subsample=0.7,
        random_state=1,
    ).fit(rows, wrong)  # fmt: skip
    return boosted_trees(model, float(wrong.mean()))


def boosted_trees(model: Any, share: float) -> BoostedTrees:
    """The trees of a fitted model, and the share it begins from."""
    trees = [tree.tree_ for tree in model.estimators_[:, 0]]
    size = max(tree.node_count for tree in trees)

    def padded(of_trees: list[Any], dtype: str) -> Any:
        return np.array([np.pad(np.asarray(values).ravel(), (0, size - len(values))) for values in of_trees], dtype)

    arrays = {
        "feature": padded([tree.feature for tree in trees], "int16"),
        "threshold": padded([tree.threshold for tree in trees], "float64"),
        "left": padded([tree.children_left for tree in trees], "int16"),
        "right": padded([tree.children_right for tree in trees], "int16"),
        "value": padded([tree.value[:, 0, 0] * model.learning_rate for tree in trees], "float64"),
        "base": np.array(logit(share)),
    }
    return BoostedTrees.of(arrays, "")


def _told(name: str, rows: Rows, wrong: Flags, shops: npt.NDArray[np.object_]) -> None:
    """Print how many readings are doubted from some chance on, on shops kept back, and how many of them are wrong."""
    chance = np.empty(len(wrong))
    for learnt, back in GroupKFold(FOLDS).split(rows, wrong, shops):
        chance[back] = _fitted(rows[learnt], wrong[learnt]).chances(rows[back])
    is_shop = np.array([shop.startswith("shops ") for shop in shops])
    for who, some in (("shops", is_shop), ("by hand", ~is_shop)):
        told = ", ".join(
            f"from {limit} on {np.mean(chance[some] >= limit):.1%}, {np.mean(wrong[some & (chance >= limit)]):.0%}"
            for limit in (0.05, 0.1, 0.2, 0.3, 0.4, 0.5)
        )
        sure = some & (chance < 0.05)
        print(f"doubt, {name}, {who}: {some.sum():,}, wrong {np.mean(wrong[some]):.1%}; {told}; "
              f"below 0.05 wrong {np.mean(wrong[sure]):.1%}", flush=True)  # fmt: skip


def learn_doubt(lines: list[TradeLine], views: list[View]) -> None:
    """Learn both doubts, tell how good they are, and write them."""
    stored: dict[str, Any] = {}
    for name, table in zip(("used", "dropped"), judged(lines, views), strict=True):
        rows = np.array([features for features, _, _ in table])
        wrong = np.array([bad for _, bad, _ in table])
        shops = np.array([shop for _, _, shop in table], dtype=object)
        _told(name, rows, wrong, shops)
        trees = _fitted(rows, wrong)
        stored |= {f"{name}_{part}": np.asarray(value) for part, value in vars(trees).items()}
    for name, value in stored.items():
        if value.dtype.kind == "i":
            stored[name] = value.astype(np.int16)
    stored["fingerprint"] = text_array([fingerprint()])
    np.savez_compressed(WEIGHTS, **stored)
    print(f"{WEIGHTS.stat().st_size / 1e3:.0f} kB")

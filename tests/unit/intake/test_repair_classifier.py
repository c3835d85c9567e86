"""What a fleet's own coded lines teach; judged by scikit-learn's metrics and exact binomial chances.

The wordings are made up here, apart from the lexicon and the simulator: parts under several names, words in any
order, slips of the pen, part names that say too little, and codes that are simply wrong.
"""

import subprocess
import sys

import numpy as np
import pytest
from scipy.stats import binom
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss

from wearmodel.intake.learning.repair_classifier import fit_line_classifier

PARTS = {
    "u_joint": ("u joint", "uj", "cardan joint", "universal", "cross joint"),
    "cv_joint_outboard": ("outer cv joint", "outer cv", "cv o/s end"),
    "cv_boot_outboard": ("outer boot", "outer gaiter", "bellow outer"),
    "cv_boot_inboard": ("inner boot", "inner gaiter", "bellow inner"),
    "support_bearing": ("centre brg", "carrier bearing", "hanger"),
    "other": ("wheel bearing", "brake pads", "oil filter", "ball joint", "alternator", "clutch", "wiper", "battery"),
}
SHARES = (0.3, 0.15, 0.12, 0.08, 0.1, 0.25)
DEEDS = ("replaced", "repl", "fitted new", "renewed", "changed", "swapped", "new")
CAUSES = ("noisy", "clunk on take off", "split", "worn out", "play", "at service", "leaking", "dry", "seized")
PLACES = ("rear", "front", "lh", "rh", "left", "right", "axle 1", "")
REMARKS = ("", "", "per foreman", "as per quote", "road test ok", "no charge", "see note", "bay 3", "ordered by depot")
VAGUE = ("joint", "shaft part", "boot", "bearing")


def slip(rng, word):
    if len(word) < 4 or rng.random() > 0.04:
        return word
    at = int(rng.integers(1, len(word) - 1))
    return word[:at] + word[at + 1 :]


def coded_lines(seed, count, *, wrong=0.02, vague=0.05):
    rng = np.random.default_rng(seed)
    codes = list(PARTS)
    texts, labels = [], []
    for code in rng.choice(codes, size=count, p=SHARES):
        part = rng.choice(VAGUE if rng.random() < vague else PARTS[code])
        bits = [rng.choice(words) for words in (DEEDS, PLACES, CAUSES, REMARKS)] + [part]
        bits.append(str(rng.integers(1, 99999)) if rng.random() < 0.4 else "")
        rng.shuffle(bits)
        text = " ".join(slip(rng, word) for word in " ".join(b for b in bits if b).split())
        texts.append(text.upper() if rng.random() < 0.3 else text)
        labels.append(str(rng.choice(codes) if rng.random() < wrong else code))
    return texts, np.array(labels, dtype=object)


@pytest.fixture(scope="module")
def learnt():
    return fit_line_classifier(*coded_lines(1, 2500))


@pytest.mark.parametrize("seed", [11, 12, 13, 14, 15])
@pytest.mark.parametrize("count", [600, 2000])
def test_suggestions_nearly_certain_are_right_as_often_as_they_say(seed, count):
    classifier = fit_line_classifier(*coded_lines(seed, count))
    texts, truth = coded_lines(seed + 1000, 4000)
    found = classifier.suggest(texts)
    sure = found.probability >= 0.95
    right = int((found.label == truth)[sure].sum())
    assert sure.mean() > 0.3  # else there is nothing to judge
    # At least 95 % right but for chance: the lower 1-in-1000 bound of that many draws.
    assert right >= binom.ppf(0.001, int(sure.sum()), 0.95)


def test_probabilities_are_as_good_as_they_claim(learnt):
    texts, truth = coded_lines(77, 6000)
    found = learnt.suggest(texts)
    right = (found.label == truth).astype(int)
    assert found.probability.mean() == pytest.approx(right.mean(), abs=0.02)
    # Independent answer: scikit-learn's own score; without knowledge of single lines it would be acc (1 - acc).
    assert brier_score_loss(right, found.probability) < 0.75 * right.mean() * (1 - right.mean())
    observed, predicted = calibration_curve(right, found.probability, n_bins=8, strategy="quantile")
    spread = np.sqrt(predicted * (1 - predicted) / (len(right) / 8))
    assert (observed > predicted - 3.5 * spread - 0.02).all()  # never much surer than it may be


def test_reported_accuracy_is_that_on_new_wordings(learnt):
    texts, truth = coded_lines(78, 6000)
    accuracy = (learnt.suggest(texts).label == truth).mean()
    spread = np.sqrt(accuracy * (1 - accuracy) * (1 / 6000 + 1 / learnt.wordings))
    assert learnt.accuracy == pytest.approx(accuracy, abs=3.5 * spread)
    table = learnt.calibration
    assert list(table.columns) == ["low", "high", "wordings", "predicted", "observed"]
    assert table["wordings"].sum() == pytest.approx(learnt.wordings)
    assert ((table["predicted"] >= table["low"]) & (table["predicted"] <= table["high"])).all()
    assert np.average(table["observed"], weights=table["wordings"]) == pytest.approx(learnt.accuracy)
    assert np.average(table["predicted"], weights=table["wordings"]) == pytest.approx(learnt.accuracy, abs=0.015)
    wanted = np.sqrt(table["predicted"] * (1 - table["predicted"]) / table["wordings"])
    assert ((table["observed"] - table["predicted"]).abs() < 4 * wanted).all()


def test_a_wording_kept_back_is_kept_back_in_all_its_rows():
    """Codes drawn at random for each wording can only be known by having seen that very wording."""
    rng = np.random.default_rng(5)
    words = [f"{a}{b}" for a in "bcdfghklmn" for b in ("ado", "emi", "ino", "olu")]
    texts, labels = [], []
    for _ in range(400):
        picked = rng.choice(words, size=5, replace=False)
        label = str(rng.choice(["u_joint", "other"]))
        for _ in range(10):  # the same words in another order, with another number
            rng.shuffle(picked)
            texts.append(" ".join(picked) + f" {rng.integers(9999)}")
            labels.append(label)
    classifier = fit_line_classifier(texts, labels)
    assert classifier.accuracy == pytest.approx(0.5, abs=0.12)
    fresh = [" ".join(rng.choice(words, size=5, replace=False)) for _ in range(500)]
    assert (classifier.suggest(fresh).probability < 0.9).all()


def test_texts_of_unknown_words_get_no_more_than_the_share_of_the_label(learnt):
    lines = coded_lines(1, 2500)[1]
    strange = ["flux capacitor wobbled", "zzz qqq", "", "   ", "4711", "#", "\u05d0\u05d1\u05d2 \u05d3\u05d4", "🙂🙂"]
    found = learnt.suggest(strange)
    shares = {label: (lines == label).mean() for label in PARTS}
    for label, probability in zip(found.label, found.probability, strict=True):
        assert probability <= shares[label] + 0.02
    assert (learnt.suggest(["replaced flux capacitor", "new zzz qqq www"]).probability < 0.6).all()


def test_a_lone_vague_word_is_not_taken_for_a_sentence(learnt):
    assert (learnt.suggest(["joint", "boot", "bearing", "replaced joint"]).probability < 0.8).all()


def test_numbers_are_masked_and_case_and_punctuation_do_not_matter(learnt):
    texts = ["Outer Boot split, order 123", "outer boot SPLIT - order 98765", "outer boot split order 7"]
    found = learnt.suggest(texts)
    assert len(set(found.probability)) == 1
    assert set(found.label) == {"cv_boot_outboard"}


def test_order_of_rows_and_repeated_fits_change_nothing(learnt):
    texts, labels = coded_lines(1, 2500)
    order = np.random.default_rng(3).permutation(len(texts))
    again = fit_line_classifier([texts[i] for i in order], labels[order])
    new = coded_lines(79, 300)[0]
    first, second = learnt.suggest(new), again.suggest(new)
    assert (first.label == second.label).all()
    np.testing.assert_array_equal(first.probability, second.probability)
    assert again.accuracy == learnt.accuracy


def test_too_few_lines_teach_nothing():
    texts, labels = coded_lines(2, 400)
    assert fit_line_classifier([], []) is None
    assert fit_line_classifier(texts[:150], labels[:150]) is None
    assert fit_line_classifier(texts, ["u_joint"] * 400) is None
    assert fit_line_classifier(texts, [""] * 400) is None
    assert fit_line_classifier(["uj worn"] * 300 + ["boot split"] * 300, ["u_joint"] * 300 + ["boot"] * 300) is None


def test_rare_labels_are_left_out_and_their_lines_count_as_wrong():
    texts, labels = coded_lines(3, 1000, wrong=0.0, vague=0.0)
    rare = [f"slip yoke {word} greased {place}" for word in CAUSES for place in ("rear", "front")]
    both = fit_line_classifier([*texts, *rare], [*labels, *["slip_spline"] * len(rare)])
    assert both.left_out == ("slip_spline",)
    assert "slip_spline" not in both.labels
    alone = fit_line_classifier(texts, labels)
    assert alone.left_out == ()
    assert alone.labels == tuple(sorted(PARTS))
    expected = alone.accuracy * alone.wordings / (alone.wordings + len(rare))
    assert both.accuracy == pytest.approx(expected, abs=0.003)


def test_a_wording_coded_two_ways_is_never_certain():
    texts, labels = coded_lines(4, 1500, wrong=0.0, vague=0.0)
    doubtful = [f"{cause} {place} drive kit".strip() for cause in CAUSES for place in PLACES]
    both = fit_line_classifier(
        [*texts, *doubtful, *doubtful], [*labels, *["u_joint"] * len(doubtful), *["other"] * len(doubtful)]
    )
    found = both.suggest(doubtful)
    assert set(found.label) <= {"u_joint", "other"}
    assert (found.probability < 0.8).all()
    assert found.probability.mean() == pytest.approx(0.5, abs=0.12)


def test_hostile_text_is_only_text(learnt):
    nasty = ["\x00\x01uj\x00", "=CMD()|'x'", "a" * 100_000, "uj " * 50_000, "\u202euj", "é̂" * 500, "\ud800 uj", "１２"]
    found = learnt.suggest(nasty)
    assert ((found.probability > 0) & (found.probability < 1)).all()
    empty = learnt.suggest([])
    assert len(empty.label) == len(empty.probability) == 0


def test_learning_is_imported_only_when_something_is_learnt():
    code = (
        "import sys, wearmodel.intake.learning.repair_classifier, wearmodel.intake.learning.duty_groups;"
        "import wearmodel.intake.fleet_toml.settings_duty;"
        "assert not [m for m in sys.modules if m.startswith('sklearn')]"
    )
    subprocess.run([sys.executable, "-c", code], check=True)

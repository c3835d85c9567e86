"""What becomes of lines whose reading is doubted, and the trees that doubt them."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from sklearn.ensemble import GradientBoostingClassifier

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS
from wearmodel.intake.learning.trade_reader import View, load_trade_reader
from wearmodel.intake.repairs.doubted_lines import DoubtedLine, settled_lines
from wearmodel.intake.repairs.reading_doubt import FEATURES, features_of, helped_reading, load_reading_doubt
from wearmodel.intake.repairs.repair_lines import LineKnowledge, RepairLine, line_reading
from wearmodel.intake.words.repair_text import build_lexicon, wording

sys.path.insert(0, str(Path(__file__).parents[3] / "data" / "trade_lines"))
from reading_doubts import boosted_trees

VEHICLE = {**LAYOUTS["all_wheel"], **LAYOUTS["slip_spline"]}


@pytest.fixture(scope="module")
def known():
    places = {place: code for layout in LAYOUTS.values() for place, code in layout.items()}
    return LineKnowledge({"van": VEHICLE}, places, COMPONENTS, None, build_lexicon(COMPONENTS, steering_side="left"))


def doubted(text, known, **view):
    """The line with the classifier's view of it, or another one."""
    words = wording(text, lexicon=known.lexicon)
    line = RepairLine("van", "", "", "", "", words)
    seen = replace(load_trade_reader().view(text, words), **view)
    return DoubtedLine(line, line_reading(line, known=known), seen)


def settled(text, known, *, threshold=0.95, **view):
    return settled_lines([doubted(text, known, **view)], known=known, threshold=threshold)[0]


def sure(**of):
    return {**of, **{f"{target}_chance": 0.995 for target in of}}


PLAIN = "rear UJ seized, vehicle recovered, new joint fitted"


def test_trees_say_what_the_library_says():
    # Second answer: the library's own chances, on rows it has not seen.
    rng = np.random.default_rng(5)
    rows = rng.normal(size=(600, 7)).round(2)
    wrong = rng.random(600) < 1.0 / (1.0 + np.exp(-rows[:, 0] * rows[:, 1] - rows[:, 2]))
    model = GradientBoostingClassifier(n_estimators=30, max_leaf_nodes=6, random_state=1).fit(rows, wrong)
    others = rng.normal(size=(200, 7))
    chances = boosted_trees(model, float(wrong.mean())).chances(others)
    assert chances == pytest.approx(model.predict_proba(others)[:, 1], abs=1e-9)


def test_shipped_trees_fit_the_features():
    doubt = load_reading_doubt()
    assert max(doubt.used.feature.max(), doubt.dropped.feature.max()) < len(FEATURES)


def test_every_reading_has_one_state_of_its_reason_and_one_of_its_parts(known):
    one = doubted(PLAIN, known)
    found = dict(zip(FEATURES, features_of(one.reading, one.line.words, one.view, first=one.reading), strict=True))
    assert found["reads failed"] == found["deed renewed"] == 1.0 and found["reason agrees"] > 0.0
    assert sum(found[name] != 0.0 for name in FEATURES if name.startswith("parts ")) == 1


class TestSettled:
    def test_agreement_changes_nothing(self, known):
        one = doubted(PLAIN, known)
        assert settled_lines([one], known=known, threshold=0.95)[0].reading is one.reading

    @pytest.mark.parametrize(
        ("other", "told"),
        [
            (sure(reason="planned"), "mostly say planned"),
            (sure(component="support_bearing"), "mostly about a support_bearing"),
            (sure(deed="idle"), "mostly renew nothing"),
        ],
    )
    def test_a_sure_other_view_is_asked_about(self, known, other, told):
        reading = settled(PLAIN, known, threshold=1.0, **other).reading
        assert reading.verdict == "waiting" and told in reading.problem

    def test_what_words_leave_open_is_told_by_other_lines_where_they_are_sure(self, known):
        text = "drove like a sick camel, rear UJ replaced"
        one = doubted(text, known)
        assert one.reading.verdict == "waiting" and one.reading.open_reason
        told = settled(text, known, threshold=0.5, **sure(deed="renewed", component="u_joint", reason="failed"))
        assert told.reading.reason == "failed" and told.reading.learnt == {"reason"} and told.chance >= 0.5
        assert settled(text, known, threshold=1.0, **sure(reason="failed")).reading.verdict == "waiting"

    def test_a_line_left_out_that_sounds_like_a_renewal_is_asked_about(self, known):
        text = "the thingummy on the propeller went pop, put another one in"
        reading = settled(text, known, threshold=1.0, **sure(deed="renewed", component="u_joint")).reading
        assert reading.verdict == "waiting"
        idle = settled("checked rear UJ, no play", known, **sure(deed="idle")).reading
        assert idle.verdict == "left_out"


def test_which_end_is_never_taken_from_other_lines(known):
    view = View("renewed", 0.999, "cv_boot_outboard", 0.999, "worn", 0.999)
    one = doubted("left CV boot split, replaced", known)
    assert one.reading.verdict == "waiting"
    assert helped_reading(one.line, one.reading, view, known=known) is None

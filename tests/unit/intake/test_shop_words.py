"""Words a shop's own coded lines teach: found where the evidence is there, and only there."""

from itertools import product

import numpy as np
import pytest

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.fleet_toml.settings_lexicon import OwnWords
from wearmodel.intake.learning.shop_words import coded_lines, reason_words, renewal_words
from wearmodel.intake.repairs.learnt_words import with_checked_reason, with_learnt_words
from wearmodel.intake.repairs.line_readings import LineReading
from wearmodel.intake.repairs.repair_lines import LineKnowledge
from wearmodel.intake.words.repair_text import build_lexicon, wording

LEXICON = build_lexicon(COMPONENTS)
PARTS = {
    "rear universal joint": "u_joint", "LH outer CV boot": "cv_boot_outboard",
    "centre support bearing": "support_bearing",
    "RH inner CV joint": "cv_joint_inboard", "prop shaft slip yoke": "slip_spline",
}  # fmt: skip
DAYS = ["", " today", " in bay 2", " on site", " before lunch", " by night shift"]
KNOWN = LineKnowledge({}, {}, COMPONENTS, None, LEXICON)


def lines(coded, others):
    """Coded lines `(template, reason)` and others, each template with every part."""
    rows = [
        (template.format(p=part), component, reason) for template, reason in coded for part, component in PARTS.items()
    ]
    rows += [(template.format(p=part), "", "") for template in others for part in PARTS]
    columns = [np.array(column, dtype=object) for column in zip(*rows, strict=True)]
    return coded_lines(*columns, coded=columns[1] != "")


OTHERS = [f"{{p}} checked{day}" for day in DAYS] + [f"{{p}} replaced{day}" for day in DAYS] + ["{p} greased", "{p} ok"]


def test_a_verb_nobody_else_uses():
    taught = lines([(f"{{p}} worn, zorfed{day}", "worn") for day in DAYS], OTHERS)
    assert set(renewal_words(taught, lexicon=LEXICON)) == {"zorfed"}
    found = with_learnt_words(KNOWN, taught)
    known, words = found.known, found.words
    assert "zorfed" in words.renewal
    assert wording("rear universal joint zorfed", lexicon=known.lexicon).deed == "renewed"
    assert wording("rear universal joint zorfed", lexicon=LEXICON).deed != "renewed"


def test_a_word_that_stands_on_other_work_too_is_none():
    others = [f"{{p}} zorfed and checked{day}" for day in DAYS] + OTHERS
    taught = lines([(f"{{p}} worn, zorfed{day}", "worn") for day in DAYS], others)
    assert renewal_words(taught, lexicon=LEXICON) == {}


@pytest.mark.parametrize("coded", [[], [("{p} zorfed", "worn")]])
def test_too_few_lines_teach_nothing(coded):
    found = with_learnt_words(KNOWN, lines(coded, OTHERS))
    known, words = found.known, found.words
    assert known is KNOWN and not words.renewal and not words.reasons


def test_without_other_work_nothing_can_be_told_apart():
    taught = lines([(f"{{p}} worn, zorfed{day}", "worn") for day in DAYS], [f"{{p}} replaced{day}" for day in DAYS])
    assert renewal_words(taught, lexicon=LEXICON) == {}


def test_a_saying_for_a_reason():
    said = [(f"{{p}} skonked{day}, replaced", "failed") for day in DAYS]
    plain = [
        (f"{{p}} {how}{day}, replaced", reason)
        for (how, reason), day in product({"worn": "worn", "hit by rock": "damage", "due": "planned"}.items(), DAYS)
    ]
    taught = lines(said + plain, OTHERS)
    found = reason_words(taught, lexicon=LEXICON)
    assert found and set(found.values()) == {"failed"} and set(found) & {"skonked"}
    found = with_learnt_words(KNOWN, taught)
    known, words = found.known, found.words
    assert words.reasons
    assert wording("rear universal joint skonked, replaced", lexicon=known.lexicon).reason == "failed"
    assert wording("rear universal joint worn, replaced", lexicon=known.lexicon).reason == "worn"


def test_what_goes_with_any_reason_teaches_none():
    taught = lines(
        [(f"{{p}} blimey{day}, replaced", reason) for day, reason in zip(DAYS, ["failed", "worn"] * 3, strict=True)],
        OTHERS,
    )
    assert not any("blimey" in word for word in reason_words(taught, lexicon=LEXICON))


def test_words_of_the_settings_come_first():
    known = LineKnowledge({}, {}, COMPONENTS, None, LEXICON, OwnWords(words={"zorfed": "checked"}))
    taught = lines([(f"{{p}} worn, zorfed{day}", "worn") for day in DAYS], OTHERS)
    learnt = with_learnt_words(known, taught).known
    assert learnt.own_words.words["zorfed"] == "checked"


@pytest.mark.parametrize(
    ("code", "chance", "verdict", "reason"),
    [
        ("failed", 0.97, "kept", "failed"), ("failed", 0.92, "waiting", "worn"), ("failed", 0.5, "kept", "worn"),
        ("worn", 0.99, "kept", "worn"), ("", float("nan"), "kept", "worn"),
    ],
)  # fmt: skip
def test_a_reason_from_words_is_held_against_coded_lines(code, chance, verdict, reason):
    reading = LineReading("u_joint", "rear.joint_rear", "worn", from_text=("component u_joint", "reason worn"))
    found = with_checked_reason(reading, code, chance, threshold=0.95)
    assert (found.verdict, found.reason) == (verdict, reason)
    if verdict == "waiting":
        assert found.suggestion.reason == code and "coded lines" in found.problem
    elif reason == "failed":
        assert found.from_text == ("component u_joint", "reason failed") and found.learnt == {"reason"}
    else:
        assert found == reading

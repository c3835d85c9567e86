"""`[lexicon]`, `steering_side` and `review_threshold` of fleet.toml."""

import pytest

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.errors import InputError
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.intake.words.repair_text import build_lexicon, wording

OWN = """
steering_side = "right"
review_threshold = 0.8

[components.pto_joint]

[lexicon.parts]
u_joint = ["knuckle", "mark 4 coupling"]
pto_joint = ["pto coupling"]
other = ["uj tool"]

[lexicon.places]
rear = ["back end"]
left = ["street lane"]

[lexicon.reasons]
failed = ["kaputt"]
worn = ["code 7"]

[lexicon.work]
renewed = ["magicked"]
"not renewed" = ["eyeballed"]
later = ["put on the list"]

[lexicon.words]
jzt = "joint"
"""


@pytest.fixture
def settings(tmp_path):
    def read(text):
        (tmp_path / "fleet.toml").write_text(text, encoding="utf-8")
        return read_settings(tmp_path)

    return read


@pytest.fixture
def lexicon(settings):
    found = settings(OWN)
    labels = {code: spec.label for code, spec in found.components.items()}
    return build_lexicon(labels, own_words=found.own_words, steering_side=found.steering_side)


def test_nothing_said(settings):
    found = settings("")
    assert (found.steering_side, found.review_threshold) == ("", 0.95)
    assert not found.own_words.parts and not found.own_words.words


READINGS = [
    ("magicked back end knuckle, kaputt", {"u_joint"}, "rear", "failed", "renewed"),
    ("Mark 4 coupling replaced, code 7", {"u_joint"}, "", "worn", "renewed"),
    ("PTO coupling replaced, worn", {"pto_joint"}, "", "worn", "renewed"),
    ("eyeballed uj", {"u_joint"}, "", "", "tended"),
    ("uj worn, put on the list", {"u_joint"}, "", "worn", "tended"),
    ("universal jzt replaced, worn", {"u_joint"}, "", "worn", "renewed"),
    ("nearside uj replaced, worn", {"u_joint"}, "left", "worn", "renewed"),
]


@pytest.mark.parametrize(("text", "options", "place", "reason", "deed"), READINGS)
def test_own_words_are_read(lexicon, text, options, place, reason, deed):
    (part,) = wording(text, lexicon=lexicon).named
    assert (part.options, part.reason, part.deed) == (options, reason, deed)
    assert part.places == ((frozenset({place}),) if place else ())


def test_own_words_that_are_no_part(lexicon):
    assert not wording("uj tool replaced", lexicon=lexicon).parts
    assert wording("uj tool replaced", lexicon=build_lexicon(COMPONENTS)).parts


@pytest.mark.parametrize(
    ("toml", "sentence"),
    [
        (
            "[lexicon.partz]\nu_joint = ['x']",
            "fleet.toml, key lexicon.partz: not a known key (nearest: 'parts'); correct or remove it.",
        ),
        (
            "[lexicon.parts]\nujoint = ['x']",
            "fleet.toml, key lexicon.parts.ujoint: not a known key (nearest: 'u_joint'); add it under [components].",
        ),
        (
            "[lexicon.reasons]\nfail = ['x']",
            "fleet.toml, key lexicon.reasons.fail: not a known key (nearest: 'failed'); use "
            "failed, worn, planned, collateral, damage, comeback.",
        ),
        (
            "[lexicon.work]\nnever = ['x']",
            "fleet.toml, key lexicon.work.never: not a known key (nearest: 'renewed'); use "
            "renewed, not renewed, later.",
        ),
        (
            "[lexicon.parts]\nu_joint = [3]",
            "fleet.toml, key lexicon.parts.u_joint: holds something that is no phrase; list "
            "plain words, 80 letters at most.",
        ),
        (
            "[lexicon.parts]\nu_joint = ['x']\nslip_spline = ['X']",
            "fleet.toml, key lexicon.parts.slip_spline: 'x' stands under 'u_joint' too; keep it in one place.",
        ),
        (
            "[lexicon.words]\n'a b' = 'joint'",
            "fleet.toml, key lexicon.words.a b: not one word; write a single word on the left.",
        ),
        (
            "[lexicon.words]\njzt = '=joint'",
            "fleet.toml, key lexicon.words.jzt: '=joint' is not plain words; write plain words on the right.",
        ),
        (
            "steering_side = 'middle'",
            "fleet.toml, key steering_side: 'middle' is not one of 'left', 'right'; choose one of them.",
        ),
        (
            "review_threshold = 0.2",
            "fleet.toml, key review_threshold: 0.2 is out of range; a number from 0.5 to 1 is needed here.",
        ),
        ("[lexicon.places]\nsideways = ['x']", None),
    ],
)
def test_refusals(settings, toml, sentence):
    with pytest.raises(InputError) as caught:
        settings(toml)
    (problem,) = caught.value.problems
    assert sentence is None or problem == sentence


@pytest.mark.parametrize(
    ("steering", "text", "side"),
    [
        ("right", "driver's side outer boot", "right"),
        ("right", "kerbside outer boot", "left"),
        ("right", "O/S outer boot", "right"),
        ("right", "n/s outer boot", "left"),
        ("left", "driver side outer boot", "left"),
        ("left", "curb side outer boot", "right"),
        ("left", "passenger outer boot", "right"),
        ("", "passenger side outer boot", "passenger"),
        ("", "offside outer boot", "driver"),
        ("right", "Driver reports outer boot torn", ""),
    ],
)
def test_sides_by_the_driver(steering, text, side):
    (part,) = wording(text, lexicon=build_lexicon(COMPONENTS, steering_side=steering)).named
    assert part.places == (frozenset({"outboard", side} - {""}),)

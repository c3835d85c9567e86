"""What the words of repair lines mean: by common practice of the trade, no source."""

import math

import pytest

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS
from wearmodel.intake.words.repair_text import build_lexicon, named_position, wording
from wearmodel.intake.words.rewritten_text import rewritten

LEXICON = build_lexicon(COMPONENTS)

# text, components named, reason, deed
TEXTS = [
    ("Rear U-joint replaced, worn", ["u_joint"], "worn", "renewed"),
    ("UJ seized and broke, new fitted", ["u_joint"], "failed", "renewed"),
    ("U/J renewed", ["u_joint"], "", "renewed"),
    ("C/V joint outer renewed", ["cv_joint_outboard"], "", "renewed"),
    ("Universal joint changed at scheduled service", ["u_joint"], "planned", "renewed"),
    ("front driveshaft joint knocking, replaced", ["cv_joint_inboard/cv_joint_outboard/u_joint"], "failed", "renewed"),
    ("centre support brg noisy, replaced", ["support_bearing"], "failed", "renewed"),
    ("Carrier bearing collapsed, recovered to depot", ["support_bearing"], "failed", ""),
    ("hanger bearing perished", ["support_bearing"], "worn", ""),
    ("LH outer CV boot split, renewed", ["cv_boot_outboard"], "worn", "renewed"),
    ("Inner gaiter torn", ["cv_boot_inboard"], "worn", ""),
    ("CV boot kit fitted", ["cv_boot_inboard/cv_boot_outboard"], "", "renewed"),
    ("right inboard CV joint seized", ["cv_joint_inboard"], "failed", ""),
    ("CV joint clicking on lock, outer, replaced", ["cv_joint_outboard"], "failed", "renewed"),
    ("tripod joint worn out", ["cv_joint_inboard"], "worn", ""),
    ("slip yoke dry and worn, replaced", ["slip_spline"], "worn", "renewed"),
    ("Steering column UJ play, renewed", ["steering_joint"], "worn", "renewed"),
    ("CV joint and boot renewed, outer", ["cv_boot_outboard", "cv_joint_outboard"], "", "renewed"),
    ("uj replaced while gearbox out, at the same time", ["u_joint"], "collateral", "renewed"),
    ("U-joint replaced as a precaution", ["u_joint"], "planned", "renewed"),
    ("propshaft hit debris, u joint bent", ["u_joint"], "damage", ""),
    ("accident damage, u-joint snapped, renewed", ["u_joint"], "damage", "renewed"),
    ("comeback: u-joint wrongly fitted, replaced again", ["u_joint"], "comeback", "renewed"),
    ("U-joints greased", ["u_joint"], "", "tended"),
    ("Checked u-joints, no play", ["u_joint"], "", "tended"),
    ("u-joint inspected ok", ["u_joint"], "", "tended"),
    ("u-joint checked, found play", ["u_joint"], "worn", "unclear"),
    ("u-joint needs replacing", ["u_joint"], "", "tended"),
    ("UJ to be replaced next visit", ["u_joint"], "", "tended"),
    ("u-joint not replaced", ["u_joint"], "", "tended"),
    ("u-joint noisy, lubricated", ["u_joint"], "failed", "tended"),
    ("Grease leaking from u-joint, replaced", ["u_joint"], "failed", "renewed"),
    ("ball joint boot split, renewed", [], "worn", "renewed"),
    ("wheel bearing noisy, replaced", [], "failed", "renewed"),
    ("steering rack gaiter torn", [], "worn", ""),
    ("boot lid lock replaced", [], "", "renewed"),
    ("brake pads front renewed, worn", [], "worn", "renewed"),
    ("", [], "", ""),
    ("'; DROP TABLE repairs; --", [], "", "unclear"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "parts", "reason", "deed"), TEXTS)
def test_wording(text, parts, reason, deed):
    found = wording(text, lexicon=LEXICON)
    assert sorted("/".join(sorted(part)) for part in found.parts) == parts
    assert (found.reason, found.deed) == (reason, deed)


@pytest.mark.parametrize("text", [text for text, parts, _, _ in TEXTS if parts])
def test_case_and_spaces_do_not_matter(text):
    assert wording(text.upper().replace(" ", "   "), lexicon=LEXICON) == wording(text.lower(), lexicon=LEXICON)


@pytest.mark.parametrize(
    ("text", "hints"),
    [
        ("failed before its planned replacement", ("failed", "planned")),
        ("broken, replaced while in there", ("collateral", "failed")),
        ("u-joint replaced", ()),
    ],
)
def test_reasons_that_contradict_each_other_stay_open(text, hints):
    found = wording(text, lexicon=LEXICON)
    assert found.reason == "" and found.reasons == hints


def test_a_whole_shaft_is_no_part():
    found = wording("Half shaft replaced", lexicon=LEXICON)
    assert found.is_whole_shaft and not found.parts
    assert not wording("Half shaft CV boot replaced", lexicon=LEXICON).is_whole_shaft


def test_components_of_the_fleet_are_words_too():
    lexicon = build_lexicon({**COMPONENTS, "pto_joint": "Power take-off joint"})
    for text in ("PTO joint seized", "power take off joint failed"):
        assert wording(text, lexicon=lexicon).parts == (frozenset({"pto_joint"}),)


POSITIONS = [
    ("rear u-joint", "rear_one_piece", "u_joint", "rear.joint_rear"),
    ("front uj of propshaft", "rear_one_piece", "u_joint", "rear.joint_front"),
    ("centre joint", "rear_two_piece", "u_joint", "rear.joint_centre"),
    ("u-joint", "rear_two_piece", "u_joint", ""),
    ("rear propshaft, front joint", "four_wheel_solid", "u_joint", "rear.joint_front"),
    ("front shaft rear uj", "four_wheel_solid", "u_joint", "front.joint_rear"),
    ("rear uj", "four_wheel_solid", "u_joint", ""),
    ("L/H axle shaft joint", "four_wheel_solid", "u_joint", "axle_left.joint"),
    ("left outer", "all_wheel", "cv_boot_outboard", "left.outboard_boot"),
    ("RH", "all_wheel", "cv_joint_inboard", "right.inboard_joint"),
    ("left and right outer boots", "all_wheel", "cv_boot_outboard", ""),
    ("vehicle left in yard, outer boot", "all_wheel", "cv_boot_outboard", ""),
    ("joint 3", "rear_three_piece", "u_joint", "rear.joint_3"),
    ("second bearing", "rear_three_piece", "support_bearing", "rear.support_bearing_2"),
    ("upper joint", "steering_shaft", "steering_joint", "steering.joint_upper"),
    ("upper joint", "rear_one_piece", "u_joint", ""),
    ("front and rear uj", "rear_one_piece", "u_joint", ""),
]


@pytest.mark.parametrize(("text", "driveline", "component", "position"), POSITIONS)
def test_places(text, driveline, component, position):
    candidates = [place for place, part in LAYOUTS[driveline].items() if part == component]
    assert named_position(wording(text, lexicon=LEXICON).places, candidates=candidates) == position


SLIPS = [
    ("bearign", "bearing"),
    ("joitn", "joint"),
    ("univeral", "universal"),
    ("repalced", "replaced"),
    ("siezed", "seized"),
    ("gaitor", "boot"),
    ("vibratoin", "vibration"),
    ("excesive", "excess"),
    ("propshfat", "prop shaft"),
    ("outter", "outboard"),
    ("carier", "carrier"),
    ("suport", "support"),
    ("replacment", "replaced"),
    ("uj's", "u joint"),
    ("U/JT", "u joint"),
    ("outercv", "outboard cv"),
    ("ujreplaced", "u joint replaced"),
    ("L/H/S", "left"),
    ("o/s/f", "offside front"),
    ("C.V.", "cv"),
    ("3ujs", "3 u joint"),
    ("2off", "2 x"),
    ("(x2)", "x 2"),
    ("no.3", "number 3"),
    ("L&R", "left and right"),
]


@pytest.mark.parametrize(("written", "read"), SLIPS)
def test_spellings(written, read):
    assert LEXICON.words.words(written) == read


@pytest.mark.parametrize(
    "word",
    [
        "board",
        "shift",
        "point",
        "boats",
        "books",
        "charged",
        "reviewed",
        "internal",
        "mountain",
        "sized",
        "danger",
        "overcome",
        "download",
        "infection",
        "violation",
    ],
)
def test_ordinary_words_are_no_slips(word):
    assert LEXICON.words.words(word) in (word, "?")


def test_short_words_are_left_alone():
    assert LEXICON.words.words("bort brig plag shat") == "? ? ? ?"


@pytest.mark.parametrize("text", ["1O4,500 km", "WO448812", "12.05.2024 14:30", "inv 998877-12", "555-0199"])
def test_numbers_and_codes_leave_nothing_behind(text):
    assert not {"1", "2", "3", "4", "5", "6", "7", "8"} & set(LEXICON.words.words(text).split())


def test_texts_that_say_the_same_are_read_once():
    lexicon = build_lexicon(COMPONENTS)
    found = [
        wording(f"Rear uj replaced, worn, order {n * 7919} at {n * 1013} km", lexicon=lexicon) for n in range(10, 210)
    ]
    assert all(one is found[0] for one in found) and len(lexicon.readings) == 1


@pytest.mark.parametrize(
    "text",
    [
        "\x00\x07",
        "🚚 uj 🚚 replaced",
        "ש" * 500,
        "uj " * 5_000,
        "/" * 3_000,
        "a/" * 2_000,
        "(((((",
        "-" * 900,
        "uj" + "-uj" * 600,
        "x" * 100_000,
        "'" * 400,
        "1" * 5_000,
    ],
)
def test_hostile_texts_are_read_like_any_other(text):
    assert wording(text, lexicon=LEXICON) == wording(text, lexicon=LEXICON)


@pytest.mark.parametrize(
    "template", ["{n} {text}", "{text} {n}", "{text} at {n} km, job {n}", "wo{n}: {text}", "{text} every {n}km"]
)
@pytest.mark.parametrize("text", [row[0] for row in TEXTS[::3]])
def test_no_digit_of_a_long_number_matters(template, text):
    """Texts that differ only in long numbers are read once, as the words they come to are the same."""
    written = [template.format(n=n, text=text) for n in ("00000", "12345", "98171", "11111", "84000")]
    assert len({LEXICON.words.words(rewritten(one)) for one in written}) == 1


def test_long_numbers_of_other_lengths_are_not_taken_for_one():
    texts = ("front joint replaced, 2 off", "front joint replaced, 12345 off", "front joint replaced, 7 off")
    quantities = [wording(text, lexicon=LEXICON).named[0].quantity for text in texts]
    assert (quantities[0], quantities[2]) == (2.0, 7.0) and math.isnan(quantities[1])

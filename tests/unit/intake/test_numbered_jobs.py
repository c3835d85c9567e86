"""Jobs a line numbers itself: each is read by itself, unless one names nothing."""

import pytest

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.words.numbered_jobs import numbered_jobs
from wearmodel.intake.words.repair_text import build_lexicon, wording
from wearmodel.intake.words.shaft_names import drive_shafts_are_half_shafts


@pytest.fixture(scope="module")
def lexicon():
    return build_lexicon(COMPONENTS, steering_side="left")


@pytest.mark.parametrize(
    ("text", "jobs"),
    [
        ("1) boot torn, replaced 2) mirror changed", ("boot torn, replaced", "mirror changed")),
        ("#1 noise #2 leak. #1 joint worn. #1 renewed #2 hose", ("noise / joint worn / renewed", "leak / hose")),
        ("2. lamp out. 1. boot split 2. bulb. 1. new 2. new", ("boot split / new", "lamp out / bulb / new")),
        ("replaced 2 - rear joints", ()),
        ("rear joint renewed, part no. 2. Road tested", ()),
        ("1) boot torn, replaced", ()),
        ("1) boot 7) joint", ()),
    ],
)
def test_jobs(text, jobs):
    assert numbered_jobs(text) == jobs


def renewed(text, lexicon):
    return [(sorted(part.options), part.reason) for part in wording(text, lexicon=lexicon).renewed]


def test_what_is_told_of_one_job_is_not_of_the_other(lexicon):
    text = "1. PM 2. NO CRANK. 1. LH OUTER CV BOOT CRACKED 2. STARTER SEIZED. 1. R&R 2. R&R"
    assert renewed(text, lexicon) == [(["cv_boot_outboard"], "worn")]


def test_two_jobs_on_a_driveline_are_two_parts_with_reasons_of_their_own(lexicon):
    text = "#1 ROAD CALL #2 PM. #1 REAR UJ BROKE #2 CENTER BEARING WORN. #1 REPLACED #2 REPLACED"
    assert renewed(text, lexicon) == [(["u_joint"], "failed"), (["support_bearing"], "worn")]


def test_a_renewal_of_nothing_is_read_with_the_rest(lexicon):
    assert renewed("1) rear UJ broken, vehicle recovered 2) replaced", lexicon) == [(["u_joint"], "failed")]


@pytest.mark.parametrize(
    ("texts", "is_half"),
    [
        (["prop UJ worn, renewed"] * 20 + ["driveshaft assy renewed"] * 5, True),
        (["driveshaft carrier bearing replaced"] * 20 + ["CV axle replaced"] * 5, False),
        (["prop UJ worn, renewed"] * 20 + ["rear driveline u-joint replaced"] * 5, False),
        (["prop UJ worn, renewed"] * 3, False),
    ],
)
def test_what_a_shop_calls_its_shafts(texts, is_half):
    assert drive_shafts_are_half_shafts(texts) is is_half

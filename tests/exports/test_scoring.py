"""The measuring itself: a judge that lets mistakes through would make every reader look good."""

import csv

import numpy as np
import pytest
from exporting import TrueRow, export_fleet
from odometer_faults import MI
from scoring import ReadPart, ReadRow, verdict
from shops import shop_named
from true_jobs import TruePart

BOTH_SIDES = ("left.outboard_boot", "right.outboard_boot")


def true_part(component="cv_boot_outboard", position="left.outboard_boot", reason="worn", **changes):
    values = {
        "component": component,
        "position": position,
        "reason": reason,
        "allowed_reasons": frozenset({reason}),
        "candidates": BOTH_SIDES,
        "component_said": True,
        "place": "full",
        "reason_said": True,
        "lead": True,
    }
    return TruePart(**{**values, **changes})


def true_row(*parts, kind="renewal", **changes):
    values = {"coded": False, "numbered": False, "repeats": False, "unit": "", "date": "", "order": "", "words": ""}
    return TrueRow(file="a.csv", row=2, kind=kind, parts=parts, **{**values, **changes})


def read_row(*parts, state="used"):
    return ReadRow(state, tuple(ReadPart(*part, part_number="") for part in parts))


RIGHT = ("cv_boot_outboard", "left.outboard_boot", "worn", 1.0)


def test_a_row_read_rightly():
    judged = verdict(true_row(true_part()), read_row(RIGHT))
    assert (judged.component, judged.place, judged.reason, judged.wrong) == (True, True, True, ())


@pytest.mark.parametrize(
    ("part", "wrong"),
    [
        (("cv_boot_inboard", "left.inboard_boot", "worn", 1.0), "component"),
        (("cv_boot_outboard", "right.outboard_boot", "worn", 1.0), "place"),
        (("cv_boot_outboard", "left.outboard_boot", "failed", 1.0), "reason"),
    ],
)
def test_a_row_read_wrongly(part, wrong):
    assert verdict(true_row(true_part()), read_row(part)).wrong == (wrong,)


def test_a_place_left_open_is_not_right_and_not_wrong():
    judged = verdict(true_row(true_part()), read_row(("cv_boot_outboard", "", "worn", 1.0)))
    assert judged.place is False
    assert judged.wrong == ()


def test_a_part_that_was_not_read_and_one_too_many_are_wrong():
    other = true_part("cv_boot_inboard", "left.inboard_boot", "collateral", lead=False)
    assert "component" in verdict(true_row(true_part(), other), read_row(RIGHT)).wrong
    assert "component" in verdict(true_row(true_part()), read_row(RIGHT, RIGHT)).wrong


def test_one_line_for_both_sides():
    both = true_row(true_part(), true_part(position="right.outboard_boot"))
    assert verdict(both, read_row(("cv_boot_outboard", "", "worn", 2.0))).place is True
    assert verdict(both, read_row(("cv_boot_outboard", "", "worn", 1.0))).component is False


def test_the_reason_of_the_first_part_may_not_get_lost():
    loose = frozenset({"failed", "collateral"})
    joint = true_part("cv_joint_outboard", "left.outboard_joint", "failed")
    boot = true_part(reason="collateral", allowed_reasons=loose, lead=False)
    joint_read = ("cv_joint_outboard", "left.outboard_joint", "failed", 1.0)
    for reason in loose:
        assert verdict(true_row(joint, boot), read_row(joint_read, (*RIGHT[:2], reason, 1.0))).reason is True
    late = ("cv_joint_outboard", "left.outboard_joint", "collateral", 1.0)
    assert verdict(true_row(joint, boot), read_row(late, (*RIGHT[:2], "collateral", 1.0))).reason is False


def test_a_reason_nobody_wrote_may_not_be_given():
    unsaid = true_row(true_part(reason_said=False))
    assert verdict(unsaid, read_row(RIGHT)).wrong == ("reason guessed",)
    assert verdict(unsaid, read_row(state="review")).wrong == ()


@pytest.mark.parametrize(("state", "wrong"), [("review", ()), ("left_out", ("dropped",))])
def test_review_is_not_right_but_not_wrong_and_dropping_is_wrong(state, wrong):
    judged = verdict(true_row(true_part()), read_row(state=state))
    assert judged.component is False
    assert judged.wrong == wrong


@pytest.mark.parametrize("kind", ["look", "grease", "adjust", "later", "other"])
def test_what_renews_nothing_may_not_be_used(kind):
    assert verdict(true_row(kind=kind), read_row(RIGHT)).wrong
    assert not verdict(true_row(kind=kind), read_row(state="left_out")).wrong
    assert not verdict(true_row(kind=kind), read_row(state="review")).wrong


def test_a_repeat_counted_again_is_wrong():
    again = true_row(true_part(), repeats=True)
    assert verdict(again, read_row(RIGHT), twice=True).wrong == ("counted twice",)


@pytest.mark.parametrize("messy", [False, True])
def test_true_rows_name_the_rows_of_the_file(tmp_path, messy):
    export = export_fleet(shop_named("A"), tmp_path, seed=1, vehicles=20, years=3, messy=messy)
    text = (tmp_path / "auftraege.csv").read_text(encoding="cp1252")
    lines = list(csv.reader(text.splitlines(), delimiter=";"))
    assert len(export.rows) > 50
    assert all(lines[row.row - 1][4] == row.words for row in export.rows)


def test_the_same_seed_gives_the_same_export(tmp_path):
    one = export_fleet(shop_named("C"), tmp_path / "one", seed=1, vehicles=10, years=2)
    two = export_fleet(shop_named("C"), tmp_path / "two", seed=1, vehicles=10, years=2)
    assert one.rows == two.rows
    assert any(row.repeats for row in one.rows)


def test_odometer_faults_are_where_the_truth_says(tmp_path):
    export = export_fleet(shop_named("A"), tmp_path, seed=2, vehicles=120, years=6, odometer_faults=True)
    table = export.odometers
    good = table["fault"] == ""
    assert (table.loc[good, "written"] == table.loc[good, "true"]).all()
    assert (table.loc[~good, "written"] != table.loc[~good, "true"]).all()
    swapped = table[table["fault"] == "other_unit"]
    np.testing.assert_allclose(swapped["written"] * MI, swapped["true"], atol=1.0)
    assert {"rollover", "new_cluster", "other_unit", "digit_changed", "digits_swapped"} <= set(table["fault"])

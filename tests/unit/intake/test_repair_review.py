"""What repair lines ask a person, how answers are used, further parts, and what coded lines teach."""

import numpy as np
import pytest

from wearmodel.intake.repairs.repair_checks import check_repairs
from wearmodel.questions import Answer, question_key

LINE = {"order": "N1", "date": "2021-01-01", "unit": "T-2", "odometer": "30000", "quantity": ""}
FRONT = {**LINE, "unit": "000123"}
"""T-1 rear_two_piece, T-2 rear_one_piece, 000123 front_half_shafts, T-4 four_wheel_solid."""


@pytest.fixture
def check(fleet, monkeypatch):
    """The repairs table read with some lines added; gives the reading and the table."""
    caught = {}

    def keep(repairs, **options):
        caught["reading"] = check_repairs(repairs, **{**options, **caught["options"]})
        caught["repairs"] = repairs
        return caught["reading"]

    monkeypatch.setattr("wearmodel.intake.cleaning.check_repairs", keep)

    def run(*lines, toml="", **options):
        for line in lines:
            fleet.add("repairs", **line)
        caught["options"] = options
        fleet.read(toml)
        return caught["reading"], caught["repairs"]

    return run


def row(repairs, place=-1):
    line = repairs.kept().iloc[place]
    return line["component"], line["position"], line["reason"], line["quantity"]


class TestQuestions:
    def test_a_wording_is_asked_once_for_all_its_rows(self, check):
        lines = [{**FRONT, "order": f"N{n}", "text": "CV boot split, renewed"} for n in range(3)]
        reading, repairs = check(*lines)
        (question,) = reading.questions
        assert (question.kind, question.rows, question.row) == ("words", 3, 42)
        assert question.key == question_key("words", "CV boot split, renewed", "", "", "")
        assert question.problem == "could mean cv_boot_inboard or cv_boot_outboard"
        assert question.suggestion == Answer(work="renewed", reason="worn")
        assert np.flatnonzero(repairs.log.waiting).tolist() == [40, 41, 42]

    def test_symptoms_are_only_a_suggestion(self, check):
        reading, _ = check({**LINE, "text": "clunk on take-up, repaired"})
        (question,) = reading.questions
        assert question.suggestion.component == "u_joint" and question.suggestion.reason == "failed"

    def test_an_open_position_is_used_and_asked(self, check):
        reading, repairs = check({**LINE, "unit": "T-4", "text": "rear uj replaced, worn"})
        (question,) = reading.questions
        assert question.kind == "position" and question.choices == ("rear.joint_rear", "front.joint_rear")
        assert question.key == question_key(
            "position", "T-4", "2021-01-01", "N1", "rear uj replaced, worn", "", "u_joint"
        )
        assert row(repairs)[:3] == ("u_joint", "", "worn") and not repairs.log.waiting.any()

    def test_an_unknown_steering_side_says_so(self, check):
        reading, _ = check({**FRONT, "text": "O/S outer boot split, renewed"})
        (question,) = reading.questions
        assert question.choices == ("left.outboard_boot", "right.outboard_boot")
        assert question.problem.endswith(
            "set steering_side in fleet.toml to tell the driver's side from the passenger's"
        )

    def test_with_a_steering_side_there_is_nothing_to_ask(self, check):
        reading, repairs = check({**FRONT, "text": "O/S outer boot split, renewed"}, toml="steering_side = 'right'")
        assert not reading.questions and row(repairs)[1] == "right.outboard_boot"

    def test_returns_ask_nothing(self, check):
        reading, _ = check({**FRONT, "text": "CV boot split, renewed", "quantity": "-1"})
        assert not reading.questions


class TestAnswers:
    TEXT = "CV boot split, renewed"
    KEY = question_key("words", TEXT, "", "", "")

    def test_renewed(self, check):
        answer = Answer(work="renewed", component="cv_boot_inboard", position="left.inboard_boot", reason="worn")
        reading, repairs = check({**FRONT, "text": self.TEXT}, corrections={self.KEY: answer})
        assert row(repairs)[:3] == ("cv_boot_inboard", "left.inboard_boot", "worn") and not reading.questions
        actions = [finding.action for finding in repairs.log.findings()]
        assert any(a.startswith("answered by a person: component cv_boot_inboard, position left.in") for a in actions)

    @pytest.mark.parametrize("work", ["not renewed", "other"])
    def test_nothing_renewed(self, check, work):
        reading, repairs = check({**FRONT, "text": self.TEXT}, corrections={self.KEY: Answer(work=work)})
        (finding,) = repairs.log.findings()
        assert (finding.used, finding.waits, finding.action) == (False, False, "answered by a person")
        assert not reading.questions

    def test_an_answer_without_a_reason_leaves_it_to_the_words(self, check):
        answer = Answer(work="renewed", component="cv_boot_inboard")
        reading, repairs = check({**FRONT, "text": self.TEXT}, corrections={self.KEY: answer})
        assert row(repairs)[:3] == ("cv_boot_inboard", "", "worn")
        assert [question.kind for question in reading.questions] == ["position"]

    def test_an_incomplete_answer_is_asked_again(self, check):
        key = question_key("words", "CV boot changed", "", "", "")
        answer = Answer(work="renewed", component="cv_boot_inboard")
        reading, _ = check({**FRONT, "text": "CV boot changed"}, corrections={key: answer})
        assert [question.key for question in reading.questions] == [key]

    def test_position(self, check):
        text = "rear uj replaced, worn"
        key = question_key("position", "T-4", "2021-01-01", "N1", text, "", "u_joint")
        corrections = {key: Answer(position="front.joint_rear")}
        reading, repairs = check({**LINE, "unit": "T-4", "text": text}, corrections=corrections)
        assert row(repairs)[1] == "front.joint_rear" and not reading.questions

    def test_a_position_that_is_no_choice_is_asked_again(self, check):
        text = "rear uj replaced, worn"
        key = question_key("position", "T-4", "2021-01-01", "N1", text, "", "u_joint")
        corrections = {key: Answer(position="left.outboard_boot")}
        reading, repairs = check({**LINE, "unit": "T-4", "text": text}, corrections=corrections)
        assert row(repairs)[1] == "" and len(reading.questions) == 1


class TestSeveralParts:
    def test_each_is_a_renewal(self, check):
        reading, repairs = check(
            {**LINE, "unit": "T-1", "text": "Replaced rear U-joint and carrier bearing, both worn"}
        )
        assert row(repairs) == ("u_joint", "rear.joint_rear", "worn", 1.0)
        assert reading.further.to_dict("list") == {
            "place": [40], "component": ["support_bearing"], "position": ["rear.support_bearing"], "reason": ["worn"],
            "quantity": [1.0],
            "candidates": [""],
        }  # fmt: skip
        assert not reading.questions

    def test_both_sides(self, check):
        reading, repairs = check({**FRONT, "text": "LH and RH outer CV boots replaced, split"})
        assert row(repairs) == ("cv_boot_outboard", "left.outboard_boot", "worn", 1.0)
        assert reading.further["position"].tolist() == ["right.outboard_boot"]

    def test_a_number_column_that_covers_all_places(self, check):
        reading, repairs = check({**LINE, "component": "u_joint", "reason": "worn", "quantity": "2"})
        assert row(repairs)[1] == "rear.joint_front" and reading.further["position"].tolist() == ["rear.joint_rear"]

    def test_a_row_a_piece_with_the_words_of_the_order(self, check):
        line = {**FRONT, "part_number": "0042", "quantity": "1", "text": "LH and RH outer boots replaced, split"}
        reading, repairs = check(line, {**line, "order": "N2"})
        assert row(repairs)[1] == "" and reading.further.empty and len(reading.questions) == 2

    def test_a_part_with_a_line_of_its_own_is_no_further_part(self, check):
        text = "Replaced rear U-joint and carrier bearing, both worn"
        own = {**LINE, "unit": "T-1", "part_number": "CSB", "reason": "worn", "quantity": "1"}
        reading, _ = check({**LINE, "unit": "T-1", "text": text}, own)
        assert reading.further.empty

    def test_one_part_in_doubt_makes_the_line_wait(self, check):
        reading, _ = check({**FRONT, "text": "LH outer boot and inner joint replaced, boot split"})
        (question,) = reading.questions
        assert question.problem == "does not settle the blank reason: no word of it tells one"


class Teacher:
    """Stands for a classifier: always suggests one code with one probability."""

    def __init__(self, label, probability):
        self.label, self.probability = label, probability

    def suggest(self, texts):
        size = len(texts)
        return type(
            "S", (), {"label": np.full(size, self.label, dtype=object), "probability": np.full(size, self.probability)}
        )


class TestCodedLines:
    @pytest.fixture
    def teach(self, monkeypatch):
        seen = []

        def use(**teachers):
            def fit(texts, labels):
                seen.append(sorted(set(labels)))
                return teachers.get("component" if labels[0].startswith(("u_", "cv_")) else "reason")

            monkeypatch.setattr("wearmodel.intake.learning.repair_classifier.fit_line_classifier", fit)
            return seen

        return use

    @pytest.fixture
    def coded(self, fleet):
        fleet.column("repairs", "text", lambda _: "some words of the shop")
        return fleet

    def test_a_sure_suggestion_is_used(self, coded, check, teach):
        seen = teach(component=Teacher("cv_boot_outboard", 0.98))
        reading, repairs = check({**FRONT, "text": "LH CV boot split, renewed"})
        assert row(repairs)[:3] == ("cv_boot_outboard", "left.outboard_boot", "worn") and not reading.questions
        assert seen[0] == ["cv_boot_outboard", "u_joint"]
        (finding,) = repairs.log.findings()
        told = "component cv_boot_outboard (0.98 sure, learnt from this fleet's coded lines)"
        assert finding.action == f"read from the words as {told}, position left.outboard_boot, reason worn"

    def test_an_unsure_one_is_asked(self, coded, check, teach):
        teach(component=Teacher("cv_boot_outboard", 0.9))
        reading, _ = check({**FRONT, "text": "LH CV boot split, renewed"})
        (question,) = reading.questions
        assert question.suggestion.component == "cv_boot_outboard" and question.probability == 0.9

    def test_the_threshold_is_a_setting(self, coded, check, teach):
        teach(component=Teacher("cv_boot_outboard", 0.9))
        reading, _ = check({**FRONT, "text": "LH CV boot split, renewed"}, review_threshold=0.85)
        assert not reading.questions

    def test_what_the_words_contradict_is_not_used(self, coded, check, teach):
        teach(component=Teacher("u_joint", 0.999))
        reading, _ = check({**FRONT, "text": "LH CV boot split, renewed"})
        (question,) = reading.questions
        assert question.suggestion.component == "" and np.isnan(question.probability)

    def test_reasons_are_learnt_too(self, coded, check, teach):
        teach(reason=Teacher("failed", 0.97))
        reading, repairs = check(
            {**LINE, "text": "rear uj replaced"}, {**LINE, "order": "N2", "text": "rear uj renewed"}
        )
        assert row(repairs)[:3] == ("u_joint", "rear.joint_rear", "failed") and not reading.questions

    def test_a_reason_the_words_contradict_is_not_used(self, coded, check, teach):
        teach(reason=Teacher("comeback", 0.999))
        reading, _ = check({**LINE, "text": "uj failed before planned replacement"})
        assert len(reading.questions) == 1

    def test_nothing_is_learnt_where_nothing_is_open(self, coded, check, teach):
        seen = teach(component=Teacher("u_joint", 0.99))
        check({**LINE, "text": "rear uj replaced, worn"})
        assert not seen


class TestColumnsInWords:
    """Columns of a shop that name a part or a place in words, where no code is known."""

    CASES = (
        (
            {**FRONT, "component": "CV Boot", "text": "LH outer split"},
            ("cv_boot_outboard", "left.outboard_boot", "worn"),
        ),
        (
            {**FRONT, "component": "CV Joint", "position": "LH Outer", "text": "seized"},
            ("cv_joint_outboard", "left.outboard_joint", "failed"),
        ),
        (
            {**FRONT, "component": "CV BOOT - OUTER", "text": "right, cracked, renewed"},
            ("cv_boot_outboard", "right.outboard_boot", "worn"),
        ),
        (
            {**FRONT, "position": "right outer", "text": "CV boot split, renewed"},
            ("cv_boot_outboard", "right.outboard_boot", "worn"),
        ),
        ({**LINE, "component": "UJ", "position": "Rear", "text": "worn"}, ("u_joint", "rear.joint_rear", "worn")),
    )

    @pytest.mark.parametrize(("line", "expected"), CASES)
    def test_read(self, check, line, expected):
        reading, repairs = check(line)
        assert row(repairs)[:3] == expected and not reading.questions


def test_the_codes_of_the_columns_come_first(check):
    line = {**LINE, "unit": "T-1", "component": "u_joint", "position": "rear.joint_rear", "reason": "planned"}
    reading, repairs = check({**line, "text": "centre bearing collapsed, replaced"})
    assert row(repairs)[:3] == ("u_joint", "rear.joint_rear", "planned")
    assert reading.further.empty and not reading.questions

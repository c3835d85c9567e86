"""Answers on lines that name several parts settle every one of them."""

import pytest

from wearmodel.intake.corrections import check_answer, normal_answer
from wearmodel.intake.repairs.answered_lines import answered_columns, with_positions
from wearmodel.intake.repairs.line_readings import FurtherPart, LineReading
from wearmodel.intake.repairs.repair_checks import check_repairs
from wearmodel.questions import Answer, question_key

LINE = {"order": "N1", "date": "2021-01-01", "unit": "T-1", "odometer": "30000", "quantity": ""}
FRONT = {**LINE, "unit": "000123"}
WHERE = {"unit": "T-1", "date": "2021-01-01", "order": "N1", "text": "both ujs", "part_number": ""}
COMPONENTS = ("u_joint", "support_bearing", "cv_joint_outboard", "cv_boot_outboard")


@pytest.fixture
def parts(fleet, monkeypatch):
    """Reads one more line with answers; gives its parts as (component, position, reason), and the questions left."""
    caught = {}

    def keep(repairs, **options):
        caught["reading"] = check_repairs(repairs, **{**options, **caught["options"]})
        caught["repairs"] = repairs
        return caught["reading"]

    monkeypatch.setattr("wearmodel.intake.cleaning.check_repairs", keep)

    def run(line, **corrections):
        fleet.add("repairs", **line)
        caught["options"] = {"corrections": corrections}
        fleet.read("")
        reading, kept = caught["reading"], caught["repairs"].kept()
        names = ["component", "position", "reason"]
        rows = [] if caught["repairs"].log.waiting.any() else [kept.iloc[-1][names], *reading.further[names].iloc]
        return [tuple(row) for row in rows], reading.questions

    return run


def words_key(text):
    return question_key("words", text, "", "", "")


class TestWords:
    TEXT = "Replaced rear U-joint and carrier bearing"

    def test_the_suggestion_names_every_part(self, parts):
        _, (question,) = parts({**LINE, "text": self.TEXT})
        assert question.suggestion == Answer(work="renewed", component="u_joint; support_bearing")

    def test_one_reason_for_all(self, parts):
        answer = Answer(work="renewed", component="u_joint; support_bearing", reason="worn")
        found, questions = parts({**LINE, "text": self.TEXT}, **{words_key(self.TEXT): answer})
        assert found == [
            ("u_joint", "rear.joint_rear", "worn"), ("support_bearing", "rear.support_bearing", "worn"),
        ] and not questions  # fmt: skip

    def test_a_reason_for_each(self, parts):
        answer = Answer(work="renewed", component="support_bearing; u_joint", reason="failed; collateral")
        found, questions = parts({**LINE, "text": self.TEXT}, **{words_key(self.TEXT): answer})
        assert found == [
            ("support_bearing", "rear.support_bearing", "failed"), ("u_joint", "rear.joint_rear", "collateral"),
        ] and not questions  # fmt: skip

    def test_only_a_reason_leaves_the_parts_to_the_words(self, parts):
        found, _ = parts({**LINE, "text": self.TEXT}, **{words_key(self.TEXT): Answer(work="renewed", reason="worn")})
        assert [part for part, _, _ in found] == ["u_joint", "support_bearing"]

    def test_an_answer_with_one_part_says_that_it_was_the_only_one(self, parts):
        answer = Answer(work="renewed", component="u_joint", reason="worn")
        found, _ = parts({**LINE, "text": self.TEXT}, **{words_key(self.TEXT): answer})
        assert found == [("u_joint", "rear.joint_rear", "worn")]

    def test_what_words_leave_open_is_asked_of_each_part(self, parts):
        text = "CV joint and boot done"
        answer = Answer(work="renewed", component="cv_joint_outboard; cv_boot_outboard", reason="failed; collateral")
        found, questions = parts({**FRONT, "text": text}, **{words_key(text): answer})
        assert [position for _, position, _ in found] == ["", ""]
        assert [question.kind for question in questions] == ["position", "position"]
        left = {question.key: Answer(position=question.choices[0]) for question in questions}
        found, questions = parts({**FRONT, "text": text}, **{words_key(text): answer, **left})
        assert {position for _, position, _ in found} >= {"left.outboard_joint"}

    def test_a_part_the_vehicle_lacks_is_not_used(self, parts):
        answer = Answer(work="renewed", component="u_joint; cv_boot_outboard", reason="worn")
        found, _ = parts({**LINE, "text": self.TEXT}, **{words_key(self.TEXT): answer})
        assert ("cv_boot_outboard", "", "worn") not in found


class TestPositions:
    CANDIDATES = ("rear.joint_front", "rear.joint_centre", "rear.joint_rear")

    def settled(self, reading, **answers):
        return with_positions(reading, row=WHERE, corrections=answers)

    def key(self, component):
        return question_key("position", "T-1", "2021-01-01", "N1", "both ujs", "", component)

    def test_two_counted_together_get_two_positions(self):
        reading = LineReading("u_joint", "", "worn", quantity=2.0, candidates=self.CANDIDATES)
        answer = Answer(position="rear.joint_rear; rear.joint_centre")
        found, told = self.settled(reading, **{self.key("u_joint"): answer})
        assert (found.position, found.quantity, found.candidates) == ("rear.joint_rear", 1.0, ())
        assert found.further == (FurtherPart("u_joint", "rear.joint_centre", "worn", 1.0),)
        assert told == ("rear.joint_rear", "rear.joint_centre")

    @pytest.mark.parametrize(
        "position", ["rear.joint_rear; rear.joint_rear", "rear.joint_rear; rear.joint_front; rear.joint_centre", "left"]
    )
    def test_what_is_not_possible_settles_nothing(self, position):
        reading = LineReading("u_joint", "", "worn", quantity=2.0, candidates=self.CANDIDATES)
        assert self.settled(reading, **{self.key("u_joint"): Answer(position=position)}) == (reading, ())

    def test_further_parts_are_settled_by_their_own_question(self):
        boot = FurtherPart("cv_boot_outboard", "", "worn", 1.0, ("left.outboard_boot", "right.outboard_boot"))
        reading = LineReading("u_joint", "rear.joint_rear", "worn", further=(boot,))
        answer = Answer(position="right.outboard_boot")
        found, told = self.settled(reading, **{self.key("cv_boot_outboard"): answer})
        assert found.further[0].position == "right.outboard_boot" and not found.further[0].candidates
        assert told == ("right.outboard_boot",)

    def test_two_parts_of_a_kind_are_told_apart_by_where_they_can_be(self):
        front, rear = ("front.joint_front", "front.joint_rear"), ("rear.joint_front", "rear.joint_rear")
        reading = LineReading(
            "u_joint", "", "worn", candidates=front, further=(FurtherPart("u_joint", "", "worn", 1.0, rear),)
        )
        answers = {
            self.key(f"u_joint {'; '.join(front)}"): Answer(position="front.joint_rear"),
            self.key(f"u_joint {'; '.join(rear)}"): Answer(position="rear.joint_front"),
        }
        found, _ = self.settled(reading, **answers)
        assert (found.position, found.further[0].position) == ("front.joint_rear", "rear.joint_front")


class TestAnswers:
    def test_semicolons_are_made_uniform(self):
        answer = normal_answer({"component": "U_joint ;support_bearing;", "reason": "worn"})
        assert answer == Answer(component="u_joint; support_bearing", reason="worn")

    @pytest.mark.parametrize("reason", ["worn", "worn; collateral", ""])
    def test_known_ones_pass(self, reason):
        answer = Answer(work="renewed", component="u_joint; support_bearing", reason=reason)
        assert not check_answer(answer, components=COMPONENTS)

    @pytest.mark.parametrize(
        ("component", "reason", "column", "problem"),
        [
            ("u_joint; uj", "worn", "component", "is not a known component"),
            ("u_joint; support_bearing", "worn; wron", "reason", "is not a known reason"),
            ("u_joint", "worn; collateral", "reason", "names 2 reasons for 1 component"),
        ],
    )
    def test_others_are_refused(self, component, reason, column, problem):
        (fault,) = check_answer(Answer(component=component, reason=reason), components=COMPONENTS)
        assert fault.column == column and fault.problem.startswith(problem)

    def test_each_part_takes_the_position_that_holds_it(self):
        answer = Answer(component="u_joint; support_bearing", position="rear.support_bearing; rear.joint_rear")
        held = {"rear.joint_rear": "u_joint", "rear.support_bearing": "support_bearing"}
        found = answered_columns(answer, component="", positions=held)
        assert [part.position for part in found] == ["rear.joint_rear", "rear.support_bearing"]

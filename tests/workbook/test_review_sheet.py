"""Questions written to a planner workbook, answered there, read back and kept: the whole loop."""

import datetime as dt
import shutil
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from planner_example import LABELS, ExamplePlan, ExampleSettings, build_example_plan
from questions_example import CHOICES, HOSTILE, build_questions
from recalculation import convert, differences, formula_cells, open_book, read_book

from wearmodel.errors import InputError
from wearmodel.intake.corrections import add_answers, read_corrections
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.questions import Answer, Question, build_review, question_key
from workbook.answers import read_answers
from workbook.planner import write_planner

SHEET = "To settle"
HEADINGS = ["Take the suggestion", "Work done?", "Component", "Position", "Reason", "Odometer"]
Cells = Mapping[str, object]


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return replace(build_example_plan(), tables={"review": build_review(build_questions())})


@pytest.fixture(scope="module")
def planner(plan: ExamplePlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    write_planner(plan, path)
    return path


def write_questions(plan: ExamplePlan, path: Path, *questions: Question) -> Path:
    write_planner(replace(plan, tables={"review": build_review(questions)}), path)
    return path


def header_row(sheet: Any) -> int:
    return next(cell.row for row in sheet.iter_rows() for cell in row if cell.value == "What was written")


def columns_of(sheet: Any) -> dict[str, int]:
    return {cell.value: cell.column for cell in sheet[header_row(sheet)] if cell.value}


def row_of(sheet: Any, key: str) -> int:
    column = columns_of(sheet)["Key"]
    return next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, column).value == key)


def answered(
    planner: Path, folder: Path, answers: Mapping[str, Cells], change: Callable[[Any], None] | None = None
) -> Path:
    """A copy of the planner with these cells filled in, by key and heading."""
    book = open_book(planner, values=False)
    sheet = book[SHEET]
    columns = columns_of(sheet)
    for key, cells in answers.items():
        row = row_of(sheet, key)
        for heading, value in cells.items():
            sheet.cell(row, columns[heading]).value = value
    if change:
        change(book)
    path = folder / "answered.xlsx"
    book.save(path)
    return path


def refused(planner: Path, folder: Path, answers: Mapping[str, Cells]) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_answers(answered(planner, folder, answers))
    return list(caught.value.problems)


def asked(index: int) -> Question:
    """A question of the example: 0 to 7 are about words, 8 to 37 about positions, 38 to 43 about odometers."""
    return build_questions()[index]


def answers_of_every_kind() -> dict[str, Cells]:
    return {
        asked(0).key: {"Take the suggestion": "x"},
        asked(1).key: {"Work done?": "renewed", "Component": "Centre support bearing", "Reason": "worn: found in time"},
        asked(2).key: {"Work done?": "not renewed"},
        asked(3).key: {"Component": "u_joint", "Reason": "Failed"},
        asked(4).key: {"Work done?": "other part"},
        asked(8).key: {"Position": "rear.joint_centre"},
        asked(9).key: {"Take the suggestion": True},
        asked(38).key: {"Take the suggestion": "Yes"},
        asked(39).key: {"Odometer": 104501.5},
        asked(40).key: {"Odometer": "ignore"},
        asked(41).key: {"Odometer": "104503"},
        asked(42).key: {"Take the suggestion": "no"},
    }


def expected_of_every_kind() -> dict[str, Answer]:
    return {
        asked(0).key: Answer("renewed", "cv_boot_outboard", "", "failed"),
        asked(1).key: Answer("renewed", "support_bearing", "", "worn"),
        asked(2).key: Answer("not renewed"),
        asked(3).key: Answer("renewed", "u_joint", "", "failed"),
        asked(4).key: Answer("other"),
        asked(8).key: Answer(position="rear.joint_centre"),
        asked(9).key: Answer(position="left.outboard_boot"),
        asked(38).key: Answer(odometer="104500"),
        asked(39).key: Answer(odometer="104501.5"),
        asked(40).key: Answer(odometer="ignore"),
        asked(41).key: Answer(odometer="104503"),
    }


def test_every_question_is_shown_those_that_settle_most_rows_first(planner: Path, plan: ExamplePlan) -> None:
    sheet = read_book(planner, values=True)[SHEET]
    top, columns = header_row(sheet), columns_of(sheet)
    rows = [sheet.cell(row, columns["Rows it settles"]).value for row in range(top + 1, sheet.max_row + 1)]
    assert len(rows) == len(plan.tables["review"]) == 44
    assert rows == sorted(rows, reverse=True)
    assert sheet.cell(top + 1, columns["Suggestion"]).value == "renewed, Outboard CV boot, failed"
    assert sheet.cell(top + 1, columns["Where it stands first"]).value == "repairs.csv row 300"
    assert sheet.cell(row_of(sheet, asked(7).key), columns["Suggestion"]).value == "none"
    assert sheet.cell(row_of(sheet, asked(38).key), columns["Suggestion"]).value == "read it as 104500"


def test_cells_to_fill_are_blank_and_those_not_asked_for_are_grey(planner: Path) -> None:
    sheet = read_book(planner, values=True)[SHEET]
    columns = columns_of(sheet)
    open_cells = {0: {0, 1, 2, 4}, 7: {1, 2, 4}, 8: {3}, 9: {0, 3}, 38: {0, 5}}
    for index, places in open_cells.items():
        row = row_of(sheet, asked(index).key)
        cells = [sheet.cell(row, columns[heading]) for heading in HEADINGS]
        assert [cell.value for cell in cells] == [None] * 6
        yellow = {place for place, cell in enumerate(cells) if cell.fill.fgColor.rgb == "FFFFF2C4"}
        grey = {place for place, cell in enumerate(cells) if cell.fill.fgColor.rgb == "FFDDE2E6"}
        assert (yellow, grey) == (places, set(range(6)) - places), index


def lists_at(sheet: Any, row: int) -> dict[str, list[str]]:
    """What the drop-down lists of one row offer, by heading."""
    offered = {}
    for heading in HEADINGS:
        cell = sheet.cell(row, columns_of(sheet)[heading]).coordinate
        for rule in sheet.data_validations.dataValidation:
            if cell in rule.sqref:
                assert rule.type == "list"
                name, area = rule.formula1.split("!")
                offered[heading] = [c.value for line in sheet.parent[name.strip("'")][area] for c in line]
    return offered


def test_drop_down_lists_offer_what_can_be_answered(planner: Path) -> None:
    sheet = read_book(planner, values=False)[SHEET]
    words = lists_at(sheet, row_of(sheet, asked(0).key))
    assert words["Take the suggestion"] == ["x", "yes"]
    assert words["Work done?"] == ["renewed", "not renewed", "other part"]
    assert words["Component"] == list(LABELS.values())
    assert [text.split(":")[0] for text in words["Reason"]] == [
        "failed", "worn", "planned", "collateral", "damage", "comeback",
    ]  # fmt: skip
    assert set(words) == {"Take the suggestion", "Work done?", "Component", "Reason"}
    assert lists_at(sheet, row_of(sheet, asked(8).key)) == {"Position": list(CHOICES["u_joint"])}
    boots = lists_at(sheet, row_of(sheet, asked(9).key))
    assert boots == {"Take the suggestion": ["x", "yes"], "Position": list(CHOICES["cv_boot_outboard"])}
    assert lists_at(sheet, row_of(sheet, asked(38).key))["Odometer"] == ["right", "ignore"]


def test_the_key_stays_in_sight_and_what_only_the_program_reads_is_folded_away(planner: Path) -> None:
    sheet = read_book(planner, values=False)[SHEET]
    hidden = {letter for letter, shape in sheet.column_dimensions.items() if shape.hidden}
    columns = {text: sheet.cell(1, column).column_letter for text, column in columns_of(sheet).items()}
    assert columns["Suggested work"] in hidden
    assert columns["Key"] not in hidden
    assert sheet.auto_filter.ref.endswith(f"{columns['Possible positions']}{sheet.max_row}")


def test_hostile_wording_stays_text(planner: Path) -> None:
    sheet = read_book(planner, values=False)[SHEET]
    found = {HOSTILE: 0, "@SUM(A1:A9)": 0, "-2 joints": 0}
    for row in sheet.iter_rows():
        for cell in row:
            if cell.value in found:
                found[cell.value] += 1
                assert (cell.data_type, cell.quotePrefix) == ("s", True)
    assert set(found.values()) == {1}
    turned = sheet.cell(row_of(sheet, asked(3).key), columns_of(sheet)["What was written"]).value
    assert ("\u202e" in asked(3).text, turned) == (True, "prop. uj kit x1 see notes \U0001f527 evil")


def test_a_hostile_or_doubtful_label_is_offered_as_its_code(plan: ExamplePlan, tmp_path: Path) -> None:
    labels = {"u_joint": "=1+1", "yoke": "Yoke", "fork": "yoke", "u": "u_joint"}
    components = {code: SimpleNamespace(code=code, label=label, clock="km") for code, label in labels.items()}
    path = tmp_path / "planner.xlsx"
    tables = {"review": build_review([asked(0)])}
    write_planner(replace(plan, settings=ExampleSettings(components=components), tables=tables), path)
    sheet = read_book(path, values=False)[SHEET]
    assert lists_at(sheet, row_of(sheet, asked(0).key))["Component"] == ["u_joint", "yoke", "fork", "u"]


def test_the_count_lives(planner: Path, tmp_path: Path) -> None:
    assert differences(planner, convert(planner, to="xlsx", folder=tmp_path)) == []
    cached = read_book(planner, values=True)[SHEET]
    assert any(cell[0].value == "0 answered, 44 open; the answers settle 0 of 216 rows" for cell in cached.iter_rows())
    path = answered(planner, tmp_path, {asked(0).key: {"Take the suggestion": "x"}, asked(8).key: {"Position": "?"}})
    new = read_book(convert(path, to="xlsx", folder=tmp_path), values=True)[SHEET]
    assert any(cell[0].value == "2 answered, 42 open; the answers settle 41 of 216 rows" for cell in new.iter_rows())
    assert sum(1 for sheet, _, _ in formula_cells(planner) if sheet == SHEET) == 45


def test_more_questions_than_fit_are_counted(plan: ExamplePlan, tmp_path: Path) -> None:
    many = [replace(asked(0), key=f"{i:012x}", rows=1 + i % 7) for i in range(2100)]
    path = write_questions(plan, tmp_path / "planner.xlsx", *many)
    sheet = read_book(path, values=True)[SHEET]
    text = [cell.value for row in sheet.iter_rows(max_row=10) for cell in row if isinstance(cell.value, str)]
    assert any(line.startswith("Shown: 2,000 of 2,100 rows, those that settle most lines first") for line in text)
    assert sheet.max_row - header_row(sheet) == 2000
    column = columns_of(sheet)["Rows it settles"]
    assert [sheet.cell(row, column).value for row in (header_row(sheet) + 1, sheet.max_row)] == [7, 1]


def test_answers_are_read_back_kept_and_read_again(planner: Path, plan: ExamplePlan, tmp_path: Path) -> None:
    folder = tmp_path / "fleet"
    folder.mkdir()
    answers = read_answers(answered(planner, tmp_path, answers_of_every_kind()))
    assert dict(answers) == expected_of_every_kind()
    day = dt.date(2026, 7, 1)
    assert add_answers(folder, answers, questions_frame=plan.tables["review"], answered_on=day) == 11
    kept = read_corrections(folder, settings=read_settings(folder))
    assert dict(kept.answers) == expected_of_every_kind()
    assert kept.frame.set_index("key").loc[asked(4).key, "text"] == HOSTILE
    assert add_answers(folder, answers, questions_frame=plan.tables["review"], answered_on=day) == 0


def test_an_unanswered_planner_has_no_answers(planner: Path, plan: ExamplePlan, tmp_path: Path) -> None:
    assert read_answers(planner) == {}
    assert read_answers(write_questions(plan, tmp_path / "planner.xlsx")) == {}


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_answers_are_read_from_a_copy_saved_by_another_program(planner: Path, tmp_path: Path, kind: str) -> None:
    path = answered(planner, tmp_path, answers_of_every_kind())
    assert dict(read_answers(convert(path, to=kind, folder=tmp_path))) == expected_of_every_kind()


def test_rows_and_columns_may_move(planner: Path, tmp_path: Path) -> None:
    def shuffle(book: Any) -> None:
        sheet = book[SHEET]
        for area in list(sheet.merged_cells.ranges):
            sheet.unmerge_cells(str(area))
        top = header_row(sheet)
        cells = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=top)]
        sheet.delete_rows(1, sheet.max_row)
        # A column in front, one in between, the rest in reverse; rows in reverse below a note and a gap.
        for at, line in enumerate([cells[0], *reversed(cells[1:-1]), [], cells[-1]], start=9):
            turned = ["", *reversed(line)]
            for place, value in enumerate([*turned[:5], "", *turned[5:]], start=1):
                sheet.cell(at, place).value = value
        sheet.cell(2, 3).value = "my notes: Component, Key"
        sheet.title = "to  settle "

    path = answered(planner, tmp_path, answers_of_every_kind(), shuffle)
    assert dict(read_answers(path)) == expected_of_every_kind()


@pytest.mark.parametrize(
    ("index", "cells", "column", "sentence"),
    [
        (0, {"Component": "Univresal joint", "Reason": "worn"}, "Component", "'Univresal joint' is not a known"),
        (0, {"Work done?": "mended"}, "Work done?", "'mended' is not known; write"),
        (0, {"Component": "u_joint", "Reason": "age"}, "Reason", "'age' is not a known reason (nearest: 'damage')"),
        (8, {"Position": "rear.joint_reer"}, "Position", "is not a possible position (nearest: 'rear.joint_rear')"),
        (8, {"Position": "left.outboard_boot"}, "Position", "'left.outboard_boot' is not a possible position"),
        (38, {"Odometer": "1O4,500"}, "Odometer", "'1O4,500' is not an odometer from 0 to 10,000,000; write the plain"),
        (38, {"Odometer": -5}, "Odometer", "'-5' is not an odometer"),
        (38, {"Odometer": "=1+1"}, "Odometer", "is not an odometer"),
        (0, {"Take the suggestion": "perhaps"}, "Take the suggestion", "'perhaps' is not known; write x"),
        (7, {"Take the suggestion": "x"}, "Take the suggestion", "'x' takes a suggestion, but there is none; clear"),
        (0, {"Take the suggestion": "x", "Reason": "worn"}, "Reason", "'worn' differs from the suggestion"),
        (0, {"Odometer": 5}, "Odometer", "'5' is not asked for here; clear the cell."),
        (8, {"Work done?": "renewed"}, "Work done?", "'renewed' is not asked for here"),
        (0, {"Work done?": "other part", "Component": "u_joint"}, "Component", "does not go with the work 'other"),
        (0, {"Work done?": "not renewed", "Reason": "worn"}, "Reason", "does not go with the work 'not renewed'"),
        (0, {"Work done?": "renewed"}, "Component", "is blank, but a part that was renewed needs its component; fill"),
        (0, {"Component": "u_joint"}, "Reason", "is blank, but a part that was renewed needs its reason; fill it in"),
        (1, {"Work done?": "renewed"}, "Component", "is blank, but a part that was renewed needs its component"),
        (7, {"Reason": "worn"}, "Component", "is blank, but a part that was renewed needs its component"),
        (0, {"Take the suggestion": "x", "Key": "12"}, "Key", "'12' is not the key of a question; restore it"),
        (0, {"Take the suggestion": "x", "About": "brakes"}, "About", "'brakes' is not a kind of question; restore"),
        (0, {"Take the suggestion": "x", "Suggested component": "yoke"}, "Suggested component", "'yoke' is not"),
    ],
)
def test_a_wrong_answer_is_one_sentence(
    planner: Path, tmp_path: Path, index: int, cells: Cells, column: str, sentence: str
) -> None:
    row = row_of(read_book(planner, values=True)[SHEET], asked(index).key)
    # A formula typed by openpyxl has no value until a spreadsheet program computes it.
    if cells.get("Odometer") == "=1+1":
        path = answered(planner, tmp_path, {asked(index).key: cells}, lambda book: _as_text(book, row))
        with pytest.raises(InputError) as caught:
            read_answers(path)
        problems = list(caught.value.problems)
    else:
        problems = refused(planner, tmp_path, {asked(index).key: cells})
    assert problems[0].startswith(f"answered.xlsx sheet To settle row {row}, column {column}: ")
    assert sentence in problems[0]


def _as_text(book: Any, row: int) -> None:
    cell = book[SHEET].cell(row, columns_of(book[SHEET])["Odometer"])
    cell.data_type = "s"


def test_what_a_suggestion_leaves_open_need_not_be_answered(plan: ExamplePlan, tmp_path: Path) -> None:
    question = replace(asked(0), suggestion=Answer("renewed", "", "", "worn"))
    path = write_questions(plan, tmp_path / "planner.xlsx", question)
    read = read_answers(answered(path, tmp_path, {question.key: {"Reason": "planned"}}))
    assert dict(read) == {question.key: Answer("renewed", "", "", "planned")}


def test_words_with_possible_positions_may_name_one(plan: ExamplePlan, tmp_path: Path) -> None:
    places = CHOICES["u_joint"]
    question = replace(asked(0), suggestion=Answer("renewed", "u_joint", places[1], "worn"), choices=places)
    path = write_questions(plan, tmp_path / "planner.xlsx", question)
    assert dict(read_answers(answered(path, tmp_path, {question.key: {"Take the suggestion": "x"}}))) == {
        question.key: question.suggestion
    }
    cells = {"Component": "Universal joint", "Reason": "worn: found in time", "Position": places[2]}
    assert read_answers(answered(path, tmp_path, {question.key: cells}))[question.key].position == places[2]


def test_answers_to_one_question_must_agree(planner: Path, tmp_path: Path) -> None:
    def repeat(book: Any) -> None:
        sheet = book[SHEET]
        columns = columns_of(sheet)
        first, second = row_of(sheet, asked(2).key), row_of(sheet, asked(3).key)
        for heading, column in columns.items():
            if heading not in HEADINGS:
                sheet.cell(second, column).value = sheet.cell(first, column).value

    same = {key: {"Work done?": "not renewed"} for key in (asked(2).key, asked(3).key)}
    assert dict(read_answers(answered(planner, tmp_path, same, repeat))) == {asked(2).key: Answer("not renewed")}
    other = {**same, asked(3).key: {"Work done?": "other part"}}
    with pytest.raises(InputError) as caught:
        read_answers(answered(planner, tmp_path, other, repeat))
    assert len(caught.value.problems) == 1
    assert "is answered otherwise in row" in caught.value.problems[0]


def test_many_wrong_answers_are_counted(planner: Path, tmp_path: Path) -> None:
    problems = refused(planner, tmp_path, {asked(i).key: {"Position": "nowhere"} for i in range(8, 38)})
    assert len(problems) == 21
    assert problems[-1] == "... and 10 more"


def test_a_workbook_that_is_no_planner_is_refused(planner: Path, tmp_path: Path) -> None:
    def without(name: str) -> Callable[[Any], None]:
        return lambda book: book.__delitem__(name)

    def renamed(book: Any) -> None:
        sheet = book[SHEET]
        sheet.cell(header_row(sheet), columns_of(sheet)["Reason"]).value = "Why"

    def doubled(book: Any) -> None:
        sheet = book[SHEET]
        sheet.cell(header_row(sheet), sheet.max_column + 3).value = "Component"

    one = {asked(0).key: {"Take the suggestion": "x"}}
    cases: list[tuple[Callable[[Any], None], str]] = [
        (without(SHEET), "answered.xlsx has no sheet 'To settle' (nearest: "),
        (without("Lists"), "answered.xlsx has no sheet 'Lists' (nearest: "),
        (renamed, "answered.xlsx sheet To settle lacks the headings Reason; give the planner workbook"),
        (doubled, "answered.xlsx sheet To settle has the heading 'Component' twice; keep the column"),
    ]
    for change, sentence in cases:
        with pytest.raises(InputError) as caught:
            read_answers(answered(planner, tmp_path, one, change))
        assert caught.value.problems[0].startswith(sentence)


def test_hostile_files_are_refused(planner: Path, tmp_path: Path) -> None:
    text = tmp_path / "planner.csv"
    text.write_text("Key,Reason\n", encoding="utf-8")
    cut = tmp_path / "cut.xlsx"
    cut.write_bytes(planner.read_bytes()[:4000])
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 300_000_000)
    for path in (text, cut, bomb, tmp_path / "absent.xlsx"):
        with pytest.raises(InputError) as caught:
            read_answers(path)
        assert path.name in caught.value.problems[0]


def test_the_loop_asks_nothing_twice(plan: ExamplePlan, tmp_path: Path) -> None:
    """Two records with the same wording in other rows: the answer to the first serves the second."""
    first = replace(asked(0), key=question_key("words", "Boot  torn"), text="Boot  torn")
    second = replace(first, key=question_key("words", "boot torn"), file="new.csv", row=90)
    path = write_questions(plan, tmp_path / "planner.xlsx", first)
    answers = read_answers(answered(path, tmp_path, {first.key: {"Work done?": "not renewed"}}))
    folder = tmp_path / "fleet"
    folder.mkdir()
    add_answers(folder, answers, questions_frame=build_review([first]), answered_on=dt.date(2026, 7, 1))
    kept = read_corrections(folder, settings=read_settings(folder)).answers
    assert second.key in kept
    shutil.rmtree(folder)
    folder.mkdir()
    assert second.key not in read_corrections(folder, settings=read_settings(folder)).answers

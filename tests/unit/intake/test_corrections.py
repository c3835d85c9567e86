"""The file of answers: read, refused where it is wrong, merged, written so that no spreadsheet program harms it."""

import csv
import datetime as dt
from dataclasses import astuple, replace

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wearmodel.errors import InputError, OutputError
from wearmodel.intake.corrections import (
    CORRECTIONS_FILE,
    Corrections,
    add_answers,
    check_answer,
    normal_answer,
    read_corrections,
)
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.questions import Answer, Question, build_review, question_key

DAY = dt.date(2026, 7, 1)
COLUMNS = "key,kind,unit,date,order,text,work,component,position,reason,odometer,answered_on"
KEY = "0123456789ab"
BOOT = Answer("renewed", "cv_boot_outboard", "", "failed")


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "fleet"
    path.mkdir()
    return path


def read(folder):
    return read_corrections(folder, settings=read_settings(folder))


def written(folder, *rows, header=COLUMNS, encoding="utf-8"):
    (folder / CORRECTIONS_FILE).write_text("\n".join([header, *rows, ""]), encoding=encoding)
    return folder


def refused(folder):
    with pytest.raises(InputError) as caught:
        read(folder)
    return list(caught.value.problems)


def questions(*asked):
    return build_review(
        Question("words", key, "repairs", "repairs.csv", 7, 3, "000123", "2025-01-17", "WO1", text, "unclear")
        for key, text in asked
    )


def add(folder, answers, frame=None, day=DAY):
    frame = questions() if frame is None else frame
    return add_answers(folder, answers, questions_frame=frame, answered_on=day)


def test_no_file_is_no_answer(folder):
    kept = read(folder)
    assert kept.answers == {}
    assert ",".join(kept.frame.columns) == COLUMNS
    assert Corrections().answers == {}


def test_answers_come_back_as_given(folder):
    asked = questions((KEY, "boot torn"), ("aaaaaaaaaaaa", "looked at"))
    answers = {KEY: BOOT, "aaaaaaaaaaaa": Answer("not renewed"), "bbbbbbbbbbbb": Answer(odometer="104500.5")}
    assert add(folder, answers, asked) == 3
    kept = read(folder)
    assert dict(kept.answers) == answers
    first = kept.frame.iloc[0]
    assert (first["kind"], first["unit"], first["text"], first["answered_on"]) == (
        "words", "000123", "boot torn", "2026-07-01",
    )  # fmt: skip
    assert kept.frame["text"].tolist() == ["boot torn", "looked at", ""]


def test_a_new_answer_replaces_the_old_one(folder):
    add(folder, {KEY: BOOT, "bbbbbbbbbbbb": Answer("other")}, questions((KEY, "boot torn")))
    before = (folder / CORRECTIONS_FILE).read_bytes()
    assert add(folder, {KEY: BOOT}, day=dt.date(2026, 8, 1)) == 0
    assert (folder / CORRECTIONS_FILE).read_bytes() == before
    assert add(folder, {KEY: Answer("not renewed")}, day=dt.date(2026, 8, 1)) == 1
    kept = read(folder)
    assert dict(kept.answers) == {KEY: Answer("not renewed"), "bbbbbbbbbbbb": Answer("other")}
    assert kept.frame["answered_on"].tolist() == ["2026-08-01", "2026-07-01"]
    assert kept.frame["text"].tolist() == ["boot torn", ""]


def test_nothing_to_add_writes_no_file(folder):
    assert add(folder, {}) == 0
    assert not (folder / CORRECTIONS_FILE).exists()


def test_a_deleted_row_or_a_blanked_answer_is_no_answer(folder):
    add(folder, {KEY: BOOT, "bbbbbbbbbbbb": Answer("other")})
    path = folder / CORRECTIONS_FILE
    lines = path.read_text(encoding="utf-8-sig").splitlines()
    path.write_text("\n".join([lines[0], f"{KEY},words,,,,,,,,,,"]), encoding="utf-8")
    assert read(folder).answers == {}
    assert add(folder, {KEY: BOOT}) == 1
    assert dict(read(folder).answers) == {KEY: BOOT}


def test_the_last_of_several_rows_stands(folder):
    written(folder, f"{KEY},,,,,,renewed,u_joint,,worn,,", f"{KEY},,,,,,other,,,,,")
    assert dict(read(folder).answers) == {KEY: Answer("other")}


def test_columns_people_added_stay(folder):
    written(folder, f"{KEY},other,Jo,,,,", header="KEY,Work,who,component,position,reason,odometer")
    add(folder, {"bbbbbbbbbbbb": Answer("not renewed")})
    frame = read(folder).frame
    assert frame["who"].tolist() == ["Jo", ""]
    assert frame["work"].tolist() == ["other", "not renewed"]


@pytest.mark.parametrize("text", ["=1+1", "+49 30", "-2 joints", "@SUM(A1)", "'tis loose", "''", "it's"])
def test_formula_text_is_harmless_in_the_file_and_whole_when_read(folder, text):
    add(folder, {KEY: BOOT}, questions((KEY, text)))
    with (folder / CORRECTIONS_FILE).open(encoding="utf-8-sig", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
    assert read(folder).frame["text"].tolist() == [text]


@pytest.mark.parametrize("key", ["000000000012", "123456789012", "12345e678901"])
def test_a_key_that_looks_like_a_number_is_kept_from_becoming_one(folder, key):
    add(folder, {key: BOOT})
    assert f"'{key}," in (folder / CORRECTIONS_FILE).read_text(encoding="utf-8-sig")
    assert dict(read(folder).answers) == {key: BOOT}


def test_hostile_text_is_one_short_line(folder):
    add(folder, {KEY: BOOT}, questions((KEY, "a\x00b\nc\u202ed \ud800" + "x" * 40_000)))
    text = read(folder).frame["text"][0]
    assert text.startswith("ab cd xxx")
    assert len(text) == 500


def test_a_file_saved_with_semicolons_in_another_encoding_is_read(folder):
    header = COLUMNS.replace(",", ";")
    written(folder, f"{KEY};words;;;;Stoß;renewed;U_Joint;;Worn;;01.07.2026", header=header, encoding="cp1252")
    kept = read(folder)
    assert dict(kept.answers) == {KEY: Answer("renewed", "u_joint", "", "worn")}
    assert kept.frame["text"].tolist() == ["Stoß"]


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        (
            f"{KEY},,,,,,renewed,u_jiont,,worn,,",
            "column component: 'u_jiont' is not a known component (nearest: 'u_joint'); choose one of the components.",
        ),
        (f"{KEY},,,,,,mended,,,,,", "column work: 'mended' is not known; write 'renewed', 'not renewed' or 'other'."),
        (f"{KEY},,,,,,renewed,u_joint,,age,,", "column reason: 'age' is not a known reason (nearest: 'damage'); write"),
        (f"{KEY},,,,,,,,left/boot,,,", "column position: 'left/boot' is not a position name; choose"),
        (f"{KEY},,,,,,,,,,1O45,", "column odometer: '1O45' is not an odometer from 0 to 10,000,000; write the plain"),
        (f"{KEY},,,,,,,,,,-5,", "column odometer: '-5' is not an odometer"),
        (f"{KEY},,,,,,,,,,99999999,", "column odometer: '99999999' is not an odometer"),
        (f"{KEY},,,,,,other,u_joint,,,,", "column component: 'u_joint' does not go with the work 'other part'; clear"),
        (f"{KEY},,,,,,not renewed,,,worn,,", "column reason: 'worn' does not go with the work 'not renewed'; clear"),
        (f"{KEY},guess,,,,,other,,,,,", "column kind: 'guess' is not known; restore the cell or clear it."),
        ("1.23E+11,,,,,,other,,,,,", "column key: '1.23E+11' is not the key of a question (12 characters"),
        (",,,,,,other,,,,,", "column key: '' is not the key of a question"),
    ],
)
def test_a_wrong_cell_is_one_sentence(folder, cells, sentence):
    problems = refused(written(folder, f"{KEY},,,,,,other,,,,,", cells))
    assert problems[0].startswith(f"corrections.csv row 3, {sentence}")


def test_an_unquoted_comma_is_named(folder):
    problems = refused(written(folder, f"{KEY},words,,,,fitted new, tested,other,,,,,2026-07-01"))
    assert problems == [
        "corrections.csv row 2: '2026-07-01' stands in a column without a heading; put a text with a comma in "
        "quotation marks, or delete the cell."
    ]


def test_many_faults_are_counted(folder):
    problems = refused(written(folder, *[f"{i:012x},,,,,,mended,,,,," for i in range(50)]))
    assert len(problems) == 21
    assert problems[-1] == "... and 30 more"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "corrections.csv has no heading 'key' in its first rows"),
        (b"PK\x03\x04 not a table", "corrections.csv is a workbook"),
        (b"key,work\n", "corrections.csv lacks the heading component, position, reason, odometer; restore it."),
        (b"key,key,work,component,position,reason,odometer\n", "corrections.csv has the heading 'key' twice"),
        (b"key,work,component,position,reason,odometer\nworn,,,,,\n", "corrections.csv row 2, column key: 'worn' is"),
    ],
)
def test_a_file_that_is_no_file_of_answers_is_refused_and_kept(folder, content, sentence):
    path = folder / CORRECTIONS_FILE
    path.write_bytes(content)
    assert refused(folder)[0].startswith(sentence)
    with pytest.raises(InputError):
        add(folder, {KEY: BOOT})
    assert path.read_bytes() == content


def test_an_open_quotation_is_refused(folder):
    problems = refused(written(folder, f'{KEY},,,,,,"other,,,,,', "bbbbbbbbbbbb,,,,,,other,,,,,"))
    assert problems[0].startswith("corrections.csv row 2, column work: 'other,,,,, bbbbbbbbbbbb")


def test_an_endless_cell_is_refused(folder):
    problems = refused(written(folder, f'{KEY},words,,,,"{"x" * 40_000}",other,,,,,'))
    assert problems[0].startswith("corrections.csv row 2: a cell has 40,000 characters")


def test_a_huge_file_is_refused_before_it_is_read(folder):
    with (folder / CORRECTIONS_FILE).open("wb") as file:
        file.truncate(65 * 1024**2)
    assert refused(folder) == ["corrections.csv is larger than 64 MiB, more than answers can need; restore it."]


def test_a_link_out_of_the_folder_is_refused(folder, tmp_path):
    (tmp_path / "elsewhere.csv").write_text(COLUMNS, encoding="utf-8")
    (folder / CORRECTIONS_FILE).symlink_to(tmp_path / "elsewhere.csv")
    assert "is not a plain file of the fleet folder" in refused(folder)[0]
    (folder / CORRECTIONS_FILE).unlink()
    (folder / CORRECTIONS_FILE).symlink_to(tmp_path / "nowhere")
    assert "leads nowhere" in refused(folder)[0]
    (folder / CORRECTIONS_FILE).unlink()
    (folder / CORRECTIONS_FILE).mkdir()
    assert "is not a plain file" in refused(folder)[0]


def test_what_cannot_be_written_is_refused_whole(tmp_path):
    with pytest.raises(OutputError, match="cannot be written"):
        add(tmp_path / "absent", {KEY: BOOT})


def test_a_component_of_the_fleets_own_is_known(folder):
    (folder / "fleet.toml").write_text('[components.yoke]\nlabel = "Yoke"\n', encoding="utf-8")
    add(folder, {KEY: Answer("renewed", "yoke", "pto.yoke", "worn")})
    assert read(folder).answers[KEY].component == "yoke"


def test_a_blank_answer_has_no_fault():
    assert check_answer(Answer(), components={"u_joint"}) == []


@settings(max_examples=80, deadline=None)
@given(
    st.dictionaries(
        st.from_regex(r"[0-9a-f]{12}", fullmatch=True), st.text(max_size=60), min_size=1, max_size=6
    ),
    st.binary(max_size=300),
)
def test_any_wording_goes_out_and_in_and_any_bytes_are_refused_or_read(tmp_path_factory, texts, noise):
    folder = tmp_path_factory.mktemp("fleet")
    given_answers = {key: replace(BOOT, odometer=str(i)) for i, key in enumerate(texts)}
    assert add(folder, given_answers, questions(*texts.items())) == len(texts)
    assert dict(read(folder).answers) == given_answers
    path = folder / CORRECTIONS_FILE
    path.write_bytes(path.read_bytes() + noise)
    try:
        assert all(any(astuple(answer)) for answer in read(folder).answers.values())
    except InputError as error:
        assert all("corrections.csv" in text or text.startswith("...") for text in error.problems)


def test_keys_are_those_of_questions(folder):
    key = question_key("words", "boot torn", "", "", "")
    add(folder, {key: BOOT})
    assert list(read(folder).answers) == [key]
    assert normal_answer({"work": "OTHER"}) == Answer("other")
    assert pd.api.types.is_object_dtype(read(folder).frame["key"])

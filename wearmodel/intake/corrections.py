"""The file of answers of a fleet, `corrections.csv`: what a person said about lines the record leaves open.

One row an answer, under the key of its question; the other columns say what the question was about and are
there for people. An answer is taken back by deleting its row, or by blanking its answer columns: the question
is then asked again. Of several rows with one key the last stands.

An apostrophe before a text that a spreadsheet program would take for a formula, or before a key that it would
take for a number, belongs to the file and not to the text.
"""

import csv
import datetime as dt
import re
import stat
from collections.abc import Collection, Mapping, Sequence
from dataclasses import astuple, dataclass, field
from pathlib import Path
from types import MappingProxyType

import pandas as pd

from wearmodel.errors import InputError
from wearmodel.frame_rows import frame_rows
from wearmodel.intake.cells.delimited_text import read_delimited
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.tables.problem_list import MOST_LINES, ProblemGroup, problem_lines
from wearmodel.intake.tables.schema import REASONS, SCHEMA
from wearmodel.intake.values.plain_text import plain
from wearmodel.output_files import whole_file
from wearmodel.questions import Answer, several

__all__ = [
    "ANSWER_FIELDS",
    "CORRECTIONS_FILE",
    "WORK_WORDS",
    "AnswerFault",
    "Corrections",
    "add_answers",
    "check_answer",
    "is_question_key",
    "normal_answer",
    "read_corrections",
]

CORRECTIONS_FILE = "corrections.csv"
"""Name of the file in the fleet folder; it is no table of the fleet."""

ANSWER_FIELDS = ("work", "component", "position", "reason", "odometer")
"""Columns of an answer, in the order of `Answer`."""

WORK_WORDS = ("renewed", "not renewed", "other")
"""What a line may have been about."""

_OF_PARTS = ("component", "position", "reason")
_CONTEXT = ("kind", "unit", "date", "order", "text")
_COLUMNS = ("key", *_CONTEXT, *ANSWER_FIELDS, "answered_on")
_NEEDED = ("key", *ANSWER_FIELDS)
_KINDS = ("", "words", "position", "odometer")
_ODOMETER_WORDS = ("right", "ignore")

_KEY = re.compile(r"[0-9a-f]{12}")
_POSITION = re.compile(r"[a-z0-9_]{1,30}(\.[a-z0-9_]{1,30}){0,3}")
_FIGURE = re.compile(r"[0-9]{1,12}(\.[0-9]{0,6})?", re.ASCII)
_LOOKS_LIKE_NUMBER = re.compile(r"[0-9]+(e[0-9]+)?", re.ASCII)
_FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r", "'")

_LARGEST_FILE = 64 * 1024**2
_MOST_ANSWERS = 200_000
_LONGEST_CELL = 32_767
_LONGEST_CONTEXT = 500
_HEADER_ROWS = 20
_FARTHEST = SCHEMA["repairs"].column("odometer").maximum


@dataclass(frozen=True)
class AnswerFault:
    """What is wrong with one cell of an answer.

    Parameters
    ----------
    column : str
        One of `ANSWER_FIELDS`.
    value : str
        The cell.
    problem : str
        What is wrong, one clause.
    remedy : str
        What to do, one clause.
    """

    column: str
    value: str
    problem: str
    remedy: str


@dataclass(frozen=True)
class Corrections:
    """The answers kept with a fleet.

    Parameters
    ----------
    answers : mapping of str to Answer
        By key of the question.
    frame : pandas.DataFrame
        The file as text, one line a row: `key, kind, unit, date, order, text, work, component, position, reason,
        odometer, answered_on`, then whatever columns people added.
    """

    answers: Mapping[str, Answer] = field(default_factory=dict)
    frame: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(_COLUMNS), dtype=object))


def is_question_key(text: str) -> bool:
    """Whether a text can be the key of a question.

    Parameters
    ----------
    text : str
        A cell.

    Returns
    -------
    bool
        True for twelve hexadecimal digits in lower case.
    """
    return _KEY.fullmatch(text) is not None


def normal_answer(cells: Mapping[str, str]) -> Answer:
    """An answer as a person typed it, in the spelling of the program.

    Parameters
    ----------
    cells : mapping of str to str
        By `ANSWER_FIELDS`; a missing one is blank.

    Returns
    -------
    Answer
        Spaces, case, semicolons and the writing of a plain number made uniform; nothing is checked.

    Examples
    --------
    >>> normal_answer({"work": " Renewed ", "odometer": "104500.0"})
    Answer(work='renewed', component='', position='', reason='', odometer='104500')
    """
    tidy = {name: " ".join(cells.get(name, "").split()).casefold() for name in ANSWER_FIELDS}
    tidy |= {name: "; ".join(several(tidy[name])) for name in _OF_PARTS}
    if _FIGURE.fullmatch(tidy["odometer"]):
        tidy["odometer"] = f"{float(tidy['odometer']):.12g}"
    return Answer(**tidy)


def check_answer(answer: Answer, *, components: Collection[str]) -> list[AnswerFault]:
    """Unknown and contradictory entries of an answer.

    Parameters
    ----------
    answer : Answer
        As `normal_answer` gives it.
    components : collection of str
        Known component codes.

    Returns
    -------
    list of AnswerFault
        Empty when every entry is known and none contradicts another. Whether a vehicle has the position is
        not looked at.
    """
    faults: list[AnswerFault] = []

    def complain(column: str, problem: str, remedy: str) -> None:
        faults.append(AnswerFault(column, getattr(answer, column), problem, remedy))

    if answer.work and answer.work not in WORK_WORDS:
        complain("work", "is not known", "write 'renewed', 'not renewed' or 'other'")
    parts, reasons = several(answer.component), several(answer.reason)
    if unknown := [part for part in parts if part not in components]:
        near = nearest_to(unknown[0], components)
        complain("component", f"is not a known component{near}", "choose one of the components")
    if not all(map(_POSITION.fullmatch, several(answer.position))):
        complain("position", "is not a position name", "choose one of the positions")
    if unknown := [reason for reason in reasons if reason not in REASONS]:
        near = nearest_to(unknown[0], REASONS)
        complain("reason", f"is not a known reason{near}", f"write one of {', '.join(REASONS)}")
    elif len(reasons) > 1 and len(reasons) != len(parts):
        problem = f"names {len(reasons)} reasons for {len(parts) or 'no'} component{'s' if len(parts) != 1 else ''}"
        complain("reason", problem, "write one for all, or one for each component in the same order")
    if answer.odometer and answer.odometer not in _ODOMETER_WORDS and not _is_odometer(answer.odometer):
        remedy = "write the plain figure without thousands marks, 'right' or 'ignore'"
        complain("odometer", f"is not an odometer from 0 to {_FARTHEST:,.0f}", remedy)
    void = {"other": ("component", "position", "reason"), "not renewed": ("reason",)}.get(answer.work, ())
    for column in void:
        if getattr(answer, column):
            word = "other part" if answer.work == "other" else answer.work
            complain(column, f"does not go with the work '{word}'", "clear one of the two")
    return faults


def _is_odometer(text: str) -> bool:
    return _FIGURE.fullmatch(text) is not None and float(text) <= _FARTHEST


def read_corrections(folder: Path, *, settings: FleetSettings) -> Corrections:
    """Read the answers kept with a fleet.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    settings : FleetSettings
        Tells which components are known.

    Returns
    -------
    Corrections
        Empty when there is no such file.

    Raises
    ------
    InputError
        The file cannot be read, or one sentence for each cell that is not known.
    """
    frame, rows = _read_frame(folder)
    answers: dict[str, Answer] = {}
    problems: list[str] = []
    for number, line in zip(rows, frame_rows(frame[[*_NEEDED, "kind"]]), strict=True):
        where = f"{CORRECTIONS_FILE} row {number}"
        answer = normal_answer(line._asdict())
        for fault in check_answer(answer, components=settings.components):
            written = plain(getattr(line, fault.column))
            problems.append(f"{where}, column {fault.column}: {written!r} {fault.problem}; {fault.remedy}.")
        if line.kind not in _KINDS:
            problems.append(f"{where}, column kind: {plain(line.kind)!r} is not known; restore the cell or clear it.")
        answers[line.key] = answer
    _refuse(problems)
    kept = {key: answer for key, answer in answers.items() if any(astuple(answer))}
    return Corrections(MappingProxyType(kept), frame)


def add_answers(
    folder: Path, answers: Mapping[str, Answer], *, questions_frame: pd.DataFrame, answered_on: dt.date
) -> int:
    """Keep answers with a fleet; a new answer replaces an older one to the same question.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    answers : mapping of str to Answer
        By key of the question.
    questions_frame : pandas.DataFrame
        Table `review`: says what each question was about. A key it lacks is kept without that.
    answered_on : datetime.date
        The day, for people.

    Returns
    -------
    int
        Number of answers that are new or differ from what was kept; the file is written only when there are any.

    Raises
    ------
    InputError
        The file that is there cannot be read; it stays as it is.
    OutputError
        The file cannot be written; the old one stays.
    """
    frame, _ = _read_frame(folder)
    lines = {line["key"]: line for line in _text_lines(frame, list(frame.columns))}
    asked = {line["key"]: line for line in _text_lines(questions_frame, ["key", *_CONTEXT])}
    changed = 0
    for key, answer in answers.items():
        given = dict(zip(ANSWER_FIELDS, astuple(answer), strict=True))
        line = lines.get(key, {"key": key})
        if key in lines and normal_answer(line) == answer:
            continue
        context = {name: plain(cell, limit=_LONGEST_CONTEXT) for name, cell in asked.get(key, {}).items()}
        lines[key] = {**line, **context, **given, "answered_on": answered_on.isoformat()}
        changed += 1
    if changed:
        _write_frame(folder / CORRECTIONS_FILE, pd.DataFrame(list(lines.values()), columns=list(frame.columns)))
    return changed


def _text_lines(frame: pd.DataFrame, names: Sequence[str]) -> list[dict[str, str]]:
    """Those columns line by line, as text."""
    texts = frame[list(names)].astype(object).where(frame[list(names)].notna(), "").astype(str)
    return [dict(zip(names, cells, strict=True)) for cells in texts.itertuples(index=False, name=None)]


def _write_frame(path: Path, frame: pd.DataFrame) -> None:
    """The file, whole or not at all."""
    safe = frame.fillna("").astype(object)
    for name in safe.columns:
        safe[name] = [f"'{cell}" if cell.startswith(_FORMULA_MARKS) else cell for cell in safe[name]]
    safe["key"] = [f"'{key}" if _LOOKS_LIKE_NUMBER.fullmatch(key) else key for key in safe["key"]]
    with whole_file(path) as temporary, temporary.open("w", encoding="utf-8-sig", newline="") as file:
        # The byte-order mark makes spreadsheet programs read letters with accents rightly.
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(safe.columns)
        writer.writerows(safe.itertuples(index=False))


def _read_frame(folder: Path) -> tuple[pd.DataFrame, Sequence[int]]:
    """The file as text with every key in order, and the row numbers a spreadsheet shows."""
    path = folder / CORRECTIONS_FILE
    if not path.exists() and not path.is_symlink():
        return Corrections().frame, ()
    _check_file(path)
    grid = read_delimited(path, label=CORRECTIONS_FILE, score=_headings_known)
    cells = grid.cells.fillna("").astype(str)
    top = _header_place(cells)
    columns = _column_places(cells.iloc[top].tolist())
    body = cells.iloc[top + 1 :]
    filled = (body != "").any(axis=1).to_numpy()
    body, rows = body[filled], grid.rows[top + 1 :][filled]
    _check_cells(body, rows.tolist(), places=set(columns.values()))
    frame = pd.DataFrame({name: _bare(body.iloc[:, place].tolist()) for name, place in columns.items()}, dtype=object)
    for name in _COLUMNS:
        if name not in frame:
            frame[name] = ""
    frame = frame[[*_COLUMNS, *(name for name in frame.columns if name not in _COLUMNS)]]
    written = frame["key"].str.strip()
    frame["key"] = written.str.casefold()
    frame["kind"] = frame["kind"].str.strip().str.casefold()
    bad = [(number, key) for number, key in zip(rows, written, strict=True) if not is_question_key(key.casefold())]
    _refuse(
        [
            f"{CORRECTIONS_FILE} row {number}, column key: {plain(key)!r} is not the key of a question (12 characters, "
            "0 to 9 and a to f); restore the cell or delete the row."
            for number, key in bad
        ]
    )
    return frame, rows.tolist()


def _bare(cells: Sequence[str]) -> list[str]:
    """Cells without the apostrophe that kept them from being a formula or a number."""
    return [cell.removeprefix("'") for cell in cells]


def _check_file(path: Path) -> None:
    """Refuse links out of the folder, devices and files beyond any number of answers."""
    try:
        inside = path.resolve(strict=True).is_relative_to(path.parent.resolve())
        state = path.stat()
    except (OSError, RuntimeError) as error:
        raise InputError(f"{CORRECTIONS_FILE} leads nowhere; remove it or restore the file.") from error
    if not inside or not stat.S_ISREG(state.st_mode):
        raise InputError(f"{CORRECTIONS_FILE} is not a plain file of the fleet folder; put the file itself there.")
    if state.st_size > _LARGEST_FILE:
        raise InputError(
            f"{CORRECTIONS_FILE} is larger than {_LARGEST_FILE // 1024**2} MiB, more than answers can need; restore it."
        )


def _headings_known(record: list[str]) -> int:
    return len({cell.strip().casefold() for cell in record} & set(_COLUMNS))


def _header_place(cells: pd.DataFrame) -> int:
    """Place of the row of headings."""
    for place in range(min(_HEADER_ROWS, len(cells))):
        if "key" in {cell.strip().casefold() for cell in cells.iloc[place].tolist()}:
            return place
    raise InputError(
        f"{CORRECTIONS_FILE} has no heading 'key' in its first rows; its headings are {', '.join(_COLUMNS)}: restore "
        "them, or remove the file to start anew."
    )


def _column_places(cells: Sequence[str]) -> dict[str, int]:
    """Column of each heading; known headings in the program's spelling."""
    places: dict[str, int] = {}
    for place, cell in enumerate(cells):
        heading = plain(cell)
        name = heading.casefold() if heading.casefold() in _COLUMNS else heading
        if name in places:
            raise InputError(f"{CORRECTIONS_FILE} has the heading {name!r} twice; keep one of the two columns.")
        if name:
            places[name] = place
    missing = [name for name in _NEEDED if name not in places]
    if missing:
        raise InputError(f"{CORRECTIONS_FILE} lacks the heading {', '.join(missing)}; restore it.")
    return places


def _check_cells(body: pd.DataFrame, rows: Sequence[int], *, places: Collection[int]) -> None:
    """Refuse more rows or longer cells than answers have, and cells without a heading above them."""
    if len(body) > _MOST_ANSWERS:
        raise InputError(f"{CORRECTIONS_FILE} has more than {_MOST_ANSWERS:,} rows; delete those no longer needed.")
    problems: list[str] = []
    for place in range(body.shape[1]):
        for number, cell in zip(rows, body.iloc[:, place].tolist(), strict=True):
            if cell and place not in places:
                problems.append(
                    f"{CORRECTIONS_FILE} row {number}: {plain(cell, limit=60)!r} stands in a column without a heading; "
                    "put a text with a comma in quotation marks, or delete the cell."
                )
            elif len(cell) > _LONGEST_CELL:
                problems.append(
                    f"{CORRECTIONS_FILE} row {number}: a cell has {len(cell):,} characters, probably a quotation mark "
                    "is not closed; close it or shorten the cell."
                )
    _refuse(problems)


def _refuse(problems: Sequence[str]) -> None:
    """Stop with the first sentences, where there are any."""
    if problems:
        raise InputError(problem_lines([ProblemGroup(tuple(problems[:MOST_LINES]), len(problems))]))

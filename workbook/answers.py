"""What a person answered on the sheet "To settle" of a planner workbook, read back from whatever saved it."""

from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from wearmodel.errors import InputError
from wearmodel.intake.cells.workbook_cells import OpenWorkbook, open_workbook, sheet_grid, sheet_names
from wearmodel.intake.corrections import (
    ANSWER_FIELDS,
    AnswerFault,
    check_answer,
    is_question_key,
    normal_answer,
)
from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.tables.problem_list import MOST_LINES, ProblemGroup, problem_lines
from wearmodel.intake.values.plain_text import plain
from wearmodel.questions import Answer, several
from workbook.planner.review import (
    ANSWER_HEADINGS,
    LIST_HEADINGS,
    LISTS_SHEET,
    NO_QUESTIONS,
    REVIEW_SHEET,
    TOOL_HEADINGS,
    asked_fields,
    possible_positions,
)

__all__ = ["read_answers"]

_HEADER_ROWS = 200
_TAKEN = frozenset({"x", "yes", "y", "true", "1", "\u2713", "\u2714"})
_NOT_TAKEN = frozenset({"", "no", "n", "false", "0"})
_TOOL = "tool "
_HEADINGS = {**ANSWER_HEADINGS, **{f"{_TOOL}{name}": text for name, text in TOOL_HEADINGS.items()}}
_OTHER_PLANNER = "give the planner workbook that wearmodel wrote, with its sheets and headings as they were"


@dataclass(frozen=True)
class _Sheet:
    """Rows under the headings of one sheet."""

    label: str
    rows: Mapping[int, Mapping[str, str]]


@dataclass(frozen=True)
class _Words:
    """Codes by what may stand in a cell for them."""

    components: Mapping[str, str]
    codes: frozenset[str]


@dataclass
class _Reading:
    """Answers and problems found so far."""

    answers: dict[str, Answer] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)


def read_answers(path: Path) -> Mapping[str, Answer]:
    """Read the answers from the sheet of questions of a planner workbook.

    Parameters
    ----------
    path : pathlib.Path
        A planner workbook as a spreadsheet program saved it; rows may be sorted, filtered or deleted, rows and
        columns inserted.

    Returns
    -------
    mapping of str to Answer
        By key of the question; questions left blank have no entry.

    Raises
    ------
    InputError
        The file is no planner workbook, or one sentence for each cell that is unknown, contradicts another or
        leaves the question open.
    """
    label = plain(path.name)
    workbook = open_workbook(path, label=label)
    questions = _sheet(workbook, REVIEW_SHEET, label=label, headings=_HEADINGS, empty=NO_QUESTIONS)
    if not questions.rows:
        return MappingProxyType({})
    lists = _sheet(workbook, LISTS_SHEET, label=label, headings=LIST_HEADINGS)
    words = _words(lists)
    reading = _Reading()
    for number, cells in questions.rows.items():
        _read_row(cells, number, label=questions.label, words=words, reading=reading)
    problems = reading.problems
    if problems:
        raise InputError(problem_lines([ProblemGroup(tuple(problems[:MOST_LINES]), len(problems))]))
    return MappingProxyType(reading.answers)


def _sheet(
    workbook: OpenWorkbook, name: str, *, label: str, headings: Mapping[str, str], empty: str = ""
) -> _Sheet:
    """Rows of a sheet by the row number a spreadsheet shows; none where it only says that it is empty."""
    names = sheet_names(workbook)
    found = [sheet for sheet in names if _folded(sheet) == _folded(name)]
    if not found:
        raise InputError(f"{label} has no sheet {name!r}{nearest_to(name, names)}; {_OTHER_PLANNER}.")
    where = f"{label} sheet {name}"
    grid = sheet_grid(workbook, found[0], label=where)
    cells = grid.cells.fillna("").astype(str)
    wanted = {_folded(text): field_name for field_name, text in headings.items()}
    best: dict[str, int] = {}
    for place in range(min(_HEADER_ROWS, len(cells))):
        row = [_folded(cell) for cell in cells.iloc[place].tolist()]
        if empty and _folded(empty) in row:
            return _Sheet(where, {})
        known = [(wanted[text], at) for at, text in enumerate(row) if text in wanted]
        if len(known) > len(wanted) // 2:
            _check_once([headings[name] for name, _ in known], where=where)
            best = dict(known)
            break
    missing = [text for field_name, text in headings.items() if field_name not in best]
    if missing:
        raise InputError(f"{where} lacks the headings {', '.join(missing)}; {_OTHER_PLANNER}.")
    body = cells.iloc[place + 1 :]
    columns = {field_name: body.iloc[:, at].str.strip().tolist() for field_name, at in best.items()}
    numbers = grid.rows[place + 1 :].tolist()
    lines = (dict(zip(columns, line, strict=True)) for line in zip(*columns.values(), strict=True))
    return _Sheet(where, {number: line for number, line in zip(numbers, lines, strict=True) if any(line.values())})


def _check_once(headings: Sequence[str], *, where: str) -> None:
    twice = sorted({text for text in headings if headings.count(text) > 1})
    if twice:
        raise InputError(f"{where} has the heading {twice[0]!r} twice; keep the column that the program wrote.")


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()


def _words(lists: _Sheet) -> _Words:
    """Component codes by code and by label."""
    entries = [line for line in lists.rows.values() if _folded(line["list"]) == "component" and line["code"]]
    codes = frozenset(_folded(line["code"]) for line in entries)
    labels = {_folded(line["shown"]): _folded(line["code"]) for line in entries}
    return _Words(MappingProxyType({**labels, **{code: code for code in codes}}), codes)


def _read_row(cells: Mapping[str, str], number: int, *, label: str, words: _Words, reading: _Reading) -> None:
    """Add the answer of one row, or what is wrong with it."""
    given = {name: cells[name] for name in ANSWER_FIELDS if cells[name]}
    take = _folded(cells["take"])
    if not given and take in _NOT_TAKEN:
        return

    def complain(column: str, value: str, problem: str, remedy: str) -> None:
        said = f"{plain(value)!r} " if value else ""
        reading.problems.append(f"{label} row {number}, column {column}: {said}{problem}; {remedy}.")

    key = _folded(cells[f"{_TOOL}key"])
    if not is_question_key(key):
        value = cells[f"{_TOOL}key"]
        complain(TOOL_HEADINGS["key"], value, "is not the key of a question", "restore it, or clear the answer beside")
        return
    if take not in _TAKEN | _NOT_TAKEN:
        complain(ANSWER_HEADINGS["take"], cells["take"], "is not known", "write x to take the suggestion, or nothing")
        return
    suggestion = _suggestion(cells)
    typed = _typed(given, words=words)
    problems = _faults(cells, typed, suggestion, taken=take in _TAKEN, words=words)
    for fault in problems:
        complain(fault.column, fault.value, fault.problem, fault.remedy)
    if problems:
        return
    answer = _with_work(suggestion if take in _TAKEN else typed, kind=_folded(cells[f"{_TOOL}kind"]))
    if reading.answers.setdefault(key, answer) != answer:
        first = reading.rows[key]
        complain(TOOL_HEADINGS["key"], key, f"is answered otherwise in row {first}", "keep one of the two answers")
    reading.rows.setdefault(key, number)


def _asked(cells: Mapping[str, str]) -> tuple[str, ...]:
    return asked_fields(_folded(cells[f"{_TOOL}kind"]), positions=_positions(cells))


def _positions(cells: Mapping[str, str]) -> tuple[str, ...]:
    return possible_positions(_folded(cells[f"{_TOOL}choices"]), _folded(cells[f"{_TOOL}position"]))


def _suggestion(cells: Mapping[str, str]) -> Answer:
    """What is suggested for the cells that are asked for."""
    return normal_answer({name: cells[f"{_TOOL}{name}"] for name in _asked(cells)})


def _typed(given: Mapping[str, str], *, words: _Words) -> Answer:
    """What was typed or chosen, labels turned into codes."""
    answer = normal_answer(given)
    return replace(
        answer,
        work="other" if answer.work == "other part" else answer.work,
        component="; ".join(words.components.get(part, part) for part in several(answer.component)),
        reason="; ".join(reason.split(":")[0].strip() for reason in several(answer.reason)),
    )


def _with_work(answer: Answer, *, kind: str) -> Answer:
    """Who names the part or the reason says that it was renewed."""
    implied = kind == "words" and not answer.work and any((answer.component, answer.position, answer.reason))
    return replace(answer, work="renewed") if implied else answer


def _faults(
    cells: Mapping[str, str], typed: Answer, suggestion: Answer, *, taken: bool, words: _Words
) -> list[AnswerFault]:
    """What is wrong with the answer of one row; columns as headed."""
    kind = cells[f"{_TOOL}kind"]
    if _folded(kind) not in ("words", "position", "odometer"):
        return [AnswerFault(TOOL_HEADINGS["kind"], kind, "is not a kind of question", "restore the cell")]
    found: list[AnswerFault] = []
    for name in ANSWER_FIELDS:
        value, suggested = getattr(typed, name), getattr(suggestion, name)
        if value and name not in _asked(cells):
            found.append(AnswerFault(name, value, "is not asked for here", "clear the cell"))
        elif value and taken and value != suggested:
            remedy = "clear this cell, or the x under 'Take the suggestion'"
            found.append(AnswerFault(name, value, "differs from the suggestion that is taken", remedy))
    if found:
        return [replace(fault, value=cells[fault.column], column=ANSWER_HEADINGS[fault.column]) for fault in found]
    answer = suggestion if taken else typed
    if not any(astuple(answer)):
        problem = "takes a suggestion, but there is none"
        return [AnswerFault(ANSWER_HEADINGS["take"], cells["take"], problem, "clear the cell")]
    found = check_answer(answer, components=words.codes)
    positions = _positions(cells)
    if unknown := [place for place in several(answer.position) if place not in positions]:
        near = nearest_to(unknown[0], positions)
        found = [fault for fault in found if fault.column != "position"]
        problem = f"is not a possible position{near}"
        found.append(AnswerFault("position", answer.position, problem, "choose from the list"))
    found = found or _gaps(answer, suggestion, kind=_folded(kind))
    place, headings = (_TOOL, TOOL_HEADINGS) if taken else ("", ANSWER_HEADINGS)
    return [replace(f, value=cells[f"{place}{f.column}"], column=headings[f.column]) for f in found]


def _gaps(answer: Answer, suggestion: Answer, *, kind: str) -> list[AnswerFault]:
    """Blank cells that leave the question open."""
    if kind != "words" or answer is suggestion or answer.work in ("not renewed", "other"):
        return []
    # What the suggestion leaves blank is not in question, unless it is of another mind, or there is none.
    follows = any(astuple(suggestion)) and suggestion.work in ("", "renewed")
    needed = [name for name in ("component", "reason") if not follows or getattr(suggestion, name)]
    return [
        AnswerFault(name, "", f"is blank, but a part that was renewed needs its {name}", "fill it in, or clear the row")
        for name in needed
        if not getattr(answer, name)
    ]

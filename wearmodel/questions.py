"""Questions: what the record leaves open and a person can settle, and the answers given.

A question keeps its key from one reading of the record to the next, whatever row it then stands in: the key
comes from what was written, not from where. So an answer, once kept, is never asked for again.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

import pandas as pd

__all__ = ["Answer", "Question", "QuestionKind", "build_review", "question_key", "several"]

QuestionKind = Literal["words", "position", "odometer"]
"""words: what a wording means (one answer serves every row that says the same); position: which of several
positions a line is about; odometer: what the clock of a vehicle truly showed."""

_SEPARATOR = "\x1f"


@dataclass(frozen=True)
class Answer:
    """What a person said, or what is suggested to them.

    Parameters
    ----------
    work : str
        `renewed`, `not renewed` (looked at, greased, left for later), `other` (no part of a driveline) or
        empty where it is not in question.
    component, position, reason : str
        Canonical codes; empty where they are not in question. Several parts of one line stand with `; ` between, their
        reasons in the same order, or one for all.
    odometer : str
        The true figure in the fleet's distance unit, `ignore` when the figure is to be left out, `right` when it
        stands as written, or empty.
    """

    work: str = ""
    component: str = ""
    position: str = ""
    reason: str = ""
    odometer: str = ""


@dataclass(frozen=True)
class Question:
    """One thing a person is asked to settle.

    Parameters
    ----------
    kind : QuestionKind
        What is asked.
    key : str
        From `question_key`.
    table, file : str
        Where it stands first.
    row : int
        Row there, as a spreadsheet shows it.
    rows : int
        Number of rows the answer settles.
    unit, date, order : str
        Of that row; the date in ISO form.
    text : str
        What was written: the words, or the odometer.
    problem : str
        What is not clear, one clause.
    suggestion : Answer
        The best suggestion.
    probability : float
        Chance that the suggestion is right, 0 to 1; NaN where it is not known.
    choices : tuple of str
        Positions that are possible, where a position is asked for.
    """

    kind: QuestionKind
    key: str
    table: str
    file: str
    row: int
    rows: int
    unit: str
    date: str
    order: str
    text: str
    problem: str
    suggestion: Answer = field(default_factory=Answer)
    probability: float = float("nan")
    choices: tuple[str, ...] = ()


def question_key(kind: QuestionKind, *parts: str) -> str:
    """The lasting name of a question.

    Parameters
    ----------
    kind : QuestionKind
        What is asked.
    *parts : str
        What was written, in a fixed order; case and spacing do not matter.

    Returns
    -------
    str
        Twelve hexadecimal digits.

    Examples
    --------
    >>> question_key("words", "CV  joint noisy") == question_key("words", "cv joint noisy")
    True
    """
    folded = _SEPARATOR.join((kind, *(" ".join(part.split()).casefold() for part in parts)))
    return hashlib.blake2b(folded.encode(), digest_size=6).hexdigest()


def several(text: str) -> tuple[str, ...]:
    """The values of one field of an answer, one a part of the line.

    Parameters
    ----------
    text : str
        Values with semicolons between.

    Examples
    --------
    >>> several("cv_joint_outboard; cv_boot_outboard")
    ('cv_joint_outboard', 'cv_boot_outboard')
    """
    return tuple(value for value in (" ".join(piece.split()) for piece in text.split(";")) if value)


def build_review(questions: Iterable[Question]) -> pd.DataFrame:
    """Table `review`: one line a question, those that settle most rows first.

    Parameters
    ----------
    questions : iterable of Question
        Of all stages; several with one key become one that counts all their rows.

    Returns
    -------
    pandas.DataFrame
        Columns `key, kind, file, row, rows, unit, date, order, text, problem, choices, work, component,
        position, reason, odometer, probability, table`; the suggestion stands under `work` to `odometer`.
    """
    merged: dict[str, dict[str, object]] = {}
    counts: dict[str, int] = {}
    for question in questions:
        counts[question.key] = counts.get(question.key, 0) + question.rows
        merged.setdefault(
            question.key,
            {
                "key": question.key, "kind": question.kind, "file": question.file, "row": question.row,
                "unit": question.unit, "date": question.date, "order": question.order, "text": question.text,
                "problem": question.problem, "choices": "; ".join(question.choices),
                "work": question.suggestion.work, "component": question.suggestion.component,
                "position": question.suggestion.position, "reason": question.suggestion.reason,
                "odometer": question.suggestion.odometer, "probability": question.probability,
                "table": question.table,
            },
        )  # fmt: skip
    columns = [
        "key", "kind", "file", "row", "rows", "unit", "date", "order", "text", "problem", "choices", "work",
        "component", "position", "reason", "odometer", "probability", "table",
    ]  # fmt: skip
    frame = pd.DataFrame(list(merged.values()), columns=columns)
    frame["rows"] = frame["key"].map(counts).astype("int64")
    order = {"words": 0, "position": 1, "odometer": 2}
    rank = frame["kind"].map(order).astype("int64")
    frame = frame.assign(rank=rank).sort_values(
        ["rank", "rows", "file", "row"], ascending=[True, False, True, True], kind="stable", ignore_index=True
    )
    return frame[columns]

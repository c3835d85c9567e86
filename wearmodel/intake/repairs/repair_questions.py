"""What is left of the repair lines for a person to settle, and the further parts that lines renewed."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.repairs.line_readings import FurtherPart, LineReading
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.questions import Answer, Question, question_key

__all__ = [
    "GivenCodes",
    "build_further",
    "line_parts_of",
    "part_key",
    "position_key",
    "position_questions",
    "word_keys",
    "word_questions",
]

_Readings = npt.NDArray[np.object_]
_FURTHER = ("place", "component", "position", "reason", "quantity", "candidates")


@dataclass(frozen=True, eq=False)
class GivenCodes:
    """Columns of the repairs table as written, one value a row.

    Parameters
    ----------
    text, component, reason, part_number : numpy.ndarray of object
        As written.
    """

    text: npt.NDArray[np.object_]
    component: npt.NDArray[np.object_]
    reason: npt.NDArray[np.object_]
    part_number: npt.NDArray[np.object_]


def word_keys(given: GivenCodes, rows: npt.NDArray[np.intp]) -> list[str]:
    """Keys of the questions on what the wording of some rows means.

    Parameters
    ----------
    given : GivenCodes
        Of all rows.
    rows : numpy.ndarray of int
        Places of the rows.

    Returns
    -------
    list of str
        In the order of `rows`; rows that say the same have the same key.
    """
    known: dict[tuple[str, str, str, str], str] = {}
    keys: list[str] = []
    for row in rows.tolist():
        said = (given.text[row], given.component[row], given.reason[row], given.part_number[row])
        if said not in known:
            known[said] = question_key("words", *said)
        keys.append(known[said])
    return keys


def position_key(row: Mapping[str, str], component: str) -> str:
    """Key of the question where a row's part went.

    Parameters
    ----------
    row : mapping of str to str
        Its `unit`, `date` (ISO), `order`, `text` and `part_number`.
    component : str
        Canonical component.
    """
    return question_key(
        "position", row["unit"], row["date"], row["order"], row["text"], row["part_number"], component
    )


def part_key(row: Mapping[str, str], part: FurtherPart, parts: Sequence[FurtherPart]) -> str:
    """Key of the question where one part of a row went.

    Parameters
    ----------
    row : mapping of str to str
        As for `position_key`.
    part : FurtherPart
        With the positions that are possible.
    parts : sequence of FurtherPart
        All parts of the row: several of one component are told apart by where they can be.
    """
    alike = sum(other.component == part.component for other in parts)
    return position_key(row, part.component if alike == 1 else f"{part.component} {'; '.join(part.candidates)}")


def line_parts_of(reading: LineReading) -> tuple[FurtherPart, ...]:
    """Every part of a used line, its own first.

    Parameters
    ----------
    reading : LineReading
        Of one row.
    """
    own = FurtherPart(reading.component, reading.position, reading.reason, reading.quantity, reading.candidates)
    return (own, *reading.further)


def _rows(repairs: TypedTable, given: GivenCodes, places: Iterable[int]) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows of the table as a question names them."""
    frame = repairs.frame
    units, orders = frame["unit"].to_numpy(dtype=object), frame["order"].to_numpy(dtype=object)
    files = frame["file"].to_numpy(dtype=object)
    numbers = frame["row"].to_numpy()
    wanted = list(places)
    dates = np.datetime_as_string(frame["date"].to_numpy(dtype="M8[D]")[wanted]) if wanted else np.empty(0, dtype=str)
    for place, date in zip(wanted, dates.tolist(), strict=True):
        yield place, {
            "unit": str(units[place]), "order": str(orders[place]), "file": str(files[place]),
            "row": str(numbers[place]), "date": "" if date == "NaT" else date, "text": str(given.text[place]),
            "part_number": str(given.part_number[place]),
        }  # fmt: skip


def word_questions(
    repairs: TypedTable,
    readings: _Readings,
    *,
    given: GivenCodes,
    guesses: Mapping[int, tuple[Answer, float]],
    remark: npt.NDArray[np.object_],
) -> list[Question]:
    """One question for each wording that waits for a person.

    Parameters
    ----------
    repairs : TypedTable
        Repairs, with what stands against each row noted.
    readings : numpy.ndarray of LineReading
        One a row.
    given : GivenCodes
        Of all rows.
    guesses : mapping of int to (Answer, float)
        Row place -> what coded lines suggest, and its probability.
    remark : numpy.ndarray of object
        A clause to add to what is not clear; empty where there is none.

    Returns
    -------
    list of Question
        In row order.
    """
    rows = np.flatnonzero(repairs.log.waiting)
    keys = word_keys(given, rows)
    counts = Counter(keys)
    first = dict(zip(reversed(keys), reversed(rows.tolist()), strict=True))
    questions: list[Question] = []
    key_of = {row: key for key, row in first.items()}
    for place, said in _rows(repairs, given, sorted(first.values())):
        reading: LineReading = readings[place]
        guess, chance = guesses.get(place, (reading.suggestion, float("nan")))
        suggestion = replace(
            reading.suggestion,
            component=guess.component or reading.suggestion.component,
            reason=guess.reason or reading.suggestion.reason,
        )
        questions.append(
            Question(
                kind="words", key=key_of[place], table="repairs", file=said["file"], row=int(said["row"]),
                rows=counts[key_of[place]], unit=said["unit"], date=said["date"], order=said["order"],
                text=said["text"], problem=f"{reading.problem}{remark[place]}", suggestion=suggestion,
                probability=chance,
            )
        )
    return questions


def position_questions(
    repairs: TypedTable, readings: _Readings, *, given: GivenCodes, remark: npt.NDArray[np.object_]
) -> list[Question]:
    """One question for each used part whose position is open.

    Parameters
    ----------
    repairs : TypedTable
        Repairs, with what stands against each row noted.
    readings : numpy.ndarray of LineReading
        One a row.
    given : GivenCodes
        Of all rows.
    remark : numpy.ndarray of object
        A clause to add to what is not clear; empty where there is none.

    Returns
    -------
    list of Question
        In row order.
    """
    used = ~repairs.log.dropped
    has_open = np.array([bool(_open_parts(reading)) for reading in readings], dtype=bool)
    questions: list[Question] = []
    for place, said in _rows(repairs, given, np.flatnonzero(used & has_open).tolist()):
        questions += [
            Question(
                kind="position", key=part_key(said, part, line_parts_of(readings[place])), table="repairs",
                file=said["file"], row=int(said["row"]), rows=1, unit=said["unit"], date=said["date"],
                order=said["order"], text=said["text"] or part.component,
                problem=f"{part.component} could be any of {', '.join(part.candidates)}{remark[place]}",
                suggestion=Answer(component=part.component), choices=part.candidates,
            )
            for part in _open_parts(readings[place])
        ]  # fmt: skip
    return questions


def _open_parts(reading: LineReading) -> list[FurtherPart]:
    """Parts of a line whose position is open."""
    if reading.verdict != "kept":
        return []
    return [part for part in line_parts_of(reading) if part.candidates]


def build_further(repairs: TypedTable, readings: _Readings) -> pd.DataFrame:
    """Further parts that used lines renewed.

    Parameters
    ----------
    repairs : TypedTable
        Repairs, with what stands against each row noted.
    readings : numpy.ndarray of LineReading
        One a row.

    Returns
    -------
    pandas.DataFrame
        Columns `place` (index of the row in the table's frame), `component, position, reason, quantity, candidates`. A
        part that has a line of its own on the same order of the same vehicle is no further part: the words were
        written on every line of the order.
    """
    used = ~repairs.log.dropped
    has_more = np.array([bool(reading.further) for reading in readings], dtype=bool) & used
    frame = repairs.frame
    rows = [
        (int(place), part.component, part.position, part.reason, part.quantity, "; ".join(part.candidates))
        for place in np.flatnonzero(has_more)
        for part in readings[place].further
    ]
    further = pd.DataFrame(rows, columns=list(_FURTHER))
    if further.empty:
        return further.astype({"place": np.int64, "quantity": np.float64})
    names = ["order", "unit", "component", "position", "text"]
    own = frame.loc[used, names].assign(place=np.flatnonzero(used))
    both = further.merge(
        frame[["order", "unit", "text"]], left_on="place", right_index=True
    ).reset_index(names="number").merge(own, on=["order", "unit", "component"], suffixes=("", "_own"))
    same_words = (both["text"] == both["text_own"]) & ((both["position_own"] == "") | (both["position"] == ""))
    same_place = (both["position"] == both["position_own"]) | same_words
    repeats = both.loc[same_place & (both["place"] != both["place_own"]), "number"]
    return further.drop(index=repeats.unique().tolist()).drop_duplicates(list(_FURTHER)).reset_index(drop=True)

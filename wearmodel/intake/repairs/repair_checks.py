"""The repairs table: every line read against layout, catalogue and its own text."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.event_checks import check_repeats
from wearmodel.intake.fleet_vehicles import Vehicles
from wearmodel.intake.learning.learnt_codes import LearntCodes, learnt_codes
from wearmodel.intake.learning.shop_words import coded_lines
from wearmodel.intake.repairs.answered_lines import answered_columns, with_answered_parts, with_positions
from wearmodel.intake.repairs.doubted_lines import DoubtedLine, settled_lines
from wearmodel.intake.repairs.greasing_lines import build_greasings
from wearmodel.intake.repairs.learnt_words import shop_word_notes, with_checked_reason, with_learnt_words
from wearmodel.intake.repairs.line_readings import LineReading
from wearmodel.intake.repairs.line_teachers import LineTeachers, guess, trade_views
from wearmodel.intake.repairs.recognised_codes import (
    component_codes,
    foreign_notes,
    names_parts,
    reason_codes,
    recognised_notes,
)
from wearmodel.intake.repairs.repair_lines import UNRECOGNISED, LineKnowledge, RepairLine, line_reading
from wearmodel.intake.repairs.repair_questions import (
    GivenCodes,
    build_further,
    line_parts_of,
    position_questions,
    word_keys,
    word_questions,
)
from wearmodel.intake.tables.schema import REASONS, SCHEMA
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.name_index import build_name_index
from wearmodel.intake.words.repair_text import Lexicon, Wording, wording
from wearmodel.intake.words.shaft_names import drive_shafts_are_half_shafts
from wearmodel.questions import Answer, Question

__all__ = ["RepairReading", "check_repairs"]

_ANSWERED = "answered by a person"
_FEW_CONFLICTS = 0.02
_SIDE_UNKNOWN = "; set steering_side in fleet.toml to tell the driver's side from the passenger's"
_Texts = npt.NDArray[np.object_]


@dataclass(frozen=True)
class RepairReading:
    """What came of reading the repairs table, beside its completed frame.

    Parameters
    ----------
    notes : tuple of str
        Sentences on codes that were recognised, or that name no part of a driveline.
    questions : tuple of Question
        What a person is asked: what a wording means, which position a line is about.
    further : pandas.DataFrame
        Further parts of rows that name several: `place` (index of the row), `component, position, reason, quantity`.
    greasings : pandas.DataFrame
        Positions that rows greased: `place` (index of the row), `position`.
    """

    notes: tuple[str, ...]
    questions: tuple[Question, ...]
    further: pd.DataFrame
    greasings: pd.DataFrame


def check_repairs(
    repairs: TypedTable,
    *,
    vehicles: Vehicles,
    known: LineKnowledge,
    corrections: Mapping[str, Answer] = {},
    review_threshold: float = 0.95,
) -> RepairReading:
    """Read every repair line; faulty lines, lines without a part in the answer and lines that wait are noted.

    Parameters
    ----------
    repairs : TypedTable
        Repairs, units checked. Its frame is completed: component, position, reason and quantity.
    vehicles : Vehicles
        With their drivelines.
    known : LineKnowledge
        Layouts, components, catalogue and words.
    corrections : mapping of str to Answer
        Answers of a person by the key of their question.
    review_threshold : float
        Chance, 0.5 to 1, from which on a code learnt from coded lines is used without asking.

    Returns
    -------
    RepairReading
        What is left to ask and to note, and the further parts of lines that name several.
    """
    check_repeats(repairs, columns=SCHEMA["repairs"].names)
    lines = _Lines(repairs, vehicles=vehicles, known=known, corrections=corrections)
    greasings = lines.greasings()
    readings = lines.readings()
    readings, guesses = lines.with_learnt_codes(readings, threshold=review_threshold)
    readings = lines.with_answered_positions(readings)
    lines.note(readings)
    frame = repairs.frame
    for name in ("component", "position", "reason"):
        frame[name] = np.array([getattr(r, name) for r in readings], dtype=object)
    frame["candidates"] = np.array(["; ".join(r.candidates) for r in readings], dtype=object)
    frame["part_number"] = lines.numbers
    said = np.array([r.quantity for r in readings], dtype=float)
    frame["quantity"] = np.where(np.isnan(said), frame["quantity"].fillna(1.0), said)
    returned = ((lines.quantity <= 0.0) | (frame["parts_cost"] < 0.0)).to_numpy()
    problem = "is a return or credit, no part renewed"
    repairs.log.leave_out(returned, column="quantity", problem=problem, action="left out")
    remark = lines.side_remarks()
    questions = word_questions(repairs, readings, given=lines.given, guesses=guesses, remark=remark)
    questions += position_questions(repairs, readings, given=lines.given, remark=remark)
    notes = (*lines.notes, *foreign_notes(repairs, readings))
    return RepairReading(notes, tuple(questions), build_further(repairs, readings), greasings)


@dataclass
class _Columns:
    """Columns of one reading of the table, one value a row."""

    component: _Texts
    position: _Texts
    reason: _Texts
    learnt_component: _Texts
    learnt_reason: _Texts
    is_learnt_renewal: npt.NDArray[np.bool_]
    answered: npt.NDArray[np.bool_]


class _Lines:
    """The lines of the table and what they are read against."""

    def __init__(
        self, repairs: TypedTable, *, vehicles: Vehicles, known: LineKnowledge, corrections: Mapping[str, Answer]
    ) -> None:
        self.repairs = repairs
        self.corrections = corrections
        names = ("text", "component", "reason", "part_number")
        self.given = GivenCodes(**{name: repairs.texts(name) for name in names})
        known = replace(known, has_half_drive_shafts=drive_shafts_are_half_shafts(self.given.text))
        self.quantity = repairs.frame["quantity"].copy()
        codes = component_codes(self.given.component, labels=known.components, lexicon=known.lexicon)
        reasons = reason_codes(self.given.reason, known.lexicon)
        self.notes = [*recognised_notes(repairs, "component", codes), *recognised_notes(repairs, "reason", reasons)]
        self.drivelines = map_distinct(lambda unit: vehicles.drivelines.get(str(unit), ""), repairs.texts("unit"))
        self.numbers = self.given.part_number
        if known.catalogue is not None:
            index = build_name_index(known.catalogue)
            self.numbers = map_distinct(lambda text: index.known(str(text)) or str(text), self.numbers)
        self.alike = map_distinct(_entry_alike(known), self.numbers)
        components = map_distinct(lambda text: codes.get(str(text), str(text)), self.given.component)
        own_reasons = map_distinct(lambda text: reasons.get(str(text), str(text)), self.given.reason)
        is_coded = np.isin(components, list(known.components)) & np.isin(own_reasons, REASONS)
        taught = with_learnt_words(known, coded_lines(self.given.text, components, own_reasons, coded=is_coded))
        self.known, self.conflicts = taught.known, taught.conflicts
        known = self.known
        self.notes += shop_word_notes(repairs, taught.words)
        self.word_ids, self.wordings = _wordings(self.given.text, known.lexicon)
        is_words = map_distinct(lambda text: names_parts(str(text), codes, known), self.given.component).astype(bool)
        self.code_ids, self.code_wordings = _wordings(np.where(is_words, self.given.component, ""), known.lexicon)
        blank = np.full(len(components), "", dtype=object)
        self.columns = _Columns(
            component=np.where(is_words, "", components),
            position=repairs.texts("position"),
            reason=own_reasons,
            learnt_component=blank,
            learnt_reason=blank.copy(),
            is_learnt_renewal=np.zeros(len(components), dtype=bool),
            answered=np.zeros(len(components), dtype=bool),
        )
        self.coded = _Columns(**vars(self.columns))
        self.helped: dict[int, float] = {}
        self.answers: dict[int, Answer] = {}
        self.answered_parts: dict[int, tuple[Answer, ...]] = {}
        if corrections:
            self._take_answers()

    def _take_answers(self) -> None:
        """Put the answers on wordings where the codes would be."""
        rows = np.arange(len(self.given.text))
        self.answers = {
            row: self.corrections[key]
            for row, key in zip(rows.tolist(), word_keys(self.given, rows), strict=True)
            if key in self.corrections and not self.repairs.log.dropped[row]
        }
        columns = self.columns
        for name in ("component", "position", "reason"):
            setattr(columns, name, getattr(columns, name).copy())
        for row, answer in self.answers.items():
            columns.answered[row] = answer.work == "renewed"
            positions = self.known.positions.get(self.drivelines[row], {})
            first, *others = answered_columns(answer, component=columns.component[row], positions=positions)
            columns.component[row] = first.component or columns.component[row]
            columns.reason[row] = first.reason or columns.reason[row]
            columns.position[row] = first.position or columns.position[row]
            if others:
                self.answered_parts[row] = tuple(others)

    def readings(self, rows: npt.NDArray[np.intp] | slice = slice(None)) -> _Texts:
        """The reading of every row, or of some."""
        known, wordings, code_wordings = self.known, self.wordings, self.code_wordings
        columns = self.columns

        def reading(
            driveline: str, component: str, position: str, number: str, reason: str, words: int, code: int,
            quantity: float, learnt_component: str, learnt_reason: str, renewal: bool, answered: bool,
        ) -> LineReading:  # fmt: skip
            line = RepairLine(
                driveline, component, position, number, reason, wordings[words], code_wordings[code], float(quantity),
                learnt_component, learnt_reason, bool(renewal), bool(answered),
            )  # fmt: skip
            return line_reading(line, known=known)

        every = (
            self.drivelines, columns.component, columns.position, self.alike, columns.reason, self.word_ids,
            self.code_ids, self.quantity.to_numpy(), columns.learnt_component, columns.learnt_reason,
            columns.is_learnt_renewal, columns.answered,
        )  # fmt: skip
        found = map_distinct(reading, *(column[rows] for column in every))
        if self.answered_parts:
            for place, row in enumerate(np.arange(len(self.drivelines))[rows].tolist()):
                if row in self.answered_parts:
                    words = wordings[self.word_ids[row]]
                    line = RepairLine(self.drivelines[row], "", "", "", "", words, is_answered=True)
                    found[place] = with_answered_parts(found[place], self.answered_parts[row], line=line, known=known)
        return found

    def greasings(self) -> pd.DataFrame:
        """Positions that rows greased, of rows that nothing stands against so far."""
        return build_greasings(
            self.wordings,
            numbers=self.word_ids,
            components=self.columns.component,
            positions=self.columns.position,
            drivelines=self.drivelines,
            layouts=self.known.positions,
            used=~self.repairs.log.dropped,
        )

    def with_learnt_codes(
        self, readings: _Texts, *, threshold: float
    ) -> tuple[_Texts, dict[int, tuple[Answer, float]]]:
        """Readings with what other lines tell, and what they only suggest, by row."""
        sound = ~self.repairs.log.dropped
        is_open = np.array([r.open_component or r.open_reason or r.open_deed for r in readings], dtype=bool) & sound
        is_checked = self._from_words(readings) & sound
        of_words = self._of_words_alone(readings) & sound
        if not (is_open | is_checked | of_words).any():
            return readings, {}
        learnt = {
            "component": self._learnt("component", is_open, tuple(self.known.components)),
            "reason": self._learnt("reason", (is_open | is_checked) & (self.columns.reason == ""), REASONS),
        }
        views = trade_views(self.given.text, self.word_ids, self.wordings, wanted=is_open | of_words)
        torn = map_distinct(lambda number: len(self.wordings[number].reasons) > 1, self.word_ids).astype(bool)
        self.teachers = LineTeachers.of(learnt, views, options=[r.options for r in readings], torn=torn)
        self.columns.learnt_component = self.teachers.component.trusted(threshold)
        self.columns.learnt_reason = self.teachers.reason.trusted(threshold)
        self.columns.is_learnt_renewal = self.teachers.renewal_chance >= threshold
        out = readings.copy()
        rows = np.flatnonzero(is_open)
        out[rows] = self.readings(rows)
        self._settle(out, readings, of_words | (is_open & self._is_blank()), threshold=threshold)
        guesses = {
            row: guess(self.teachers, row, out[row]) for row in rows.tolist() if out[row].verdict == "waiting"
        }
        reasons = learnt["reason"]
        for row in np.flatnonzero(is_checked).tolist():
            chance = float(reasons.probability[row])
            out[row] = with_checked_reason(readings[row], str(reasons.codes[row]), chance, threshold=threshold)
            if out[row].verdict == "waiting":
                guesses[row] = (out[row].suggestion, chance)
        return out, guesses

    def _settle(self, out: _Texts, readings: _Texts, wanted: npt.NDArray[np.bool_], *, threshold: float) -> None:
        """Settle rows without codes by how likely their reading is wrong, but those that the fleet's own lines tell."""
        own = np.zeros(len(out), dtype=bool)
        for row in np.flatnonzero([bool(reading.learnt) for reading in out]).tolist():
            own[row] = any(self.teachers.own[name][row] for name in out[row].learnt - {"work"})
        views = self.teachers.views
        rows = np.flatnonzero(wanted & ~own & np.array([view is not None for view in views], dtype=bool))
        lines: list[DoubtedLine] = []
        # Rows that are alike share their objects: to compare what is in them takes long for a million rows.
        shared = {id(one): one for one in (*readings[rows], *views[rows])}

        def numbered(
            driveline: str, position: str, words: int, code: int, quantity: float, reading: int, view: int
        ) -> int:
            line = RepairLine(
                driveline, "", position, "", "", self.wordings[words], self.code_wordings[code], float(quantity)
            )
            lines.append(DoubtedLine(line, shared[reading], shared[view]))
            return len(lines) - 1

        every = (
            self.drivelines, self.columns.position, self.word_ids, self.code_ids, self.quantity.to_numpy(),
            np.fromiter(map(id, readings), dtype=np.int64), np.fromiter(map(id, views), dtype=np.int64),
        )  # fmt: skip
        numbers = map_distinct(numbered, *(column[rows] for column in every)).astype(np.intp)
        settled = settled_lines(lines, known=self.known, threshold=threshold)
        found = np.empty(len(settled), dtype=object)
        found[:] = [one.reading for one in settled]
        out[rows] = found[numbers]
        chances = np.array([one.chance for one in settled], dtype=np.float64)[numbers]
        helped = chances > 0.0
        self.helped.update(zip(rows[helped].tolist(), chances[helped].tolist(), strict=True))

    def _is_blank(self) -> npt.NDArray[np.bool_]:
        """Rows with a text and no codes."""
        columns = self.columns
        blank = (columns.component == "") & (self.numbers == "") & (columns.reason == "") & ~columns.answered
        blank &= self.given.component == ""  # what names a part in words is not among what other lines judge
        return blank & (self.given.text != "") & (self.drivelines != "")

    def _of_words_alone(self, readings: _Texts) -> npt.NDArray[np.bool_]:
        """Rows that were used, or left out, on the strength of their words."""
        told = np.array([r.verdict == "kept" or r.column == "text" for r in readings], dtype=bool)
        return self._is_blank() & told

    def _from_words(self, readings: _Texts) -> npt.NDArray[np.bool_]:
        """Used rows whose reason from words is to be held against coded lines.

        None where the words of coded lines hardly ever give another reason than the coded one: nothing is gained then.
        """
        if self.conflicts < _FEW_CONFLICTS:
            return np.zeros(len(readings), dtype=bool)
        used = np.array([r.verdict == "kept" and bool(r.reason) and not r.further for r in readings], dtype=bool)
        return used & (self.columns.reason == "") & (self.given.text != "")

    def _learnt(self, name: str, wanted: npt.NDArray[np.bool_], codes: tuple[str, ...]) -> LearntCodes:
        given = getattr(self.coded, name)
        coded = (given != "") & ~self.repairs.log.dropped
        return learnt_codes(self.given.text, given, coded=coded, wanted=wanted, known=codes)

    def with_answered_positions(self, readings: _Texts) -> _Texts:
        """Readings with the positions a person gave for lines that left them open."""
        if not self.corrections:
            return readings
        frame = self.repairs.frame
        dates = frame["date"].dt.strftime("%Y-%m-%d").fillna("").to_numpy(dtype=object)
        names = {name: frame[name].to_numpy(dtype=object) for name in ("unit", "order")}
        out = readings.copy()
        open_rows = np.array([any(p.candidates for p in line_parts_of(reading)) for reading in readings], dtype=bool)
        for row in np.flatnonzero(open_rows & ~self.repairs.log.dropped).tolist():
            said = {
                "unit": names["unit"][row], "order": names["order"][row], "date": dates[row],
                "text": self.given.text[row], "part_number": self.given.part_number[row],
            }  # fmt: skip
            out[row], told = with_positions(readings[row], row=said, corrections=self.corrections)
            if told:
                self.answers[row] = replace(self.answers.get(row, Answer()), position="; ".join(told))
        return out

    def note(self, readings: _Texts) -> None:
        """Note what each reading says against its row, or what it took from the text."""
        log = self.repairs.log
        verdicts = np.array([reading.verdict for reading in readings], dtype=object)
        columns = np.array([reading.column for reading in readings], dtype=object)
        problems = np.array([reading.problem for reading in readings], dtype=object)
        actions = np.array([reading.action for reading in readings], dtype=object)
        self._note_answers()
        foreign = problems == UNRECOGNISED
        log.leave_out(foreign, column="text", problem=problems, action=actions, whatever_faults=True)
        for column in sorted(set(columns) - {""}):
            here = columns == column
            log.fault(here & (verdicts == "faulty"), column=column, problem=problems, action=actions)
            log.leave_out(here & (verdicts == "left_out"), column=column, problem=problems, action=actions)
            log.wait(here & (verdicts == "waiting"), column=column, problem=problems, action=actions)
        filled = np.array([", ".join(reading.from_text) for reading in readings], dtype=object)
        for row in np.flatnonzero([bool(reading.learnt) for reading in readings]).tolist():
            filled[row] = ", ".join(self._with_chance(text, readings[row], row) for text in readings[row].from_text)
        action = map_distinct(lambda text: f"read from the words as {text}", filled)
        log.repair(filled != "", column="text", problem="stands where a column is blank or in words", action=action)

    def _with_chance(self, text: str, reading: LineReading, row: int) -> str:
        """What was read from the text, with how sure it is where it was learnt."""
        name = text.partition(" ")[0]
        if name not in reading.learnt:
            return text
        chance, source = self.teachers.source(name, row)
        if row in self.helped:
            chance, source = self.helped[row], "lines of the trade"
        return f"{text} ({chance:.2f} sure, learnt from {source})"

    def _note_answers(self) -> None:
        """Note the rows a person has answered for; those that renewed nothing are left out."""
        size = len(self.given.text)
        is_out, is_told = np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
        actions = np.full(size, _ANSWERED, dtype=object)
        for row, answer in self.answers.items():
            is_out[row] = answer.work in ("not renewed", "other")
            codes = {name: getattr(answer, name) for name in ("component", "position", "reason")}
            told = ", ".join(f"{name} {code}" for name, code in codes.items() if code)
            is_told[row] = not is_out[row]
            actions[row] = f"{_ANSWERED}: {told or answer.work}"
        log = self.repairs.log
        log.leave_out(is_out, column="text", problem="renews no part of a driveline", action=_ANSWERED)
        log.repair(is_told, column="text", problem="does not tell everything", action=actions)

    def side_remarks(self) -> _Texts:
        """For rows that tell the driver's side without a setting that tells which that is: what to do about it."""
        unknown = {i for i, words in self.wordings.items() if words.places & {"driver", "passenger"}}
        return map_distinct(lambda i: _SIDE_UNKNOWN if i in unknown else "", self.word_ids)


def _entry_alike(known: LineKnowledge) -> Callable[[object], str]:
    """A look-up of the first part number that the catalogue says the same of: lines are read once for all of them."""
    first: dict[object, str] = {}
    catalogue = known.catalogue
    if catalogue is None:
        return lambda number: "any" if number else ""
    alike = {number: first.setdefault(entry, number) for number, entry in catalogue.items()}
    return lambda number: alike.get(str(number), str(number))


def _wordings(texts: _Texts, lexicon: Lexicon) -> tuple[_Texts, dict[int, Wording]]:
    """The number of each row's wording, and the wordings by number: many texts say the same."""
    numbers: dict[Wording, int] = {}
    by_words: dict[int, int] = {}

    def number(text: object) -> int:
        found = wording(str(text), lexicon=lexicon)
        # The same wording comes back as the same object, so that most need no comparison.
        place = by_words.get(id(found))
        if place is None:
            place = by_words[id(found)] = numbers.setdefault(found, len(numbers))
        return place

    ids = map_distinct(number, texts)
    return ids, {i: words for words, i in numbers.items()}

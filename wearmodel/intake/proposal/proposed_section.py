"""One sheet as a section `[tables.X]` of a proposed `fleet.toml`."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wearmodel.intake.headings.heading_meanings import heading_words
from wearmodel.intake.proposal.proposed_codes import code_lines, driveline_lines, layouts_named
from wearmodel.intake.proposal.proposed_units import counts_engine_hours, table_unit
from wearmodel.intake.proposal.table_fits import TableFit
from wearmodel.intake.proposal.toml_text import toml_text
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.values.date_parsing import parse_dates
from wearmodel.intake.values.number_parsing import parse_numbers
from wearmodel.intake.values.plain_text import plain

__all__ = ["Section", "proposed_section"]

_NAMED = 0.5
_LONGEST_NAME = 500
_HOW = {"heading": "", "words": "  # by words of its heading", "contents": "  # by its contents alone: please check"}
_KIND_WORDS = frozenset({"model", "type", "class", "body", "make", "configuration", "description"})
_CODED = ("component", "position", "reason", "finding")


@dataclass(frozen=True)
class Section:
    """The lines of one section and what they leave open.

    Parameters
    ----------
    lines : tuple of str
        Below the heading of the section.
    questions : tuple of str
        Sentences on what is left open.
    undecided : tuple of str
        Those of them without whose answer the folder cannot be read.
    is_held_back : bool
        True where the table can be done without and cannot be read as it stands.
    """

    lines: tuple[str, ...]
    questions: tuple[str, ...]
    undecided: tuple[str, ...]
    is_held_back: bool


def proposed_section(fit: TableFit, *, unit: str, positions: Sequence[str]) -> Section:
    """Say of one sheet which table it is, and what its columns and codes mean.

    Parameters
    ----------
    fit : TableFit
        The sheet read as that table.
    unit : str
        Distance unit of the fleet.
    positions : sequence of str
        Positions the fleet's vehicles have.

    Returns
    -------
    Section
        Every column that was matched is named, whatever its heading.
    """
    writing = _Writing(fit)
    writing.place()
    hours = unit in ("km", "mi") and counts_engine_hours(fit)
    writing.columns(hours=hours)
    if fit.table == "vehicles":
        writing.driveline()
    writing.forms(unit, hours=hours)
    for name in _CODED:
        if name in SCHEMA[fit.table].names:
            codes = code_lines(fit, name, positions=positions)
            writing.lines += codes.lines
            stops = bool(codes.open_codes) and fit.table == "parts" and name == "component"
            writing.ask(codes.question, must=stops)
    writing.left_over()
    # A table that the folder's own names point to is read whatever is proposed.
    can_wait = not SCHEMA[fit.table].is_required and fit.bonus != _NAMED
    held_back = can_wait and bool(writing.undecided)
    undecided = () if held_back else tuple(writing.undecided)
    return Section(tuple(writing.lines), tuple(writing.questions), undecided, held_back)


class _Writing:
    """The lines of one section as they come."""

    def __init__(self, fit: TableFit) -> None:
        self.fit = fit
        self.lines: list[str] = []
        self.questions: list[str] = []
        self.undecided: list[str] = []
        self._label = f"{fit.table} ({plain(fit.view.place.label, limit=120)})"

    def ask(self, question: str, *, must: bool) -> None:
        """Leave something open; `must`: the table cannot be read before the answer."""
        if question:
            self.questions.append(question)
            self.undecided += [question] if must else []

    def place(self) -> None:
        """File and sheet."""
        place = self.fit.view.place
        for key, name in (("file", place.path.name), ("sheet", place.sheet)):
            if not name:
                continue
            # What fleet.toml says is read without control characters and spaces around.
            if plain(name.strip(), limit=_LONGEST_NAME) != name.strip():
                shown = plain(name, limit=80)
                self.lines.append(f"# QUESTION {key}: {shown!r} holds characters no setting can; rename it.")
                self.ask(f"{self._label}: the name of its {key} holds invisible characters; rename it.", must=True)
            else:
                self.lines.append(f"{key} = {toml_text(name.strip())}")

    def columns(self, *, hours: bool) -> None:
        """Columns that were found, and questions on those that were not; `hours`: the odometer counts engine hours."""
        table = SCHEMA[self.fit.table]
        asked = {question.name: question for question in self.fit.questions}
        for name in table.names:
            required = table.column(name).required and table.column(name).unless not in self.fit.columns
            if name in self.fit.columns:
                found = self.fit.columns[name]
                headings = [toml_text(self.fit.heading(i)) for i in found.places]
                said = headings[0] if len(headings) == 1 else f"[{', '.join(headings)}]"
                written = "engine_hours" if hours and name == "odometer" else name
                self.lines.append(f"columns.{written} = {said}{_HOW[found.how]}")
            elif name in asked:
                question = asked[name]
                listed = " and ".join(repr(heading) for heading in question.headings)
                self.lines.append(f"# QUESTION {name}: {listed} could each be it. Take the # off one line.")
                self.lines += [f"# {answer}" for answer in question.answers]
                self.ask(
                    f"{self._label}: which column is {name}, {_either(question.headings)}? Take the # off one of "
                    f"the lines columns.{name} in fleet.toml.",
                    must=required,
                )
            elif required and not (self.fit.table == "vehicles" and name == "driveline"):
                self._missing(name)
        for problem in self.fit.problems:
            self.lines.append(f"# QUESTION: {plain(problem, limit=200)}; rename one of them in the file.")
            self.ask(f"{self._label}: {plain(problem, limit=200)}; rename one of them in the file.", must=True)

    def _missing(self, name: str) -> None:
        free = [self.fit.heading(i) for i in self.fit.unused if self.fit.heading(i)]
        self.lines.append(f"# QUESTION {name}: no column looks like it. Name its heading here, or add the column.")
        self.lines += [f"# columns.{name} = {toml_text(heading)}" for heading in free] or [f'# columns.{name} = "?"']
        self.ask(f"{self._label}: which column is {name}? None looks like it; name its heading or add it.", must=True)

    def driveline(self) -> None:
        """The layout of each vehicle: a column of its own, or told from another column value by value."""
        fit = self.fit
        found = fit.columns.get("driveline")
        if found is not None:
            place, *others = found.places
        elif places := self._kinds():
            place, *others = places
            heading = fit.heading(place)
            self.lines.append(f"columns.driveline = {toml_text(heading)}  # no column names the layout: told from this")
            self.lines += [f"# columns.driveline = {toml_text(fit.heading(i))}  # or from this" for i in others]
        else:
            self._missing("driveline")
            return
        codes = driveline_lines(fit, place)
        self.lines += codes.lines
        self.ask(codes.question, must=True)

    def _kinds(self) -> list[int]:
        """Columns that say what kind of vehicle each is, the one most likely to tell the layout first."""
        view = self.fit.view
        classes = self.fit.columns["vehicle_class"].places if "vehicle_class" in self.fit.columns else ()
        asked = [i for question in self.fit.questions if question.name == "vehicle_class" for i in question.places]
        kinds = [i for i in self.fit.unused if not _KIND_WORDS.isdisjoint(heading_words(view.headers[i]))]
        places = list(dict.fromkeys([*kinds, *classes, *asked]))
        places = places or [i for i in self.fit.unused if view.evidence(i)["category"] > 0.9][:1]
        # A column whose words name layouts, or one that tells more kinds apart, says most.
        return sorted(places, key=lambda i: (-layouts_named(self.fit, i), -len(view.distinct(i)), i))

    def forms(self, unit: str, *, hours: bool) -> None:
        """Unit of distances, order of day and month, decimal mark."""
        own = "" if hours else table_unit(self.fit)
        if own and own != unit and {own, unit} == {"km", "mi"}:
            self.lines.append(f'unit = "{own}"  # of the distances in this table')
        elif own and own != unit:
            self.lines.append(f"# QUESTION unit: the distances of this table are in {own}, which is not {unit}.")
            self.ask(f"{self._label}: its distances are in {own}, those of other tables in {unit}.", must=True)
        if note := next(self._doubtful_dates(), ""):
            self.lines += [
                f"# QUESTION date_order: {plain(note, limit=160)}; take the # off one line.",
                '# date_order = "dmy"',
                '# date_order = "mdy"',
            ]
            self.ask(f"{self._label}: {plain(note, limit=160)}; is the day first or the month?", must=False)
        if note := next(self._doubtful_numbers(), ""):
            self.lines += [
                f"# QUESTION decimal: {plain(note, limit=160)}; take the # off one line.",
                '# decimal = "."',
                '# decimal = ","',
            ]
            self.ask(f"{self._label}: {plain(note, limit=160)}; is the decimal mark a dot or a comma?", must=False)

    def _doubtful_dates(self) -> Iterator[str]:
        for name, found in self.fit.columns.items():
            if SCHEMA[self.fit.table].column(name).kind == "date":
                note = parse_dates(self._whole(found.places[0])).note
                if note:
                    yield note

    def _doubtful_numbers(self) -> Iterator[str]:
        for name, found in self.fit.columns.items():
            kind = SCHEMA[self.fit.table].column(name).kind
            if kind in ("number", "money"):
                likely = "," if self.fit.view.delimiter == ";" else "."
                cells = self._whole(found.places[0])
                note = parse_numbers(cells, likely_decimal=likely, is_money=kind == "money").note
                if note:
                    yield note

    def _whole(self, place: int) -> "np.ndarray[tuple[int], np.dtype[np.object_]]":
        return np.array(self.fit.view.distinct(place), dtype=object)

    def left_over(self) -> None:
        """Headings nobody reads."""
        free = [plain(self.fit.view.headers[i], limit=40) for i in self.fit.unused]
        if free:
            self.lines.append(f"# Not used: {', '.join(repr(heading) for heading in free)}.")


def _either(headings: Sequence[str]) -> str:
    return f"{', '.join(repr(h) for h in headings[:-1])} or {headings[-1]!r}"

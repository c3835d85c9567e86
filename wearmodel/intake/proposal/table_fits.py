"""One sheet read as one canonical table: which columns are found, how, and how well it fits."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from wearmodel.intake.headings.content_fit import column_fit, may_be
from wearmodel.intake.headings.header_names import HeaderMatch, HeaderQuestion, match_headers
from wearmodel.intake.headings.heading_meanings import CANONICAL, VARIANT, heading_meanings
from wearmodel.intake.proposal.sheet_views import SheetView
from wearmodel.intake.proposal.toml_text import toml_text
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.values.plain_text import plain

__all__ = ["FoundColumn", "TableFit", "column_question", "table_fit"]

_SURE_CONTENT = 0.7
_CLEAR_LEAD = 0.15
_MOSTLY = 0.5
_TELLING = ("text", "part_number", "component", "position", "reason", "finding", "driveline")
_WORTH = {"heading": 1.0, "words": 0.95, "contents": 0.7}
_LONGEST_NAME = 500


@dataclass(frozen=True)
class FoundColumn:
    """Where one canonical column stands.

    Parameters
    ----------
    places : tuple of int
        In the heading row, from 0; several for a joined text.
    how : str
        `heading`: by a known heading; `words`: by words of its heading; `contents`: by what its cells hold.
    """

    places: tuple[int, ...]
    how: Literal["heading", "words", "contents"]


@dataclass(frozen=True)
class TableFit:
    """A sheet read as one canonical table.

    Parameters
    ----------
    table : str
        Canonical name.
    view : SheetView
        The sheet.
    columns : mapping of str to FoundColumn
        By canonical name, in the order of the schema.
    questions : tuple of HeaderQuestion
        Columns that several headings or contents could be.
    missing : tuple of str
        Required columns nothing looks like.
    problems : tuple of str
        Clauses on headings that stand there twice.
    score : float
        0 to about 1.5; below 0.5 the sheet is not that table.
    bonus : float
        Share of the score that comes from the name of file or sheet.
    """

    table: str
    view: SheetView
    columns: Mapping[str, FoundColumn]
    questions: tuple[HeaderQuestion, ...]
    missing: tuple[str, ...]
    problems: tuple[str, ...]
    score: float
    bonus: float = 0.0

    @property
    def unused(self) -> tuple[int, ...]:
        """Filled columns that are none of the table's."""
        used = {i for found in self.columns.values() for i in found.places}
        used |= {i for question in self.questions for i in question.places}
        return tuple(i for i in self.view.filled if i not in used)

    def heading(self, place: int) -> str:
        """A heading as `fleet.toml` can name it."""
        return plain(self.view.headers[place], limit=_LONGEST_NAME)


def table_fit(
    view: SheetView, table: str, *, bonus: float = 0.0, forced: Mapping[str, int] | None = None
) -> TableFit:
    """Read a sheet as one canonical table.

    Parameters
    ----------
    view : SheetView
        The sheet, with what is known of the fleet already.
    table : str
        Canonical name.
    bonus : float
        What the name of file or sheet adds to the score.
    forced : mapping of str to int, optional
        Columns that are settled: canonical name -> place.

    Returns
    -------
    TableFit
        Contents are looked at for every heading, and for columns no heading names.
    """
    fitting = _Fitting(view, table, forced or {})
    return fitting.result(bonus)


def column_question(name: str, places: Sequence[int], *, table: str, headers: Sequence[str]) -> HeaderQuestion:
    """A question between several columns.

    Parameters
    ----------
    name : str
        Canonical name.
    places : sequence of int
        Places of the columns, from 0.
    table : str
        Canonical table name.
    headers : sequence of str
        The heading row.

    Returns
    -------
    HeaderQuestion
        With one line of `fleet.toml` an answer.
    """
    headings = tuple(plain(headers[i], limit=60) for i in places)
    answers = tuple(f"columns.{name} = {toml_text(plain(headers[i], limit=_LONGEST_NAME))}" for i in places)
    listed = f"{', '.join(repr(h) for h in headings[:-1])} and {headings[-1]!r}"
    sentence = f"{listed} could each be the column {name}"
    return HeaderQuestion(name, headings, tuple(places), sentence, answers)


def _told_by(table: str) -> list[str]:
    """Columns by which a sheet is known to be the table."""
    return list(SCHEMA[table].telling) or [c.name for c in SCHEMA[table].columns if c.required]


class _Fitting:
    """One sheet on its way to being one table."""

    def __init__(self, view: SheetView, table: str, forced: Mapping[str, int]) -> None:
        self.view = view
        self.table = table
        self.columns: dict[str, FoundColumn] = {}
        self.questions: dict[str, HeaderQuestion] = {}
        match = match_headers(
            view.headers,
            table=table,
            named={name: view.headers[i] for name, i in forced.items() if name in SCHEMA[table].names},
            sample=view.sample,
            evidence=view.evidence,
        )
        self.problems = match.problems
        self._take_headings(match, forced)
        self.questions |= {question.name: question for question in match.questions}
        order = _told_by(table)
        first: list[str] = [name for name in ("unit", "date", "month", "part_number") if name in order]
        for name in first:
            self._look(name)
        self.view.know_rows(self._place("unit"), self._place("date"))
        # Odometers before orders: once they are known, other figures may be running numbers of orders.
        others = ["odometer", *(name for name in order if name not in first), *_TELLING]
        for name in dict.fromkeys(others):
            if name in SCHEMA[table].names:
                self._look(name)

    def result(self, bonus: float) -> TableFit:
        """What was found and how well it fits."""
        required = [c.name for c in SCHEMA[self.table].columns if c.required]
        worth = [self._worth(name) for name in _told_by(self.table)]
        missing = tuple(n for n in required if n not in self.columns and n not in self.questions)
        used = {i for found in self.columns.values() for i in found.places}
        used |= {i for question in self.questions.values() for i in question.places}
        explained = len(used) / max(len(self.view.filled), 1)
        share = sum(worth) / len(worth)
        ordered = {name: self.columns[name] for name in SCHEMA[self.table].names if name in self.columns}
        return TableFit(
            self.table, self.view, MappingProxyType(ordered), tuple(self.questions.values()), missing, self.problems,
            (share * (0.4 + 0.6 * explained) + bonus if sum(1 for w in worth if w) >= 2 else 0.0), bonus,
        )  # fmt: skip

    def _take_headings(self, match: HeaderMatch, forced: Mapping[str, int]) -> None:
        """Columns by their headings, those left out whose cells hold something else."""
        for name, place in match.columns.items():
            places = match.joined.get(name, (place,))
            if name in forced:
                by_heading = name in heading_meanings(self.view.headers, self.table)[place]
                self.columns[name] = FoundColumn(places, "heading" if by_heading else "contents")
                continue
            seen = self.view.evidence(place)
            is_blank = seen["filled"] == 0.0
            is_required = SCHEMA[self.table].column(name).required
            is_certain = match.strengths[name] == CANONICAL or len(places) > 1
            if (is_blank and is_required) or not (is_blank or is_certain or may_be(name, seen)):
                continue
            how: Literal["heading", "words"] = "heading" if match.strengths[name] >= VARIANT else "words"
            self.columns[name] = FoundColumn(places, how)

    def _place(self, name: str) -> int | None:
        found = self.columns.get(name)
        return None if found is None else found.places[0]

    def _look(self, name: str) -> None:
        """Find a column nobody has headed by what the cells hold; ask where several look like it."""
        if name in self.columns or name in self.questions:
            return
        used = {i for found in self.columns.values() for i in found.places}
        used |= {i for question in self.questions.values() for i in question.places}
        free = [i for i in self.view.filled if i not in used]
        meanings = heading_meanings(self.view.headers, self.table)
        hinted = [i for i in free if name in meanings[i] and may_be(name, self.view.evidence(i))]
        if not hinted:
            required = SCHEMA[self.table].column(name).required
            free = [i for i in free if not required or self.view.evidence(i)["filled"] >= _MOSTLY]
            fits = {i: column_fit(name, self.view.evidence(i)) for i in free}
            # A heading that is well known for something else is not taken for this by its contents.
            fits = {i: fit for i, fit in fits.items() if fit >= _SURE_CONTENT and not meanings[i]}
            hinted = [i for i, fit in fits.items() if fit >= max(fits.values()) - _CLEAR_LEAD]
        if len(hinted) == 1:
            self.columns[name] = FoundColumn((hinted[0],), "contents")
        elif hinted and name == "text":
            self.columns[name] = FoundColumn(tuple(hinted), "contents")
        elif hinted and SCHEMA[self.table].column(name).required:
            self.questions[name] = column_question(name, hinted, table=self.table, headers=self.view.headers)

    def _worth(self, name: str) -> float:
        """What having a required column is worth, 0 to 1."""
        if name in self.questions:
            return 0.9
        if name in self.columns:
            found = self.columns[name]
            worth = _WORTH[found.how]
            is_first = name == SCHEMA[self.table].columns[0].name
            if is_first and self.table in ("vehicles", "parts"):
                # A list of vehicles or parts has one row for each of them.
                worth *= 1.0 if self.view.evidence(found.places[0])["distinct"] >= 0.9 else 0.3
            return worth
        # The layout can be said for each class of vehicles.
        return 0.5 if name == "driveline" and "vehicle_class" in self.columns else 0.0

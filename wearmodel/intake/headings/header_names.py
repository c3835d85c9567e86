"""Which column of a shop's table is which canonical column.

Case, spaces and punctuation never matter. A unit at the end of a heading (`Odometer (mi)`, `lift_in`) is
taken off and remembered. Where several headings could be one column and neither the canonical name nor the
contents decide, a question is asked instead of a guess made.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from wearmodel.intake.headings.column_evidence import ColumnContext, column_evidence, sampled_rows
from wearmodel.intake.headings.content_fit import column_fit, may_be
from wearmodel.intake.headings.header_words import HEADER_VARIANTS, TEXT_ORDER
from wearmodel.intake.headings.heading_meanings import (
    CANONICAL,
    HINT,
    SURE,
    VARIANT,
    heading_meanings,
    heading_unit,
    heading_words,
)
from wearmodel.intake.headings.heading_meanings import heading_key as _key
from wearmodel.intake.proposal.toml_text import toml_text
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.values.plain_text import plain

__all__ = ["HEADER_VARIANTS", "HeaderMatch", "HeaderQuestion", "match_headers"]

_SURE_CONTENT = 0.7
_CLEAR_LEAD = 0.15
_Evidence = Callable[[int], Mapping[str, float]]
_LONGEST_NAME = 500
_JOINED = ("text", "note")
_TOLD = ("complaint", "concern", "correction", "corrective", "symptom")


@dataclass(frozen=True)
class HeaderQuestion:
    """Several columns that could each be the same canonical column.

    Parameters
    ----------
    name : str
        Canonical name.
    headings : tuple of str
        The headings that could be it, in reading order.
    places : tuple of int
        Their places in the row, from 0.
    sentence : str
        What is asked, as a clause without the table's name and without a full stop.
    answers : tuple of str
        For each heading the line of `fleet.toml` that chooses it.
    """

    name: str
    headings: tuple[str, ...]
    places: tuple[int, ...]
    sentence: str
    answers: tuple[str, ...]


@dataclass(frozen=True)
class HeaderMatch:
    """Where the canonical columns of one table stand in a shop's heading row.

    Parameters
    ----------
    columns : mapping of str to int
        Canonical name -> place in the row, from 0; for a joined column the first of its places.
    units : mapping of str to str
        Canonical name -> unit named in its heading (`km`, `mi`, `mm`, `cm`, `in`), where one is.
    problems : tuple of str
        Clauses on headings that cannot be told apart or that `fleet.toml` names in vain.
    notes : tuple of str
        Choices made between several headings.
    questions : tuple of HeaderQuestion
        Columns left unassigned because several headings could be them.
    joined : mapping of str to tuple of int
        `text` or `note` -> its places in reading order, where there are several.
    hints : mapping of str to str
        Missing required column -> a clause on the column that looks like it, for the sentence that says so.
    strengths : mapping of str to float
        Canonical name -> how sure its heading is: 1 canonical or named in `fleet.toml`, 0.9 a known variant,
        0.8 known words in a new order, 0.6 a heading that is used only where there is none better.
    """

    columns: Mapping[str, int]
    units: Mapping[str, str]
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    questions: tuple[HeaderQuestion, ...] = ()
    joined: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    hints: Mapping[str, str] = field(default_factory=dict)
    strengths: Mapping[str, float] = field(default_factory=dict)


def match_headers(
    headers: Sequence[str],
    *,
    table: str,
    named: Mapping[str, str | Sequence[str]] | None = None,
    sample: pd.DataFrame | None = None,
    context: ColumnContext | None = None,
    evidence: _Evidence | None = None,
) -> HeaderMatch:
    """Find the canonical columns of a table in a heading row.

    Parameters
    ----------
    headers : sequence of str
        The heading row as read.
    table : str
        Canonical table name.
    named : mapping of str to str or sequence of str, optional
        Canonical name -> heading (or headings to be joined), as `fleet.toml` gives them; these come first.
    sample : pandas.DataFrame, optional
        Rows below the headings, columns in the order of the headings; looked at only where headings leave a
        choice or a required column is missing.
    context : ColumnContext, optional
        What is known of the fleet already, for looking at the sample.
    evidence : callable, optional
        Place -> what the sample's column there says, where that has been found out already.

    Returns
    -------
    HeaderMatch
        With every column that could be found.

    Examples
    --------
    >>> match_headers(["Asset No.", "Date", "Odometer (mi)"], table="readings").columns
    {'unit': 0, 'date': 1, 'odometer': 2}
    >>> match_headers(["Asset", "Date opened", "Date closed"], table="readings").questions[0].headings
    ('Date opened', 'Date closed')
    """
    matching = _Matching(headers, table, sample, evidence or _Sight(sample, context))
    for name, heading in (named or {}).items():
        matching.take_named(name, (heading,) if isinstance(heading, str) else tuple(heading))
    if any(matching.meanings):
        matching.settle_cause()
        for low, high in ((CANONICAL, CANONICAL), (SURE, CANONICAL), (HINT, SURE)):
            for name in SCHEMA[table].names:
                if name not in matching.columns and not (named and name in named):
                    matching.take(name, low, high)
    matching.settle_hours(named or {})
    matching.look_for_missing(set(named or {}))
    return matching.result()


class _Matching:
    """The headings of one row and what has been made of them so far."""

    def __init__(
        self, headers: Sequence[str], table: str, sample: pd.DataFrame | None, seen: _Evidence
    ) -> None:
        self.headers = headers
        self.table = table
        self.meanings = heading_meanings(headers, table)
        self.columns: dict[str, int] = {}
        self.joined: dict[str, tuple[int, ...]] = {}
        self.strengths: dict[str, float] = {}
        self.problems: list[str] = []
        self.notes: list[str] = []
        self.questions: dict[str, HeaderQuestion] = {}
        self.hints: dict[str, str] = {}
        self._taken: set[int] = set()
        self._sample = sample
        self._seen = seen

    def result(self) -> HeaderMatch:
        """What was found."""
        columns = {name: self.columns[name] for name in _in_order(self.columns, self.table)}
        units = {name: unit for name, i in columns.items() if (unit := heading_unit(self.headers[i]))}
        return HeaderMatch(
            columns, units, tuple(self.problems), tuple(self.notes), tuple(self.questions.values()), self.joined,
            self.hints, self.strengths,
        )  # fmt: skip

    def take_named(self, name: str, headings: Sequence[str]) -> None:
        """Take the columns `fleet.toml` names."""
        places: list[int] = []
        for heading in headings:
            found = [i for i, header in enumerate(self.headers) if header.strip() == heading.strip()]
            key = _key(heading)
            found = found or [i for i, header in enumerate(self.headers) if key and _key(header) == key]
            places += [i for i in found[:1] if i not in places]
            if not found:
                seen = plain(", ".join(header for header in self.headers if header.strip()), limit=300)
                self.problems.append(
                    f"column {heading!r}, named for {name} in fleet.toml, is not there (found: {seen})"
                )
        if places:
            self._assign(name, places, CANONICAL)

    def settle_cause(self) -> None:
        """A heading `Cause` is a text beside a complaint or a correction, and a code where it stands alone."""
        if self.table == "repairs":
            told = any(heading_words(header)[:1] in [(word,) for word in _TOLD] for header in self.headers)
            for i, header in enumerate(self.headers):
                if heading_words(header) == ("cause",):
                    self.meanings[i] = {"text" if told else "reason": VARIANT}

    def take(self, name: str, low: float, high: float) -> None:
        """Take the column of that name among headings of a strength from `low` to `high`, or ask."""
        if name in self.questions:
            return
        found = {i: m[name] for i, m in enumerate(self.meanings) if i not in self._taken and name in m}
        places = [i for i, strength in found.items() if low <= strength <= high and strength > HINT]
        if name in _JOINED and places:
            self._assign(name, sorted(places, key=self._reading_order), max(found[i] for i in places))
            return
        if not places:
            return
        if name == "odometer":
            # Beside another meter one of hours counts engine hours.
            places = [i for i in places if "engine_hours" not in self.meanings[i]] or places
        kept = self._that_fit(name, places) if len(places) > 1 else places
        if len(kept) > 1:
            self._ask(name, kept)
            return
        self._assign(name, kept, found[kept[0]])
        others = [i for i in places if i not in kept] + [
            i for i, s in found.items() if i not in places and s > HINT and s == max(self.meanings[i].values())
        ]
        if others:
            rest = ", ".join(repr(self._shown(i)) for i in others)
            self.notes.append(f"{name} is read from column {self._shown(kept[0])!r}, not from {rest}")

    def settle_hours(self, named: Mapping[str, str | Sequence[str]]) -> None:
        """A meter of hours is the odometer where there is no other: a record may count hours throughout."""
        place = self.columns.get("engine_hours")
        if place is None or "engine_hours" in named or self.headers[place].strip() == "engine_hours":
            return
        if "odometer" not in self.columns and "odometer" not in self.questions:
            self.columns["odometer"] = self.columns.pop("engine_hours")
            self.strengths["odometer"] = self.strengths.pop("engine_hours")

    def look_for_missing(self, named: set[str]) -> None:
        """For required columns that were not found, say which column looks like them."""
        if self._sample is None:
            return
        missing = [
            c.name
            for c in SCHEMA[self.table].columns
            if c.required and c.name not in self.columns and c.name not in self.questions and c.name not in named
        ]
        for name in missing:
            place = self._lookalike(name)
            if place is not None:
                self.hints[name] = (
                    f"its column {self._shown(place)!r} looks like it: write columns.{name} = "
                    f"{toml_text(self._written(place))} under [tables.{self.table}]"
                )

    def _lookalike(self, name: str) -> int | None:
        """The free column that most looks like a canonical one."""
        hinted = [i for i, m in enumerate(self.meanings) if name in m and i not in self._taken]
        hinted = [i for i in hinted if may_be(name, self._seen(i))]
        if len(hinted) == 1:
            return hinted[0]
        free = [i for i, header in enumerate(self.headers) if i not in self._taken and header.strip()]
        ranked = sorted(((column_fit(name, self._seen(i)), -i) for i in free), reverse=True)
        if not ranked or ranked[0][0] < _SURE_CONTENT:
            return None
        if len(ranked) > 1 and ranked[0][0] - ranked[1][0] < _CLEAR_LEAD:
            return None
        return -ranked[0][1]

    def _assign(self, name: str, places: Sequence[int], strength: float) -> None:
        self.columns[name] = places[0]
        self.strengths[name] = min(strength, CANONICAL)
        self._taken.update(places)
        if len(places) > 1:
            self.joined[name] = tuple(places)

    def _that_fit(self, name: str, places: list[int]) -> list[int]:
        """Candidates whose content fits; one of those that say the same; all where nothing is known."""
        if self._sample is None:
            return places
        fitting = [i for i in places if may_be(name, self._seen(i))] or places
        if name == "unit":
            known = [i for i in fitting if self._seen(i)["unit"] >= 0.5]
            fitting = known if len(known) == 1 else fitting
        return fitting[:1] if self._are_the_same(fitting) else fitting

    def _are_the_same(self, places: Sequence[int]) -> bool:
        first = self._cells(places[0])
        return all(bool((self._cells(i) == first).all()) for i in places[1:])

    def _ask(self, name: str, places: Sequence[int]) -> None:
        """A question, or a problem where the headings themselves cannot be told apart."""
        self._taken.update(places)
        first = self.headers[places[0]]
        if all(_key(self.headers[i]) == _key(first) for i in places):
            self.columns[name] = places[0]
            self.strengths[name] = CANONICAL
            self.problems.append(f"column {first.strip()!r} stands there {len(places)} times")
            return
        headings = tuple(self._shown(i) for i in places)
        answers = tuple(f"columns.{name} = {toml_text(self._written(i))}" for i in places)
        listed = f"{', '.join(repr(h) for h in headings[:-1])} and {headings[-1]!r}"
        sentence = (
            f"{listed} could each be the column {name}; write {' or '.join(answers)} under [tables.{self.table}] in "
            "fleet.toml"
        )
        self.questions[name] = HeaderQuestion(name, headings, tuple(places), sentence, answers)

    def _reading_order(self, place: int) -> tuple[int, int]:
        words = heading_words(self.headers[place])
        ranks = [TEXT_ORDER.index(word) for word in words if word in TEXT_ORDER]
        return min(ranks, default=len(TEXT_ORDER)), place

    def _shown(self, place: int) -> str:
        return plain(self.headers[place], limit=60)

    def _written(self, place: int) -> str:
        """The heading as `fleet.toml` can name it."""
        return plain(self.headers[place], limit=_LONGEST_NAME)

    def _cells(self, place: int) -> "pd.Series[str]":
        assert self._sample is not None
        return self._sample.iloc[sampled_rows(len(self._sample)), place].map(lambda cell: " ".join(str(cell).split()))


class _Sight:
    """What the columns of a sample say, each looked at once and only when asked for."""

    def __init__(self, sample: pd.DataFrame | None, context: ColumnContext | None) -> None:
        self._sample = sample
        self._context = context
        self._evidence: dict[int, Mapping[str, float]] = {}

    def __call__(self, place: int) -> Mapping[str, float]:
        if place not in self._evidence:
            assert self._sample is not None
            cells = self._sample.iloc[:, place].to_numpy(dtype=object)
            self._evidence[place] = column_evidence(cells, context=self._context)
        return self._evidence[place]


def _in_order(columns: Mapping[str, int], table: str) -> list[str]:
    return [name for name in SCHEMA[table].names if name in columns]

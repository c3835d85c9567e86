"""Which sheet of a folder is which canonical table, by headings, names and contents."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np

from wearmodel.errors import InputError
from wearmodel.intake.headings.column_evidence import ColumnContext
from wearmodel.intake.headings.heading_meanings import heading_key, heading_meanings
from wearmodel.intake.proposal.sheet_views import SheetView, build_view
from wearmodel.intake.proposal.table_fits import TableFit, table_fit
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.tables.sources import list_sheets
from wearmodel.intake.values.name_index import build_name_index

__all__ = ["RecognisedTables", "recognise_tables"]

_LEAST_SCORE = 0.5
_CLOSE = 0.15
_NAMED = 0.5
_ALIKE_NAME = 0.15
_NAME_WORDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        table: frozenset(words.split())
        for table, words in {
            "vehicles": "vehicle vehicles fleet asset assets unit units equipment register trucks veh",
            "parts": "part parts catalogue catalog item items price prices pricelist material materials",
            "stock": "stock inventory soh bins bin onhand stores warehouse inv",
            "ride_height": "ride height lift lifts suspension raised",
            "readings": "reading readings odometer odometers meter meters mileage odo clock fuel",
            "repairs": "repair repairs wo wos work workorder workorders order orders job jobs ro ros history "
            "maintenance service lines",
            "inspections": "inspection inspections check checks findings insp looks",
            "duty_log": "duty utilisation utilization usage telematics activity trips",
            "fleet_plan": "plan planned future outlook acquisitions disposals replacements renewals",
        }.items()
    }
)
_NAME_WORD = re.compile(r"[^\W\d_]+")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")


@dataclass(frozen=True)
class RecognisedTables:
    """What the sheets of a folder are.

    Parameters
    ----------
    tables : mapping of str to tuple of TableFit
        Canonical name -> the sheet that is it, or several sheets with the same headings.
    rivals : mapping of str to tuple of TableFit
        Canonical name -> further sheets that could be it as well, where that leaves a question.
    unused : tuple of str
        Labels of sheets that are no table.
    lookalikes : tuple of str
        Labels of sheets that look like a table for which there is a clearly better one.
    notes : tuple of str
        Files passed over.
    """

    tables: Mapping[str, tuple[TableFit, ...]]
    rivals: Mapping[str, tuple[TableFit, ...]]
    unused: tuple[str, ...]
    lookalikes: tuple[str, ...]
    notes: tuple[str, ...]


def recognise_tables(folder: Path) -> RecognisedTables:
    """Find the canonical tables among the sheets of a folder.

    Parameters
    ----------
    folder : pathlib.Path
        Raw exports of a shop system, or canonical tables.

    Returns
    -------
    RecognisedTables
        Sheets are read in full, but only a sample of their rows is looked at.

    Raises
    ------
    InputError
        The folder is missing, empty, cannot be listed, or holds no table of any kind.
    """
    listed = list_sheets(folder)
    notes = list(listed.notes)
    if not listed.places:
        raise InputError(
            [*notes, f"{folder} holds no table that can be read (CSV, XLSX, XLS, ODS); give the folder of the exports."]
        )
    views: list[SheetView] = []
    unused: list[str] = []
    for place in listed.places:
        try:
            view = build_view(place, place.grid())
        except InputError as error:
            notes.append(f"{place.label} was passed over: {error.problems[0]}")
            continue
        if view.is_empty:
            unused.append(place.label)
        else:
            views.append(view)
    masters = _Masters(views)
    masters.settle()
    fits = {i: _fits(view, masters.forced.get(i, {}), masters.found.get(i, "")) for i, view in enumerate(views)}
    return _chosen(views, fits, unused, notes)


def _fits(view: SheetView, forced: Mapping[str, int], referred_to: str) -> dict[str, TableFit]:
    """The sheet read as each table, with the bonus that its name gives, or other sheets by using its names."""
    base = view.context
    fits: dict[str, TableFit] = {}
    for table in SCHEMA:
        view.know(base)
        bonus = max(_name_bonus(view, table), _ALIKE_NAME if table == referred_to else 0.0)
        fits[table] = table_fit(view, table, bonus=bonus, forced=forced)
    view.know(base)
    return fits


def _name_bonus(view: SheetView, table: str) -> float:
    names = [view.place.sheet, view.place.path.stem]
    if any(name.strip().casefold() == table for name in names if name):
        return _NAMED
    # A workbook's own name says little of its sheets where they have names of their own.
    name = view.place.sheet if _NAME_WORD.search(view.place.sheet) and view.place.label != view.place.path.name else ""
    words = {w.casefold() for w in _NAME_WORD.findall(_CAMEL.sub(" ", name or view.place.path.stem))}
    return _ALIKE_NAME if words & _NAME_WORDS[table] else 0.0


class _Masters:
    """Finds the names of vehicles and parts first: by them the columns of all other sheets are known."""

    def __init__(self, views: Sequence[SheetView]) -> None:
        self.views = views
        self.forced: dict[int, dict[str, int]] = {}
        self.found: dict[int, str] = {}

    def settle(self) -> None:
        """Make units and part numbers known to all sheets, and note columns that contents had to choose."""
        units = self._master("vehicles", "unit", "date")
        parts = self._master("parts", "part_number", "money", but=units)
        index = None if units is None else build_name_index(self.views[units[0]].distinct(units[1]))
        numbers = None if parts is None else build_name_index(self.views[parts[0]].distinct(parts[1]))
        for view in self.views:
            view.know(ColumnContext(units=index, parts=numbers))

    def _master(
        self, table: str, name: str, beside: str, *, but: tuple[int, int] | None = None
    ) -> tuple[int, int] | None:
        """View and place of the column that names vehicles or parts."""
        scored: list[tuple[float, int, list[int]]] = []
        for i, view in enumerate(self.views):
            fit = table_fit(view, table, bonus=_name_bonus(view, table))
            places = _candidates(view, table, name)
            if places and fit.score >= _LEAST_SCORE and (but is None or but[0] != i):
                scored.append((fit.score, -i, places))
        if scored:
            _, i, places = max(scored)
            place = self._most_used(-i, places) if len(places) > 1 else places[0]
            if len(places) > 1:
                self.forced.setdefault(-i, {})[name] = place
            return -i, place
        best = self._by_contents(name, beside, but=but)
        if best is not None:
            self.found[best[0]] = table
        return best

    def _most_used(self, view: int, places: Sequence[int]) -> int:
        """Of several columns of names the one the other sheets use; the first where none is used more."""
        used = [self._uses(view, place)[1] for place in places]
        return places[int(np.argmax(used))]

    def _by_contents(self, name: str, beside: str, *, but: tuple[int, int] | None) -> tuple[int, int] | None:
        """The column of unlike names that most other sheets refer to, in a sheet with the right company."""
        best: tuple[int, float, int, int] | None = None
        for i, view in enumerate(self.views):
            if but is not None and i == but[0]:
                continue
            if not any(view.evidence(j)[beside] >= 0.8 and view.evidence(j)["distinct"] < 1.1 for j in view.filled):
                continue
            for j in view.filled:
                seen = view.evidence(j)
                if seen["distinct"] < 0.98 or seen["filled"] < 0.95 or seen["code"] < 0.9 or seen["date"] > 0.5:
                    continue
                sheets, share = self._uses(i, j)
                if sheets and (best is None or (sheets, share) > best[:2]):
                    best = (sheets, share, i, j)
        if best is None:
            return None
        self.forced.setdefault(best[2], {})[name] = best[3]
        return best[2], best[3]

    def _uses(self, view: int, place: int) -> tuple[int, float]:
        """Number of other sheets with a column of these names, and the share of names in the best of them."""
        index = build_name_index(self.views[view].distinct(place))
        shares: list[float] = []
        for i, other in enumerate(self.views):
            if i == view:
                continue
            best = 0.0
            for j in other.filled:
                texts = [text for text in other.column(j).tolist() if text][:300]
                # Figures would be found among figures by chance: names must come again and again.
                if len(set(texts)) < 0.9 * len(texts) or len(texts) < 20:
                    best = max(best, sum(1 for text in texts if index.known(text)) / max(len(texts), 1))
            shares.append(best)
        return sum(1 for share in shares if share >= 0.8), sum(shares)


def _candidates(view: SheetView, table: str, name: str) -> list[int]:
    """Places whose heading could be the name of the rows, unlike and filled; the likeliest first."""
    meanings = heading_meanings(view.headers, table)
    places = sorted((i for i in view.filled if name in meanings[i]), key=lambda i: -meanings[i][name])
    if places and meanings[places[0]][name] == 1.0:
        return places[:1]
    unlike = [i for i in places if view.evidence(i)["distinct"] >= 0.9 and view.evidence(i)["prose"] < 0.5]
    return unlike or places


def _chosen(
    views: Sequence[SheetView], fits: Mapping[int, Mapping[str, TableFit]], unused: list[str], notes: list[str]
) -> RecognisedTables:
    """Each table its sheet or sheets."""
    of_table: dict[str, list[TableFit]] = {table: [] for table in SCHEMA}
    for i, view in enumerate(views):
        best = max(fits[i].values(), key=lambda fit: fit.score)
        if best.score >= _LEAST_SCORE:
            of_table[best.table].append(best)
        else:
            unused.append(view.place.label)
    tables: dict[str, tuple[TableFit, ...]] = {}
    rivals: dict[str, tuple[TableFit, ...]] = {}
    lookalikes: list[str] = []
    for table, found in of_table.items():
        if not found:
            continue
        found.sort(key=lambda fit: -fit.score)
        alike = [fit for fit in found if _headings(fit) == _headings(found[0])]
        if found[0].bonus == _NAMED or (SCHEMA[table].is_master and _overlap(alike)):
            alike = alike[:1]
        others = [fit for fit in found if fit not in alike]
        close = [fit for fit in others if fit.score >= found[0].score - _CLOSE and not fit.missing]
        close = [] if found[0].bonus == _NAMED else close
        tables[table] = tuple(sorted(alike, key=lambda fit: fit.view.place.label))
        if close:
            rivals[table] = tuple(close)
        lookalikes += [fit.view.place.label for fit in others if fit not in close]
    _share_items(tables, fits)
    return RecognisedTables(
        MappingProxyType({table: tables[table] for table in SCHEMA if table in tables}), MappingProxyType(rivals),
        tuple(unused), tuple(lookalikes), tuple(notes),
    )  # fmt: skip


def _share_items(tables: dict[str, tuple[TableFit, ...]], fits: Mapping[int, Mapping[str, TableFit]]) -> None:
    """One list of items may be both the parts and the stock."""
    for table, other in (("stock", "parts"), ("parts", "stock")):
        if table not in tables and other in tables:
            same = [f[table] for f in fits.values() if f[table].view is tables[other][0].view]
            if same and len(same[0].missing) <= 1 and len(same[0].columns) >= 2:
                tables[table] = (same[0],)


def _headings(fit: TableFit) -> tuple[str, ...]:
    return tuple(heading_key(header) for header in fit.view.headers if header.strip())


def _overlap(alike: Sequence[TableFit]) -> bool:
    """Whether sheets with the same headings repeat each other's names."""
    name = SCHEMA[alike[0].table].columns[0].name
    if any(name not in fit.columns for fit in alike):
        return True
    names = [set(fit.view.distinct(fit.columns[name].places[0])) for fit in alike]
    return any(a & b for i, a in enumerate(names) for b in names[:i])

"""The same row on two exports of one table counts once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.name_index import name_key

__all__ = ["check_exports"]

_Places = npt.NDArray[np.int64]

_LEFT_OUT = "left out; the row that says more is used, and counts once"
# A kilometre or a mile may be lost in rounding, and a mile is this many kilometres.
_ODOMETER_ROUNDING = 1.61
_FIGURE_ROUNDING = 0.005


@dataclass(frozen=True)
class _Sameness:
    """What makes rows of a table the same: columns that agree, and columns that agree or are blank."""

    strict: tuple[str, ...]
    loose: tuple[str, ...]


_OF_TABLE: Mapping[str, _Sameness] = {
    "repairs": _Sameness(("unit", "date", "order", "part_number", "text"), ("quantity", "parts_cost", "odometer")),
}


def check_exports(events: TypedTable, *, columns: Sequence[str], said: str = "") -> None:
    """Leave out rows that another export of the table has too; the row with most filled cells is used.

    Parameters
    ----------
    events : TypedTable
        An event table from several files, units checked.
    columns : sequence of str
        Columns that make a row what it is. Of repairs it is unit, date, order, part number and text (where the
        text is blank, component and position as well), while quantity, cost and odometer may be blank on one side.
    said : str
        What the row does to the other one, before its file and row; by default it `is on` that row `too`.

    Notes
    -----
    Letter case, punctuation and leading zeros do not matter, nor a kilometre or mile of the odometer. Each row
    stands for one of the other file: of two alike on one order both count, where both files have two.
    """
    rows = _rows_to_compare(events)
    if not rows.size:
        return
    pairing = _Pairing(events, _sameness(events, columns), rows)
    pairing.pair(is_exact=True)
    pairing.pair(is_exact=False)
    found = pairing.kept >= 0
    repeats = np.zeros(len(events.frame), dtype=bool)
    repeats[rows[found]] = True
    problem = np.full(len(repeats), "", dtype=object)
    names = [events.raw.place_name(place) for place in rows[pairing.kept[found]].tolist()]
    problem[repeats] = [f"the row {said} {name}" if said else f"the row is on {name} too" for name in names]
    events.log.leave_out(repeats, problem=problem, action=_LEFT_OUT)


def _rows_to_compare(events: TypedTable) -> _Places:
    """Rows of a vehicle and day that more than one file has: only among them can two be the same."""
    rows = np.flatnonzero(~events.log.dropped)
    when = [name for name in ("unit", "date", "month") if name in events.frame.columns]
    days = _codes([pd.factorize(events.frame[name].to_numpy()[rows])[0].astype(np.int64) for name in when])
    return rows[_is_in_several(days, events.raw.part_numbers()[rows])]


def _sameness(events: TypedTable, columns: Sequence[str]) -> _Sameness:
    table = events.raw.table
    numbers = tuple(name for name in columns if table.column(name).kind not in ("text", "note", "date", "month"))
    strict = tuple(name for name in columns if name not in numbers)
    return _OF_TABLE.get(table.name, _Sameness(strict, numbers))


class _Pairing:
    """Finds, among some rows of the table, for each the one of another file that is the same.

    Places count the given rows, not those of the table.
    """

    def __init__(self, events: TypedTable, same: _Sameness, rows: _Places) -> None:
        cells = events.raw.cells
        self.kept = np.full(len(rows), -1, dtype=np.int64)
        self._parts = events.raw.part_numbers()[rows]
        self._fullness = np.zeros(len(rows), dtype=np.int64)
        for name in cells.columns:
            self._fullness += cells[name].to_numpy()[rows] != ""
        self._loose = {name: events.frame[name].to_numpy(dtype=float)[rows] for name in same.loose}
        keys = [_keys(events, name, rows) for name in same.strict]
        self._order: list[_Places] = []
        if events.raw.table.name == "repairs":
            # Lines of an order that say nothing in words are told apart by their codes.
            bare = events.texts("text")[rows] == ""
            keys += [np.where(bare, _keys(events, n, rows), -1).astype(np.int64) for n in ("component", "position")]
            self._order.append(_keys(events, "position", rows))
        self._line = _codes(keys)
        self._pairs: set[tuple[int, int]] = set()
        self._taken = np.zeros(len(rows), dtype=bool)

    def pair(self, *, is_exact: bool) -> None:
        """Pair rows that agree in everything, or in all but what one of them leaves blank."""
        rows = np.flatnonzero(self.kept < 0)
        group = self._line[rows]
        if is_exact:
            group = _codes([group, *(np.round(values[rows], 2) for values in self._loose.values())])
        several = _is_in_several(group, self._parts[rows])
        rows, group = rows[several], group[several]
        if not rows.size:
            return
        order = np.lexsort([rows, *(k[rows] for k in self._order), *(v[rows] for v in self._loose.values())])
        order = order[np.argsort(self._taken[rows][order], kind="stable")]
        rows, group = rows[order], group[order]
        rank = pd.Series(_codes([group, self._parts[rows]])).pipe(lambda lines: lines.groupby(lines).cumcount())
        match = _codes([group, rank.to_numpy().astype(np.int64)])
        best = np.lexsort([rows, -self._fullness[rows], match])
        first = np.full(match.max() + 1, -1, dtype=np.int64)
        first[match[best[::-1]]] = rows[best[::-1]]
        self._note(rows, first[match])

    def _note(self, rows: _Places, kept: _Places) -> None:
        """Keep those pairs that agree, each row standing for no more than one of a file."""
        agree = rows != kept
        for name, values in self._loose.items():
            slack = _ODOMETER_ROUNDING if name == "odometer" else _FIGURE_ROUNDING
            apart = np.abs(values[rows] - values[kept])
            agree &= ~(apart > slack)
        for row, keeper in zip(rows[agree].tolist(), kept[agree].tolist(), strict=True):
            pair = (keeper, int(self._parts[row]))
            if pair not in self._pairs:
                self._pairs.add(pair)
                self.kept[row] = keeper
                self._taken[row] = self._taken[keeper] = True


def _keys(events: TypedTable, name: str, rows: _Places) -> _Places:
    """Codes of a column's values, equal where they are the same but for case and punctuation."""
    kind = events.raw.table.column(name).kind
    values = events.frame[name].to_numpy()[rows]
    if kind in ("text", "note"):
        values = map_distinct(name_key if kind == "text" else _letters, values)
    return pd.factorize(values, use_na_sentinel=False)[0].astype(np.int64)


def _is_in_several(groups: _Places, parts: _Places) -> npt.NDArray[np.bool_]:
    """Rows whose group has rows of more than one part."""
    if not groups.size:
        return np.zeros(0, dtype=bool)
    low = np.full(groups.max() + 1, np.iinfo(np.int64).max)
    high = np.full(groups.max() + 1, -1)
    np.minimum.at(low, groups, parts)
    np.maximum.at(high, groups, parts)
    return low[groups] < high[groups]


def _letters(text: str) -> str:
    return "".join(filter(str.isalnum, text.casefold()))


def _codes(columns: Sequence[_Places | npt.NDArray[np.float64]]) -> _Places:
    """One number for each combination of values."""
    combined: _Places = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        codes, distinct = pd.factorize(column, use_na_sentinel=False)
        combined = pd.factorize(combined * max(len(distinct), 1) + codes)[0].astype(np.int64)
    return combined

"""Text cells of one table turned into dates, numbers and names, with every unreadable cell noted."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import UNREADABLE
from wearmodel.intake.headings.heading_meanings import heading_meanings
from wearmodel.intake.tables.readers import RawTable, combined_raw_table
from wearmodel.intake.tables.row_log import SET_ASIDE, RowLog
from wearmodel.intake.tables.schema import SCHEMA, Column
from wearmodel.intake.tables.table_sources import TableSource
from wearmodel.intake.values.date_parsing import parse_dates, parse_months
from wearmodel.intake.values.distance_units import conversion_factor, lift_factor
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.number_parsing import BLANK_MARKS, parse_numbers

__all__ = ["TypedTable", "build_combined_table", "build_empty_table", "build_typed_table"]

_LONGEST_MARK = max(map(len, BLANK_MARKS))
_LEFT_BLANK = "the cell was read as blank"


@dataclass(frozen=True)
class TypedTable:
    """A table with values of the right kind, no row dropped yet.

    Parameters
    ----------
    raw : RawTable
        As read from its file or files.
    frame : pandas.DataFrame
        Every canonical column, then `file` and `row`; unreadable cells are blank.
    log : RowLog
        Findings so far.
    notes : tuple of str
        Sentences on choices between two readings.
    """

    raw: RawTable
    frame: pd.DataFrame
    log: RowLog
    notes: tuple[str, ...]

    def texts(self, column: str) -> npt.NDArray[np.object_]:
        """A text column as an array."""
        return self.frame[column].to_numpy(dtype=object)

    def kept(self) -> pd.DataFrame:
        """Rows that were not dropped."""
        return self.frame[~self.log.dropped].reset_index(drop=True)


def build_empty_table(table: str) -> pd.DataFrame:
    """A clean frame without rows, for a table the folder does not have.

    Parameters
    ----------
    table : str
        Canonical name.

    Returns
    -------
    pandas.DataFrame
        With the columns and kinds of the table.
    """
    columns: dict[str, npt.NDArray[np.generic]] = {
        column.name: np.empty(0, dtype=_dtype(column)) for column in SCHEMA[table].columns
    }
    return pd.DataFrame(columns | {"file": np.empty(0, dtype=object), "row": np.empty(0, dtype=np.int64)})


def build_combined_table(tables: Sequence[TypedTable]) -> TypedTable:
    """Several exports of one table as one table.

    Parameters
    ----------
    tables : sequence of TypedTable
        At least one, all of one canonical table, in the order their rows are to stand.

    Returns
    -------
    TypedTable
        Findings still name the file, row and heading each row came from.
    """
    if len(tables) == 1:
        return tables[0]
    raw = combined_raw_table([table.raw for table in tables])
    frame = pd.concat([table.frame for table in tables], ignore_index=True)
    log = RowLog.combined(raw, [table.log for table in tables])
    return TypedTable(raw, frame, log, tuple(note for table in tables for note in table.notes))


def build_typed_table(raw: RawTable, *, source: TableSource, distance_unit: str) -> TypedTable:
    """Turn the text cells of a table into values.

    Parameters
    ----------
    raw : RawTable
        As read.
    source : TableSource
        What `fleet.toml` says of the table.
    distance_unit : str
        Unit distances are converted to.

    Returns
    -------
    TypedTable
        With a finding for every cell that is empty, unreadable or out of range where it may not be.

    Raises
    ------
    InputError
        A heading names a unit that cannot be converted.
    """
    raw = _hours_apart(raw, source, distance_unit)
    reading = _Reading(raw, source, distance_unit)
    columns = {column.name: reading.column(column) for column in raw.table.columns}
    columns["file"] = np.full(len(raw.rows), raw.label, dtype=object)
    columns["row"] = raw.rows
    return TypedTable(raw, pd.DataFrame(columns), reading.log, (*raw.notes, *reading.notes))


def _hours_apart(raw: RawTable, source: TableSource, distance_unit: str) -> RawTable:
    """The table with a meter of hours that was taken for the odometer as what it is, in a record of km or miles."""
    told = "odometer" in raw.cells.columns and "engine_hours" not in raw.cells.columns
    if not told or "odometer" in source.columns or source.unit or distance_unit not in ("km", "mi"):
        return raw
    heading = raw.heading("odometer")
    if "engine_hours" not in heading_meanings([heading], raw.table.name)[0]:
        return raw
    parts = tuple(
        replace(part, headings={_as_hours(name): text for name, text in part.headings.items()}) for part in raw.parts
    )
    note = f"{raw.label}, column {heading}: read as engine hours, as the record counts {distance_unit}."
    faults = tuple(replace(fault, column=_as_hours(fault.column)) for fault in raw.faults)
    cells = raw.cells.rename(columns=_as_hours)
    return replace(raw, cells=cells, parts=parts, faults=faults, notes=(*raw.notes, note))


def _as_hours(name: str) -> str:
    return "engine_hours" if name == "odometer" else name


def _dtype(column: Column) -> str:
    if column.kind in ("text", "note"):
        return "object"
    return "datetime64[ns]" if column.kind in ("date", "month") else "float64"


class _Reading:
    """Reads the columns of one table, collecting findings and notes."""

    def __init__(self, raw: RawTable, source: TableSource, distance_unit: str) -> None:
        self.raw = raw
        self.source = source
        self.distance_unit = distance_unit
        self.log = RowLog(raw)
        self.notes: list[str] = []
        self._action = "correct it" if raw.table.is_master else SET_ASIDE

    def column(self, column: Column) -> npt.NDArray[np.generic]:
        """Values of a column; blank throughout where the file lacks it."""
        if column.name not in self.raw.cells.columns:
            blank: npt.NDArray[np.generic] = np.full(len(self.raw.rows), "", dtype=object)
            return blank if _dtype(column) == "object" else _nothing(_dtype(column), len(blank))
        texts = self.raw.cells[column.name].to_numpy(dtype=object)
        if column.kind == "note":
            return map_distinct(lambda text: str(text).replace(UNREADABLE, ""), texts)
        if column.kind == "text":
            return self._names(column, texts)
        if column.kind in ("date", "month"):
            return self._dates(column, texts)
        return self._numbers(column, texts)

    def _names(self, column: Column, texts: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
        meanings = {_folded(code): word for code, word in self.source.values.get(column.name, {}).items()}

        def name(text: object) -> str:
            word = meanings.get(_folded(str(text)), str(text)) if meanings else str(text)
            return "" if len(word) <= _LONGEST_MARK and word.casefold() in BLANK_MARKS else word

        names = map_distinct(name, texts)
        self._require(column, names == "")
        return names

    def _dates(self, column: Column, texts: npt.NDArray[np.object_]) -> npt.NDArray[np.datetime64]:
        if column.kind == "month":
            parsed = parse_months(texts, date_system=self.raw.date_system)
        else:
            parsed = parse_dates(texts, date_order=self.source.date_order, date_system=self.raw.date_system)
        what = "a month" if column.kind == "month" else "a date"
        self._refuse(column, parsed.bad, f"is not {what} of the years 1950 to 2100")
        self._require(column, np.isnat(parsed.values) & ~parsed.bad)
        if parsed.note:
            self._remark(column, f"{parsed.note}; set date_order under [tables.{self.raw.table.name}] if it is not")
        return parsed.values

    def _numbers(self, column: Column, texts: npt.NDArray[np.object_]) -> npt.NDArray[np.float64]:
        unit = self._unit(column)
        parsed = parse_numbers(
            texts,
            decimal=self.source.decimal,
            likely_decimal="," if self.raw.delimiter == ";" else ".",
            unit=unit or (self.distance_unit if column.is_distance else ""),
            is_money=column.kind == "money",
            is_share=column.kind == "share",
        )
        self._refuse(column, parsed.bad, "is not a number")
        self._require(column, np.isnan(parsed.values) & ~parsed.bad)
        if parsed.note:
            self._remark(column, f"{parsed.note}; set decimal under [tables.{self.raw.table.name}] if it is not")
        values = parsed.values * self._factor(column, unit)
        if column.kind == "count":
            broken = np.isfinite(values) & (values != np.round(values))
            self._refuse(column, broken, "is not a whole number")
            values[broken] = np.nan
        low, high = values < column.minimum, values > column.maximum
        self._refuse(column, low, f"is below {column.minimum:,.10g}, the least this can be")
        self._refuse(column, high, f"is above {column.maximum:,.10g}, the most this can be")
        values[low | high] = np.nan
        return values

    def _unit(self, column: Column) -> str:
        """Unit of the column's numbers, where `fleet.toml` or the heading names one."""
        named = self.raw.units.get(column.name, "")
        if column.is_distance:
            return self.source.unit or (named if named in ("km", "mi") else "")
        return named if column.name == "lift" and named in ("mm", "cm", "in") else ""

    def _factor(self, column: Column, unit: str) -> float:
        if not column.is_distance:
            return lift_factor(unit) if column.name == "lift" else 1.0
        try:
            factor = conversion_factor(unit, to=self.distance_unit)
        except ValueError as error:
            raise InputError(
                f"{self.raw.label}, column {self.raw.heading(column.name)}: {error}, the fleet's distance_unit; "
                f"set unit under [tables.{self.raw.table.name}] or distance_unit in fleet.toml."
            ) from error
        if factor != 1.0:
            self._remark(column, f"converted from {unit} to {self.distance_unit}")
        return factor

    def _refuse(self, column: Column, mask: npt.NDArray[np.bool_], problem: str) -> None:
        """Note unreadable cells: the row is faulty where the column decides, else the cell is blank."""
        if column.essential:
            self.log.fault(mask, column=column.name, problem=problem, action=self._action)
        else:
            self.log.repair(mask, column=column.name, problem=problem, action=_LEFT_BLANK)

    def _require(self, column: Column, blank: npt.NDArray[np.bool_]) -> None:
        if column.unless in self.raw.cells.columns:
            blank = blank & (self.raw.cells[column.unless].to_numpy(dtype=object) == "")
        if column.required:
            action = "fill it in" if self.raw.table.is_master else SET_ASIDE
            self.log.fault(blank, column=column.name, problem="the cell is empty", action=action, value="")

    def _remark(self, column: Column, clause: str) -> None:
        self.notes.append(f"{self.raw.label}, column {self.raw.heading(column.name)}: {clause}.")


def _folded(code: str) -> str:
    return " ".join(code.split()).casefold()


def _nothing(dtype: str, length: int) -> npt.NDArray[np.generic]:
    """A column of blank dates or numbers."""
    if dtype == "float64":
        return np.full(length, np.nan)
    return np.full(length, np.datetime64("NaT", "ns"), dtype="datetime64[ns]")

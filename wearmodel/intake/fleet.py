"""A fleet folder read, checked and brought to one form: the door of the intake."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

import pandas as pd

from wearmodel.errors import InputError
from wearmodel.findings import Finding
from wearmodel.intake.cells.file_states import check_unchanged, file_state, file_states
from wearmodel.intake.cleaning import check_as_of, check_events, check_masters, problem_groups
from wearmodel.intake.corrections import CORRECTIONS_FILE, read_corrections
from wearmodel.intake.fleet_toml.settings import FleetSettings, read_settings
from wearmodel.intake.learning.duty_groups import assign_duty
from wearmodel.intake.tables.content_order import in_content_order
from wearmodel.intake.tables.problem_list import ProblemGroup, problem_lines
from wearmodel.intake.tables.readers import read_table
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.tables.sources import FoundTables, find_tables
from wearmodel.intake.tables.typed_tables import TypedTable, build_combined_table, build_empty_table, build_typed_table
from wearmodel.questions import Answer, Question

__all__ = ["Fleet", "order_by_content", "read_fleet"]

_GREASING_COLUMNS = ("unit", "date", "position", "file", "row")
_WITH_ODOMETER = ("readings", "repairs", "inspections")


@dataclass(frozen=True)
class Fleet:
    """A fleet's records, clean.

    Parameters
    ----------
    folder : pathlib.Path
        Where they were read from.
    settings : FleetSettings
        Of `fleet.toml` and the defaults.
    as_of : pandas.Timestamp
        The day the records are read for; nothing dated later is used.
    tables : mapping of str to pandas.DataFrame
        All nine canonical tables: the columns of the schema, then `file` and `row`; repairs also have
        `candidates`, the positions a line without one could be about, separated by `;` (blank: all of its
        component). A table the folder does not have is empty. Distances are in `settings.distance_unit`, lifts in mm.
    findings : tuple of Finding
        Every row that was not used as given.
    counts : pandas.DataFrame
        Columns `table, file, rows_read`.
    notes : tuple of str
        Sentences on what cannot be answered, and on choices made between two readings.
    questions : tuple of Question
        What a person can settle about repair lines.
    corrections : mapping of str to Answer
        What a person has settled, by the key of the question.
    other_figures : pandas.DataFrame
        Odometers and engine hours of repair lines that have no other part in the answer: `unit, date, odometer,
        engine_hours, file, row, table`.
    greasings : pandas.DataFrame
        Positions greased by routine: `unit, date, position`, each once a day, and `file, row` of the line.
    duty_groups : pandas.DataFrame
        How the duty of each vehicle is known, see `wearmodel.intake.learning.duty_groups.DutyResult`.
    """

    folder: Path
    settings: FleetSettings
    as_of: pd.Timestamp
    tables: Mapping[str, pd.DataFrame]
    findings: tuple[Finding, ...]
    counts: pd.DataFrame
    notes: tuple[str, ...]
    questions: tuple[Question, ...] = ()
    corrections: Mapping[str, Answer] = field(default_factory=dict)
    other_figures: pd.DataFrame = field(default_factory=pd.DataFrame)
    duty_groups: pd.DataFrame = field(default_factory=pd.DataFrame)
    greasings: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=_GREASING_COLUMNS))


def read_fleet(folder: Path, *, as_of: pd.Timestamp | None = None) -> Fleet:
    """Read and check a fleet folder.

    Parameters
    ----------
    folder : pathlib.Path
        Holds the tables as CSV or XLSX, and `fleet.toml` where defaults do not fit.
    as_of : pandas.Timestamp, optional
        The day the records are read for. Default: that of `fleet.toml`, else the newest date in the records.

    Returns
    -------
    Fleet
        Clean tables, with a finding for every row that was not used as given.

    Raises
    ------
    InputError
        The folder cannot be used; one sentence a problem, of all tables at once.
    """
    before = file_states(folder)
    settings = read_settings(folder)
    before |= {folder / one.file: file_state(folder / one.file) for said in settings.tables.values() for one in said}
    corrections = read_corrections(folder, settings=settings).answers
    found = find_tables(folder, sources=settings.tables, databases=settings.databases)
    groups = [ProblemGroup((problem,), 1) for problem in found.problems]
    tables, unread = _typed_tables(found, settings)
    places = [one.place.path for parts in found.tables.values() for one in parts if one.place is not None]
    check_unchanged(before, [*places, folder / "fleet.toml", folder / CORRECTIONS_FILE])
    groups += unread
    notes = [*settings.notes, *found.notes, *_missing_notes(tables)]
    notes += [note for typed in tables.values() for note in typed.notes]
    notes += check_masters(tables, settings=settings)
    reading = day = None
    if not groups and not problem_groups(_masters(tables), set_aside_limit=0.0):
        reading = check_events(tables, settings=settings, corrections=corrections)
        notes += reading.notes
        day = check_as_of(tables, as_of=as_of or settings.as_of, records_from=settings.records_from)
    groups += problem_groups(tables, set_aside_limit=settings.set_aside_limit)
    if not groups:
        groups += _nothing_to_go_by(tables, day, settings.records_from)
    if groups or day is None or reading is None:
        raise InputError(problem_lines(groups))
    clean = {name: _clean(name, tables) for name in SCHEMA}
    notes += _inferred_beginning(clean["vehicles"], settings)
    clean["repairs"] = _with_further(clean["repairs"], tables["repairs"], reading.further)
    duty = assign_duty(
        clean["vehicles"], clean["duty_log"], rule=settings.duty_rule, distance_unit=settings.distance_unit
    )
    clean["vehicles"] = clean["vehicles"].assign(duty=duty.duty)
    return Fleet(
        folder=folder,
        settings=settings,
        as_of=day,
        tables=MappingProxyType(clean),
        findings=tuple(finding for typed in tables.values() for finding in typed.log.findings()),
        counts=_counts(tables),
        notes=tuple(dict.fromkeys([*notes, *duty.notes])),
        questions=_open_questions(reading.questions, tables["repairs"]),
        corrections=corrections,
        other_figures=_other_figures(tables["repairs"]),
        duty_groups=duty.table,
        greasings=_greasings(tables["repairs"], reading.greasings, day),
    )


def order_by_content(fleet: Fleet) -> Fleet:
    """The same fleet with the rows of every table in the order of what they say.

    Parameters
    ----------
    fleet : Fleet
        Its tables are in the order of the files.

    Returns
    -------
    Fleet
        Equal for the same record, in whatever order its rows and files came.
    """
    tables = {name: in_content_order(frame, _told_columns(name)) for name, frame in fleet.tables.items()}
    return replace(
        fleet,
        tables=MappingProxyType(tables),
        duty_groups=in_content_order(fleet.duty_groups, tuple(fleet.duty_groups.columns)),
        other_figures=in_content_order(fleet.other_figures, ("unit", "date", "odometer")),
        greasings=in_content_order(fleet.greasings, ("unit", "date", "position")),
    )


def _with_further(clean: pd.DataFrame, repairs: TypedTable, further: pd.DataFrame) -> pd.DataFrame:
    """Clean repairs with a row of its own for each further part of a line; money and hours stay with the first."""
    clean = clean.assign(candidates=repairs.kept()["candidates"])
    kept = further[~repairs.log.dropped[further["place"].to_numpy(dtype=int)]]
    if kept.empty:
        return clean
    rows = repairs.frame.iloc[kept["place"].to_numpy(dtype=int)].reset_index(drop=True)[list(clean.columns)]
    for name in ("component", "position", "reason", "quantity", "candidates"):
        rows[name] = kept[name].to_numpy()
    rows["part_number"] = ""
    rows["labour_hours"] = rows["parts_cost"] = float("nan")
    return pd.concat([clean, rows], ignore_index=True)


def _other_figures(repairs: TypedTable) -> pd.DataFrame:
    """Odometers of sound repair lines that are about something else, or wait: evidence all the same."""
    chosen = repairs.log.dropped & ~repairs.log.faulty
    frame = repairs.frame[chosen]
    meters = ["odometer", "engine_hours"]
    known = frame[meters].notna().any(axis=1) & frame["date"].notna() & (frame["unit"] != "")
    return frame.loc[known, ["unit", "date", *meters, "file", "row"]].assign(table="repairs")


def _greasings(repairs: TypedTable, found: pd.DataFrame, day: pd.Timestamp) -> pd.DataFrame:
    """Greased positions with vehicle and day, each once a day, up to the as-of date."""
    rows = repairs.frame.iloc[found["place"].to_numpy(dtype=int)].reset_index(drop=True)
    frame = rows.assign(position=found["position"].to_numpy(dtype=object))[list(_GREASING_COLUMNS)]
    known = frame["date"].notna() & (frame["date"] <= day) & (frame["unit"] != "")
    return frame[known].drop_duplicates(["unit", "date", "position"], ignore_index=True)


def _open_questions(questions: tuple[Question, ...], repairs: TypedTable) -> tuple[Question, ...]:
    """Questions about rows that could still count: not those after the as-of date or otherwise out."""
    log = repairs.log
    places = zip(repairs.frame["file"], repairs.frame["row"], strict=True)
    out = log.dropped & ~log.waiting
    gone = {place for place, is_out in zip(places, out, strict=True) if is_out}
    return tuple(q for q in questions if q.kind == "words" or (q.file, q.row) not in gone)


def _typed_tables(
    found: FoundTables, settings: FleetSettings
) -> tuple[dict[str, TypedTable], list[ProblemGroup]]:
    """Tables that could be read, and the problems of those that could not."""
    tables: dict[str, TypedTable] = {}
    groups: list[ProblemGroup] = []
    for name, places in found.tables.items():
        parts: list[TypedTable] = []
        for place in places:
            try:
                raw = read_table(place, table=name)
                parts.append(build_typed_table(raw, source=place.source, distance_unit=settings.distance_unit))
            except InputError as error:
                groups.append(ProblemGroup(error.problems, len(error.problems)))
        if len(parts) == len(places):
            tables[name] = build_combined_table(parts)
    return tables, groups


def _masters(tables: Mapping[str, TypedTable]) -> dict[str, TypedTable]:
    return {name: typed for name, typed in tables.items() if SCHEMA[name].is_master}


def _missing_notes(tables: Mapping[str, TypedTable]) -> list[str]:
    """What cannot be answered for want of a table."""
    missing = (table for name, table in SCHEMA.items() if name not in tables and table.without)
    return [f"no {table.name} table: {table.without}." for table in missing]


def _inferred_beginning(vehicles: pd.DataFrame, settings: FleetSettings) -> list[str]:
    """Says so when the beginning of the record is only inferred, and makes vehicles older than it."""
    if settings.records_from is not None:
        return []
    inferred = vehicles["records_from"].mode().iloc[0]
    older = vehicles[(vehicles["records_from"] == inferred) & (vehicles["in_service_date"] < inferred)]
    if older.empty:
        return []
    return [
        f"records_from is not given: the record is taken to begin on {inferred:%Y-%m-%d}, its earliest date, and "
        f"{len(older)} vehicles in service before that are treated as older than their records; set records_from in "
        "fleet.toml, or in the vehicles table, if it is complete from an earlier day."
    ]


def _first_date(tables: Mapping[str, TypedTable]) -> pd.Timestamp:
    """Earliest date of the records, rows after the as-of date among them."""
    dates = [tables[name].frame["date"].min() for name in _WITH_ODOMETER if name in tables]
    return min(dates, default=pd.Timestamp.min)


def _nothing_to_go_by(
    tables: Mapping[str, TypedTable], day: pd.Timestamp | None, records_from: pd.Timestamp | None
) -> list[ProblemGroup]:
    """The problem of a record without a date, a vehicle in service or an odometer."""
    if day is None:
        problem = "No row of the records has a usable date; correct the dates of repairs and readings."
    elif records_from is not None and records_from > day:
        problem = (
            f"fleet.toml, key records_from: {records_from:%Y-%m-%d} lies after the as-of date {day:%Y-%m-%d}, so that "
            "no day is on record; correct one of the two."
        )
    elif tables["vehicles"].log.dropped.all():
        problem = f"No vehicle is in service at the as-of date {day:%Y-%m-%d}; give a later date with --as-of."
    elif (begins := _first_date(tables)) > day:
        problem = (
            f"The records begin on {begins:%Y-%m-%d}, after the as-of date {day:%Y-%m-%d}; "
            "give a later date with --as-of."
        )
    elif not any(tables[name].kept()["odometer"].notna().any() for name in _WITH_ODOMETER if name in tables):
        problem = (
            "No odometer is known: neither a readings table nor the repairs and inspections up to "
            f"{day:%Y-%m-%d} give one; add readings.csv with the columns unit, date, odometer."
        )
    else:
        return []
    return [ProblemGroup((problem,), 1)]


def _clean(name: str, tables: Mapping[str, TypedTable]) -> pd.DataFrame:
    if name not in tables:
        return build_empty_table(name)
    return tables[name].kept()[[*SCHEMA[name].names, "file", "row"]]


def _told_columns(name: str) -> tuple[str, ...]:
    """Columns that tell rows apart: vehicle and day first, free text and places in files not at all."""
    told = [column.name for column in SCHEMA[name].columns if column.kind != "note"]
    return tuple(sorted(told, key=lambda column: (column != "unit", column != "date")))


def _counts(tables: Mapping[str, TypedTable]) -> pd.DataFrame:
    rows = [
        (name, part.label, length)
        for name, typed in tables.items()
        for part, length in zip(typed.raw.parts, typed.raw.part_lengths, strict=True)
    ]
    return pd.DataFrame(rows, columns=["table", "file", "rows_read"])

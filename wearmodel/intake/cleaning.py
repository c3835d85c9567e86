"""The checks of all tables in their order: master tables, event tables, the as-of date."""

from collections.abc import Mapping

import pandas as pd

from wearmodel.intake.as_of import earliest_date, newest_date
from wearmodel.intake.event_checks import (
    check_after,
    check_in_service,
    check_inspections,
    check_meters,
    check_repeats,
    check_ride_height,
    check_units,
)
from wearmodel.intake.fleet_plan_checks import check_fleet_plan, check_months_ahead
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.intake.fleet_vehicles import build_vehicles, check_vehicle_geometry
from wearmodel.intake.master_checks import (
    build_alike_notes,
    build_catalogue,
    build_depot_notes,
    check_parts,
    check_stock,
    check_vehicles,
)
from wearmodel.intake.repairs.recognised_codes import component_codes
from wearmodel.intake.repairs.repair_checks import RepairReading, check_repairs
from wearmodel.intake.repairs.repair_lines import LineKnowledge
from wearmodel.intake.tables.problem_list import MOST_LINES, ProblemGroup
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.name_index import NameIndex, build_name_index
from wearmodel.intake.words.repair_text import build_lexicon
from wearmodel.questions import Answer

__all__ = ["EVENT_DATES", "check_as_of", "check_events", "check_masters", "problem_groups"]

EVENT_DATES: Mapping[str, str] = {
    "ride_height": "date",
    "readings": "date",
    "repairs": "date",
    "inspections": "date",
    "duty_log": "month",
}
"""Event table -> its date column."""

_RECORDS = ("readings", "repairs", "inspections")


def check_masters(tables: Mapping[str, TypedTable], *, settings: FleetSettings) -> tuple[str, ...]:
    """Note the faults of vehicles, parts and stock, and complete them.

    Parameters
    ----------
    tables : mapping of str to TypedTable
        Tables of the folder.
    settings : FleetSettings
        Of the fleet.

    Returns
    -------
    tuple of str
        Sentences on settings no vehicle can use.
    """
    notes: tuple[str, ...] = ()
    if vehicles := tables.get("vehicles"):
        check_vehicles(vehicles, settings=settings)
        notes = (*check_vehicle_geometry(vehicles.kept(), settings=settings), *build_alike_notes(vehicles, "unit"))
    catalogue: NameIndex | None = None
    others: set[str] = set()
    if parts := tables.get("parts"):
        labels = {code: spec.label for code, spec in settings.components.items()}
        lexicon = build_lexicon(labels, own_words=settings.own_words)
        codes = component_codes(parts.texts("component"), labels=labels, lexicon=lexicon)
        check_parts(parts, settings=settings, codes=codes)
        numbers = parts.texts("part_number")
        catalogue = build_name_index(set(numbers) - {""})
        others = set(numbers[parts.log.dropped & ~parts.log.faulty])
        notes = (*notes, *build_alike_notes(parts, "part_number"))
    if stock := tables.get("stock"):
        check_stock(stock, catalogue=catalogue, others=others)
        if vehicles:
            notes = (*notes, *build_depot_notes(stock, vehicles=vehicles.kept()))
    return notes


def check_events(
    tables: Mapping[str, TypedTable], *, settings: FleetSettings, corrections: Mapping[str, Answer]
) -> RepairReading:
    """Note the rows of event tables that cannot be used, against sound master tables.

    Parameters
    ----------
    tables : mapping of str to TypedTable
        Tables of the folder, master tables without faults.
    settings : FleetSettings
        Of the fleet.
    corrections : mapping of str to Answer
        Answers of a person by the key of their question.

    Returns
    -------
    RepairReading
        Notes and questions on repair lines, and the further parts of lines that name several.
    """
    vehicles = build_vehicles(tables["vehicles"].kept(), settings=settings)
    labels = {code: spec.label for code, spec in settings.components.items()}
    lexicon = build_lexicon(labels, own_words=settings.own_words, steering_side=settings.steering_side)
    for name in EVENT_DATES:
        if name in tables:
            check_units(tables[name], vehicles=vehicles)
    if readings := tables.get("readings"):
        check_meters(readings)
        check_repeats(readings, columns=("unit", "date", "odometer", "engine_hours"))
    if changes := tables.get("ride_height"):
        check_ride_height(changes, vehicles=vehicles)
    if looks := tables.get("inspections"):
        check_inspections(looks, vehicles=vehicles, lexicon=lexicon)
    if duty := tables.get("duty_log"):
        check_repeats(duty, columns=("unit", "month"), said="gives the same month again as")
    if plan := tables.get("fleet_plan"):
        check_fleet_plan(plan, vehicles=tables["vehicles"].kept())
    parts = tables.get("parts")
    known = LineKnowledge(
        positions=vehicles.positions,
        all_positions={p: c for layout in settings.layouts.values() for p, c in layout.items()},
        components=labels,
        catalogue=None if parts is None else build_catalogue(parts.kept()),
        lexicon=lexicon,
        own_words=settings.own_words,
    )
    return check_repairs(
        tables["repairs"],
        vehicles=vehicles,
        known=known,
        corrections=corrections,
        review_threshold=settings.review_threshold,
    )


def check_as_of(
    tables: Mapping[str, TypedTable], *, as_of: pd.Timestamp | None, records_from: pd.Timestamp | None
) -> pd.Timestamp | None:
    """Leave out what lies after the as-of date, and fill in when records begin.

    Parameters
    ----------
    tables : mapping of str to TypedTable
        Tables of the folder, all checked.
    as_of : pandas.Timestamp or None
        Wanted day; None = the newest date of the records.
    records_from : pandas.Timestamp or None
        First day of the records where a vehicle has none; None = their earliest date.

    Returns
    -------
    pandas.Timestamp or None
        The as-of date; None when nothing in the records has a date.
    """
    # Lines about other systems are part of the record too: they show that it was kept on that day.
    sound = [tables[name] for name in _RECORDS if name in tables]
    dates = [t.frame["date"].to_numpy(dtype="M8[ns]")[~t.log.faulty] for t in sound]
    day = as_of or newest_date(dates)
    if day is None:
        return None
    vehicles = tables["vehicles"]
    frame = vehicles.frame
    late = (frame["in_service_date"] > day).to_numpy()
    problem = f"lies after the as-of date {day:%Y-%m-%d}"
    vehicles.log.leave_out(late, column="in_service_date", problem=problem, action="the vehicle was left out")
    still_in_service = (frame["out_of_service_date"] > day).to_numpy()
    vehicles.log.repair(
        still_in_service, column="out_of_service_date", problem=problem, action="the vehicle counts as in service"
    )
    frame.loc[still_in_service, "out_of_service_date"] = pd.NaT
    first = records_from or earliest_date(dates)
    if first is not None:
        frame["records_from"] = frame["records_from"].fillna(first)
    not_yet = set(frame.loc[late, "unit"])
    for name, column in EVENT_DATES.items():
        if name in tables:
            check_after(tables[name], column=column, as_of=day)
            check_in_service(tables[name], not_yet=not_yet, as_of=day)
    if plan := tables.get("fleet_plan"):
        check_months_ahead(plan, as_of=day)
    return day


def problem_groups(tables: Mapping[str, TypedTable], *, set_aside_limit: float) -> list[ProblemGroup]:
    """Problems that stop the run: any fault of a master table, too many of an event table.

    Parameters
    ----------
    tables : mapping of str to TypedTable
        Tables of the folder.
    set_aside_limit : float
        Largest share of faulty rows of an event table, 0 to 1.

    Returns
    -------
    list of ProblemGroup
        One a table that stops the run.
    """
    groups: list[ProblemGroup] = []
    for name, typed in tables.items():
        faulty, rows = int(typed.log.faulty.sum()), len(typed.raw.rows)
        label = typed.raw.label
        if SCHEMA[name].is_required and rows == 0:
            groups.append(ProblemGroup((f"{label} has no rows; fill in the table {name}.",), 1))
        elif SCHEMA[name].is_master and faulty:
            groups.append(ProblemGroup(tuple(typed.log.fault_sentences(limit=MOST_LINES)), faulty))
        elif faulty > set_aside_limit * rows:
            closing = (
                f"{label}: {faulty:,} of {rows:,} rows ({faulty / rows:.1%}) are faulty, more than the "
                f"{set_aside_limit:.1%} that may be set aside; correct them, or raise set_aside_limit in fleet.toml."
            )
            groups.append(ProblemGroup(tuple(typed.log.fault_sentences(limit=MOST_LINES)), faulty, closing))
    return groups

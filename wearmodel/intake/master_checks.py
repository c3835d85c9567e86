"""Vehicles, parts and stock: the tables others refer to, so that every fault in them stops the run."""

from collections.abc import Collection, Mapping

import numpy as np
import pandas as pd

from wearmodel.driveline.layouts import UnknownLayoutError, positions_of
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.part_groups import circular_numbers, joined_groups
from wearmodel.intake.repairs.repair_lines import NOT_A_PART, CatalogueEntry
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.name_index import NameIndex, build_name_index
from wearmodel.intake.values.plain_text import plain

__all__ = ["build_alike_notes", "build_catalogue", "build_depot_notes", "check_parts", "check_stock", "check_vehicles"]

_CORRECT = "correct it"
_SHOWN_ALIKE = 5
_IN_CATALOGUE = "add it to the parts table or correct it"


def check_vehicles(vehicles: TypedTable, *, settings: FleetSettings) -> None:
    """Note faults of the vehicles table, and bring drivelines to their canonical names.

    Parameters
    ----------
    vehicles : TypedTable
        Its frame is completed: blank duty, class, depot and first odometer take their defaults.
    settings : FleetSettings
        With every known layout.
    """
    frame, log = vehicles.frame, vehicles.log
    _check_unique(vehicles, "unit", remedy="keep one row a unit")
    layouts = build_name_index(settings.layouts)
    written = vehicles.texts("driveline")
    drivelines = map_distinct(lambda text: _canonical_driveline(str(text), layouts), written)
    problems = map_distinct(lambda text: _driveline_problem(str(text), settings), drivelines)
    remedy = "correct it or add it under [layouts] in fleet.toml"
    log.fault((problems != "") & (written != ""), column="driveline", problem=problems, action=remedy, value="")
    frame["driveline"] = drivelines
    early = (frame["out_of_service_date"] < frame["in_service_date"]).to_numpy()
    log.fault(early, column="out_of_service_date", problem="lies before the vehicle's in_service_date", action=_CORRECT)
    for column, default in (("vehicle_class", "all"), ("duty", "unknown"), ("depot", "main")):
        texts = vehicles.texts(column)
        frame[column] = np.where(texts == "", default, texts)
    frame["in_service_odometer"] = frame["in_service_odometer"].fillna(0.0)


def check_parts(parts: TypedTable, *, settings: FleetSettings, codes: Mapping[str, str]) -> None:
    """Note faults of the parts table, and bring its components and positions to their canonical names.

    Parameters
    ----------
    parts : TypedTable
        Its frame is completed in place: a blank pack is 1.
    settings : FleetSettings
        With every known component and layout.
    codes : mapping of str to str
        Component as written -> canonical code, for those that are known.
    """
    frame, log = parts.frame, parts.log
    _check_unique(parts, "part_number", remedy="keep one row a part number")
    written = parts.texts("component")
    components = map_distinct(lambda text: codes.get(str(text), str(text)), written)
    known = settings.components
    other = components == NOT_A_PART
    log.leave_out(other, column="component", problem="is no part of a driveline", action="left out")
    unknown = map_distinct(lambda text: str(text) not in known, components).astype(bool) & (written != "") & ~other
    problem = map_distinct(lambda text: f"is not a known component{nearest_to(str(text), known)}", written)
    log.fault(unknown, column="component", problem=problem, action=f"{_CORRECT} or add it under [components]")
    frame["component"] = components
    positions = build_name_index({p for layout in settings.layouts.values() for p in layout})
    _check_places(parts, "position", positions=positions, components=())
    _check_places(parts, "renews", positions=positions, components=known)
    _check_successors(parts)
    _check_interchange(parts)
    frame["pack"] = frame["pack"].fillna(1.0)


def check_stock(stock: TypedTable, *, catalogue: NameIndex | None, others: Collection[str] = ()) -> None:
    """Note faults of the stock table.

    Parameters
    ----------
    stock : TypedTable
        Its frame is completed: a blank depot is `main`, a blank order 0.
    catalogue : NameIndex or None
        Part numbers of the parts table; None without one.
    others : collection of str
        Those of them that are no part of a driveline.
    """
    frame, log = stock.frame, stock.log
    if catalogue is not None:
        written = stock.texts("part_number")
        found = map_distinct(lambda text: catalogue.known(str(text)), written)
        missing = (found == "") & (written != "")
        log.fault(missing, column="part_number", problem="is not in the parts table", action=_IN_CATALOGUE)
        frame["part_number"] = np.where(found == "", written, found)
        foreign = frame["part_number"].isin(list(others)).to_numpy()
        log.leave_out(foreign, column="part_number", problem="is no part of a driveline", action="left out")
    depots = stock.texts("depot")
    frame["depot"] = np.where(depots == "", "main", depots)
    twice = frame.duplicated(["part_number", "depot"]).to_numpy() & (stock.texts("part_number") != "")
    log.fault(twice, column="part_number", problem="is there twice for one depot", action="keep one row a depot")
    frame["on_order"] = frame["on_order"].fillna(0.0)


def build_catalogue(parts: pd.DataFrame) -> dict[str, CatalogueEntry]:
    """What repair lines need to know of each part number.

    Parameters
    ----------
    parts : pandas.DataFrame
        Clean parts table.

    Returns
    -------
    dict of str to CatalogueEntry
        By part number.
    """
    columns = (parts[name] for name in ("part_number", "component", "position", "renews"))
    return {
        number: CatalogueEntry(component, position, tuple(renews.split(";")) if renews else ())
        for number, component, position, renews in zip(*columns, strict=True)
    }


def build_alike_notes(table: TypedTable, column: str) -> list[str]:
    """A sentence on names that differ only in case, punctuation or leading zeros.

    Parameters
    ----------
    table : TypedTable
        A master table, checked.
    column : str
        Its column of names.

    Returns
    -------
    list of str
        One sentence, or none.
    """
    names = set(table.texts(column)[~table.log.dropped]) - {""}
    alike = sorted(build_name_index(names).shared.values())
    if not alike:
        return []
    shown = "; ".join(" and ".join(repr(plain(name, limit=60)) for name in group) for group in alike[:_SHOWN_ALIKE])
    more = f" and {len(alike) - _SHOWN_ALIKE} more" if len(alike) > _SHOWN_ALIKE else ""
    return [
        f"{table.raw.label}, column {table.raw.heading(column)}: {shown}{more} differ only in case, punctuation or "
        "zeros; they are taken for different ones, and rows that write them in yet another way are set aside."
    ]


def build_depot_notes(stock: TypedTable, *, vehicles: pd.DataFrame) -> list[str]:
    """A sentence on depots that hold stock, but have no vehicle in service.

    Parameters
    ----------
    stock : TypedTable
        Stock table, checked.
    vehicles : pandas.DataFrame
        Clean vehicles table.

    Returns
    -------
    list of str
        One sentence, or none. A central store is no fault, so that its rows are used as they are.
    """
    index = build_name_index(vehicles.loc[vehicles["out_of_service_date"].isna(), "depot"])
    rows = np.flatnonzero(~stock.log.dropped & ~stock.frame["depot"].isin(list(index.names)).to_numpy())
    first = dict(zip(stock.frame["depot"].to_numpy()[rows[::-1]], rows[::-1], strict=True))
    if not first:
        return []
    shown = sorted(first)[:_SHOWN_ALIKE]
    named = ", ".join(f"{plain(name, limit=60)!r}{nearest_to(name, index.names)}" for name in shown)
    more = f" and {len(first) - len(shown)} more" if len(first) > len(shown) else ""
    place = stock.frame.iloc[min(first.values())]
    return [
        f"{place['file']} row {place['row']}, column {stock.raw.heading('depot')}: {named}{more} has no vehicle in "
        "service, so that no demand is forecast for what lies there; correct the name, or leave it if it is a store."
    ]


def _check_unique(table: TypedTable, column: str, *, remedy: str) -> None:
    """Note rows that repeat the name of an earlier one; the same row in another file is left out."""
    names = table.texts(column)
    twice = pd.Series(names).duplicated().to_numpy() & (names != "")
    if not twice.any():
        return
    raw = table.raw
    first = dict(zip(names[::-1], range(len(names) - 1, -1, -1), strict=True))
    if len(raw.parts) > 1:
        again = twice & raw.cells.duplicated().to_numpy() & ~table.frame.duplicated([column, "file"]).to_numpy()
        problem = map_distinct(lambda name: f"the row is on {raw.place_name(first[name])} too", names)
        table.log.leave_out(again, problem=problem, action="left out; it counts once")
        twice &= ~again
    problem = map_distinct(lambda name: f"is there twice, first in {raw.place_name(first[name])}", names)
    table.log.fault(twice, column=column, problem=problem, action=remedy)


def _canonical_driveline(text: str, layouts: NameIndex) -> str:
    return "+".join(layouts.known(part.strip()) or part.strip() for part in text.split("+")) if text else ""


def _driveline_problem(driveline: str, settings: FleetSettings) -> str:
    try:
        positions_of(driveline, settings.layouts)
    except (UnknownLayoutError, ValueError) as error:
        return str(error)
    return ""


def _check_places(
    table: TypedTable, column: str, *, positions: NameIndex, components: Collection[str]
) -> None:
    """Note unknown positions (or components) in a column of one or several joined by semicolons."""
    written = table.texts(column)
    index = build_name_index(components)

    def canonical(text: object) -> str:
        names = [name.strip() for name in str(text).split(";" if components else None)] if text else []
        found = [positions.known(name) or index.known(name) or f"?{name}" for name in names if name]
        return ";".join(found)

    places = map_distinct(canonical, written)
    unknown = map_distinct(lambda text: "?" in str(text), places).astype(bool)
    what = "position or component" if components else "position"

    def problem(text: object) -> str:
        bad = next((name[1:] for name in str(text).split(";") if name.startswith("?")), "")
        near = nearest_to(bad, [*positions.names, *components]) if bad else ""
        return f"names {bad!r}, which is not a known {what}{near}"

    table.log.fault(unknown, column=column, problem=map_distinct(problem, places), action=_CORRECT, value="")
    table.frame[column] = np.where(unknown, "", places)


def _check_successors(parts: TypedTable) -> None:
    """Note part numbers superseded by one that is not there, or in a circle."""
    numbers, successors = parts.texts("part_number"), parts.texts("superseded_by")
    index = build_name_index(number for number in numbers if number)
    found = map_distinct(lambda text: index.known(str(text)), successors)
    missing = (found == "") & (successors != "")
    parts.log.fault(missing, column="superseded_by", problem="is not in the parts table", action=_IN_CATALOGUE)
    follows = dict(zip(numbers, found, strict=True))
    circles = circular_numbers({number: after for number, after in follows.items() if after})
    circular = np.array([number in circles for number in numbers], dtype=bool)
    parts.log.fault(
        circular, column="superseded_by", problem="leads back to the part number itself", action="break the circle"
    )
    parts.frame["superseded_by"] = found


def _check_interchange(parts: TypedTable) -> None:
    """Note parts interchangeable with one that is not there or is another component; complete the groups."""
    numbers, written = parts.texts("part_number"), parts.texts("interchangeable_with")
    if not (written != "").any():
        return
    index = build_name_index(number for number in numbers if number)
    components = dict(zip(numbers, parts.texts("component"), strict=True))

    def problem(text: str, component: str) -> str:
        for name in _names_in(text):
            other = index.known(name)
            if not other:
                return f"names {name!r}, which is not in the parts table"
            if components[other] != component:
                return f"names {other!r}, which is no {component} but {components[other]}"
        return ""

    problems = map_distinct(problem, written, parts.texts("component"))
    action = f"{_IN_CATALOGUE}; parts that are interchangeable renew the same component"
    parts.log.fault(problems != "", column="interchangeable_with", problem=problems, action=action, value="")
    pairs = [
        (number, index.known(name)) for number, text in zip(numbers, written, strict=True) for name in _names_in(text)
    ]
    others = {
        number: ";".join(other for other in group if other != number)
        for group in joined_groups((number for number in numbers if number), pairs)
        for number in group
    }
    parts.frame["interchangeable_with"] = map_distinct(lambda number: others.get(str(number), ""), numbers)


def _names_in(text: str) -> list[str]:
    """The names in a list separated by semicolons."""
    return [name.strip() for name in text.split(";") if name.strip()]

"""Rows of readings, ride heights, inspections and duty that cannot be right or have no part are set aside."""

from collections.abc import Collection, Sequence

import numpy as np
import pandas as pd

from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.fleet_vehicles import LiftBounds, Vehicles
from wearmodel.intake.tables.export_repeats import check_exports
from wearmodel.intake.tables.row_log import SET_ASIDE
from wearmodel.intake.tables.schema import FINDINGS
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.name_index import build_name_index
from wearmodel.intake.words.repair_text import Lexicon, wording

__all__ = [
    "check_after",
    "check_in_service",
    "check_inspections",
    "check_meters",
    "check_repeats",
    "check_ride_height",
    "check_units",
]

_FOUND_WELL = frozenset({"ok", "good", "pass", "passed", "okay", "fine", "none", "no defect", "no fault"})
_REVIEW = "left out; keep the row that is right"


def check_units(events: TypedTable, *, vehicles: Vehicles) -> None:
    """Bring units to the names of the vehicles table; rows of unknown vehicles are faulty.

    Parameters
    ----------
    events : TypedTable
        Any table with a unit.
    vehicles : Vehicles
        As in the vehicles table.
    """
    written = events.texts("unit")
    units = map_distinct(lambda text: vehicles.index.known(str(text)), written)

    def problem(unit: str, text: str) -> str:
        alike = vehicles.index.alike(text) if not unit and text else ()
        return f"could be any of {', '.join(alike)} of the vehicles table" if alike else "is not in the vehicles table"

    problems = map_distinct(problem, units, written)
    events.log.fault((units == "") & (written != ""), column="unit", problem=problems)
    renamed = (units != written) & (units != "")
    if renamed.any():
        action = map_distinct(lambda unit: f"read as {unit!r}", units)
        events.log.repair(
            renamed, column="unit", problem="is written in another way in the vehicles table", action=action
        )
    events.frame["unit"] = units


def check_in_service(events: TypedTable, *, not_yet: Collection[str], as_of: pd.Timestamp) -> None:
    """Leave out rows of vehicles that enter service only after the as-of date.

    Parameters
    ----------
    events : TypedTable
        Any table with a unit, units checked.
    not_yet : collection of str
        Units that are not in service yet.
    as_of : pandas.Timestamp
        The as-of date.
    """
    early = events.frame["unit"].isin(list(not_yet)).to_numpy()
    problem = f"enters service only after the as-of date {as_of:%Y-%m-%d}"
    events.log.leave_out(early, column="unit", problem=problem, action="left out", whatever_faults=True)


def check_after(events: TypedTable, *, column: str, as_of: pd.Timestamp) -> None:
    """Leave out rows dated after the as-of date, whatever else is wrong with them.

    Parameters
    ----------
    events : TypedTable
        Any table with a date.
    column : str
        Its date column.
    as_of : pandas.Timestamp
        The as-of date.
    """
    late = (events.frame[column] > as_of).to_numpy()
    problem = f"lies after the as-of date {as_of:%Y-%m-%d}"
    events.log.leave_out(late, column=column, problem=problem, action="left out", whatever_faults=True)


def check_meters(readings: TypedTable) -> None:
    """Rows without an odometer that tell no engine hours either are faulty.

    Parameters
    ----------
    readings : TypedTable
        Readings.
    """
    neither = (readings.frame["odometer"].isna() & readings.frame["engine_hours"].isna()).to_numpy()
    problem = "tells no hours, and the row has no odometer"
    readings.log.fault(neither & ~readings.log.faulty, column="engine_hours", problem=problem)


def check_repeats(events: TypedTable, *, columns: Sequence[str], said: str = "repeats") -> None:
    """Leave out rows that agree with an earlier one of their file in the given columns, or that another file has too.

    Parameters
    ----------
    events : TypedTable
        Any event table.
    columns : sequence of str
        Columns that make a row what it is.
    said : str
        What the row does to the earlier one, before `row N`.
    """
    used = events.frame[~events.log.dropped]
    keys = [*columns, "file"]
    if used.duplicated(keys).any():
        first = used.groupby(keys, sort=False, dropna=False)["row"].transform("first")
        earlier = first.reindex(events.frame.index, fill_value=0)
        repeats = ((earlier != events.frame["row"]) & (earlier > 0)).to_numpy()
        problem = map_distinct(lambda row: f"the row {said} row {row}", earlier.to_numpy())
        events.log.leave_out(repeats, problem=problem, action=_REVIEW)
    if len(events.raw.parts) > 1:
        check_exports(events, columns=columns, said="" if said == "repeats" else said)


def check_ride_height(changes: TypedTable, *, vehicles: Vehicles) -> None:
    """Note lifts beyond a vehicle's shafts; of several lifts on one day the last row stands.

    Parameters
    ----------
    changes : TypedTable
        Ride-height changes, units checked.
    vehicles : Vehicles
        With the bounds of their lifts.
    """
    frame = changes.frame
    if vehicles.lift_bounds:
        bounds = map_distinct(lambda unit: vehicles.lift_bounds.get(str(unit), LiftBounds()), changes.texts("unit"))
        low = np.array([bound.low for bound in bounds], dtype=float)
        high = np.array([bound.high for bound in bounds], dtype=float)
        lift = frame["lift"].to_numpy()
        reach = map_distinct(lambda b: f"is beyond what the shafts allow ({b.low:.0f} to {b.high:.0f} mm)", bounds)
        changes.log.fault((lift <= low) | (lift >= high), column="lift", problem=reach)
    check_repeats(changes, columns=("unit", "date", "lift"))
    used = frame[~changes.log.dropped]
    overruled = used.duplicated(["unit", "date"], keep="last").reindex(frame.index, fill_value=False).to_numpy()
    changes.log.leave_out(
        overruled, column="lift", problem="is overruled by a later row of the same day", action=_REVIEW
    )


def check_inspections(looks: TypedTable, *, vehicles: Vehicles, lexicon: Lexicon) -> None:
    """Bring positions and findings to their canonical words; rows with unknown ones are faulty.

    Parameters
    ----------
    looks : TypedTable
        Inspections, units checked.
    vehicles : Vehicles
        With the positions of their drivelines.
    lexicon : Lexicon
        Words of the trade.
    """
    written = looks.texts("position")
    drivelines = map_distinct(lambda unit: vehicles.drivelines.get(str(unit), ""), looks.texts("unit"))
    indexes = {name: build_name_index(positions) for name, positions in vehicles.positions.items()}

    def position(driveline: str, text: str) -> str:
        return indexes[driveline].known(text) if driveline else text

    def problem(driveline: str, text: str) -> str:
        if not driveline or not text or indexes[driveline].known(text):
            return ""
        return f"is not a position of {driveline}{nearest_to(text, vehicles.positions[driveline])}"

    positions = map_distinct(position, drivelines, written)
    problems = map_distinct(problem, drivelines, written)
    looks.log.fault(problems != "", column="position", problem=problems)
    looks.frame["position"] = positions
    found = looks.texts("finding")
    codes = map_distinct(lambda text: _finding(str(text), lexicon), found)
    unknown = (codes == "") & (found != "")
    looks.log.fault(
        unknown,
        column="finding",
        problem=f"is none of {', '.join(FINDINGS)}",
        action=f"{SET_ASIDE}; map the code with values.finding in fleet.toml",
    )
    looks.frame["finding"] = codes
    check_repeats(looks, columns=("unit", "date", "position", "finding", "odometer"))


def _finding(text: str, lexicon: Lexicon) -> str:
    """The canonical finding a code or a short wording stands for; empty when there is none."""
    word = text.casefold()
    if word in FINDINGS:
        return word
    if word in _FOUND_WELL:
        return "ok"
    words = wording(text, lexicon=lexicon)
    if words.reason in FINDINGS:
        return words.reason
    return "ok" if words.deed == "tended" and not words.reasons else ""

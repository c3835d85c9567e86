"""Rows of the fleet plan: which vehicles are to join and to leave, against the vehicles that are there."""

import numpy as np
import pandas as pd

from wearmodel.intake.event_checks import check_repeats
from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.tables.row_log import SET_ASIDE
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.name_index import NameIndex, build_name_index

__all__ = ["check_fleet_plan", "check_months_ahead"]


def check_fleet_plan(plan: TypedTable, *, vehicles: pd.DataFrame) -> None:
    """Bring names to those of the vehicles table, and note rows that cannot be carried out.

    Parameters
    ----------
    plan : TypedTable
        Its frame is completed: a blank count is 0, a class that goes without saying is filled in.
    vehicles : pandas.DataFrame
        Clean vehicles table.
    """
    frame, log = plan.frame, plan.log
    for name in ("joins", "leaves"):
        frame[name] = frame[name].fillna(0.0)
    joins, leaves = (frame[name].to_numpy() > 0 for name in ("joins", "leaves"))
    log.leave_out(
        ~joins & ~leaves, column="joins", problem="the row lets no vehicle join and none leave", action="left out"
    )
    check_repeats(plan, columns=("unit", "vehicle_class", "depot", "month", "joins", "leaves"))
    _check_units(plan, vehicles, joins, leaves)
    _check_classes(plan, vehicles, joins)
    _check_depots(plan, vehicles, leaves)
    _check_arrivals(plan, vehicles, joins, leaves)


def _looked_up(index: NameIndex, written: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The known name each cell means, blank where there is none, and what is said of the nearest one."""
    found = map_distinct(lambda text: index.known(str(text)), written)
    return found, map_distinct(lambda text: nearest_to(str(text), index.names), written)


def _check_units(plan: TypedTable, vehicles: pd.DataFrame, joins: np.ndarray, leaves: np.ndarray) -> None:
    """Named vehicles join or leave once: those that join are new, those that leave are there."""
    frame, log = plan.frame, plan.log
    written = plan.texts("unit")
    named = written != ""
    several = named & (frame["joins"] + frame["leaves"] > 1).to_numpy()
    log.fault(
        several, column="unit", problem="is one vehicle, and joins or leaves once", action=f"{SET_ASIDE}; write 1 or 0"
    )
    index = build_name_index(vehicles["unit"])
    units, near = _looked_up(index, written)
    known = named & (units != "")
    log.fault(known & joins, column="unit", problem="is in the vehicles table already, so that it cannot join")
    newcomers = set(written[named & joins & ~known])
    arriving = np.isin(written, sorted(newcomers))
    problem = map_distinct(lambda text: f"is not in the vehicles table{text}", near)
    log.fault(named & leaves & ~known & ~arriving, column="unit", problem=problem)
    frame["unit"] = np.where(known, units, written)
    gone = set(vehicles.loc[vehicles["out_of_service_date"].notna(), "unit"])
    log.leave_out(
        known & leaves & frame["unit"].isin(gone).to_numpy(), column="unit",
        problem="has left already by the vehicles table", action="left out",
    )  # fmt: skip
    for what in (joins, leaves):
        sound = named & what & ~log.dropped
        again = frame["unit"].where(sound).duplicated().to_numpy() & sound
        log.fault(again, column="unit", problem="is planned to do so in an earlier row already")


def _check_classes(plan: TypedTable, vehicles: pd.DataFrame, joins: np.ndarray) -> None:
    """Vehicles that join need a class that is there; the driveline and the work of a new class nobody could tell."""
    frame, log = plan.frame, plan.log
    written = plan.texts("vehicle_class")
    index = build_name_index(vehicles["vehicle_class"])
    classes, near = _looked_up(index, written)
    problem = map_distinct(lambda text: f"is not a class of the vehicles table{text}", near)
    log.fault((classes == "") & (written != ""), column="vehicle_class", problem=problem)
    only = next(iter(index.names)) if len(index.names) == 1 else ""
    missing = joins & (written == "")
    if not only:
        action = f"{SET_ASIDE}; name the class of the vehicles that join"
        log.fault(missing, column="vehicle_class", problem="the cell is empty", action=action, value="")
    frame["vehicle_class"] = np.where(missing, only, classes)


def _check_depots(plan: TypedTable, vehicles: pd.DataFrame, leaves: np.ndarray) -> None:
    """Vehicles leave depots that have some; one that nobody has been at may be a new one for vehicles that join."""
    frame, log = plan.frame, plan.log
    written = plan.texts("depot")
    serving = vehicles[vehicles["out_of_service_date"].isna()]
    index = build_name_index(serving["depot"])
    depots, near = _looked_up(index, written)
    unknown = (depots == "") & (written != "")
    problem = map_distinct(lambda text: f"has no vehicle in service{text}", near)
    log.fault(unknown & leaves, column="depot", problem=problem)
    log.repair(unknown & ~leaves, column="depot", problem=problem, action="taken as a new depot for those that join")
    frame["depot"] = np.where(unknown, written, depots)


def _check_arrivals(plan: TypedTable, vehicles: pd.DataFrame, joins: np.ndarray, leaves: np.ndarray) -> None:
    """A vehicle that is not there yet leaves later than it joins."""
    frame, log = plan.frame, plan.log
    new = (frame["unit"] != "").to_numpy() & ~frame["unit"].isin(vehicles["unit"]).to_numpy() & ~log.dropped
    joined = frame[new & joins].set_index("unit")["month"]
    after = (frame["unit"].map(joined) < frame["month"]).to_numpy()
    problem = map_distinct(lambda unit: f"does not come after a month in which {unit} joins", plan.texts("unit"))
    log.fault(new & leaves & ~after, column="month", problem=problem)


def check_months_ahead(plan: TypedTable, *, as_of: pd.Timestamp) -> None:
    """Leave out rows of months that are over.

    Parameters
    ----------
    plan : TypedTable
        Fleet plan.
    as_of : pandas.Timestamp
        The as-of date; the first month ahead is that of the day after it.
    """
    first = (as_of + pd.Timedelta(days=1)).to_period("M").to_timestamp()
    over = (plan.frame["month"] < first).to_numpy()
    problem = f"lies before {first:%Y-%m}, the first month after the as-of date {as_of:%Y-%m-%d}"
    plan.log.leave_out(over, column="month", problem=problem, action="left out", whatever_faults=True)

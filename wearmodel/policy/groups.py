"""Ways of renewing positions that belong together, compared by simulation: singly, together, by age, as an assembly."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.layouts import positions_of
from wearmodel.intake.fleet_toml.settings_together import SharedWork
from wearmodel.policy.fitted import FittedParts
from wearmodel.policy.group_simulation import GroupPolicy, GroupRun, PositionGroup, simulate_group
from wearmodel.policy.keeping import keeping_values
from wearmodel.policy.shared_work import build_sharing
from wearmodel.processes import each
from wearmodel.survival.model import LifeModel
from wearmodel.survival.weibull import integrated_survival

__all__ = ["GROUP_POLICIES", "GroupTerms", "compare_groups", "control_ages", "groups_of_layout", "position_group"]

Array = NDArray[Any]
_VEHICLES = 800
_LIVES = 20.0
_YEAR = 365.25
_MOST_POSITIONS = 10
_HALF_SHAFT = re.compile(r"(?P<side>[^.]+)\.(?P<end>outboard|inboard)_(?P<kind>joint|boot)")
#: Ways of renewing a group.
GROUP_POLICIES = (
    "each on its own",
    "all together",
    "those old enough together",
    "complete half shaft",
    "complete half shaft for a joint, boots on their own",
)
_COLUMNS = [
    "vehicle_class", "driveline", "group", "positions", "policy", "cost_per_1000", "cost_se", "difference_per_1000",
    "difference_se", "road_failures_per_vehicle_year", "road_failures_se", "visits_per_vehicle_year",
    "parts_per_vehicle_year", "vehicles", "best",
]  # fmt: skip


@dataclass(frozen=True)
class GroupTerms:
    """What renewals of groups cost.

    Parameters
    ----------
    shared : SharedWork
        What is spared when positions are renewed together.
    costs : pandas.DataFrame
        Cost assumptions by component, from `wearmodel.policy.costs.build_costs`.
    parts : pandas.DataFrame
        Catalogue; an assembly is a part that renews all components of a half shaft.
    labour_rate, downtime_cost : float
        [currency/h]
    layouts : mapping
        Layout -> {position: component}.
    """

    shared: SharedWork
    costs: pd.DataFrame
    parts: pd.DataFrame
    labour_rate: float
    downtime_cost: float
    layouts: Mapping[str, Mapping[str, str]]


def groups_of_layout(positions: Mapping[str, str], shared: SharedWork) -> dict[str, tuple[str, ...]]:
    """Groups of positions of a driveline that are worth comparing.

    Parameters
    ----------
    positions : mapping of str to str
        Position -> component.
    shared : SharedWork
        Holds the fleet's own groups.

    Returns
    -------
    dict of str to tuple of str
        Name of the group -> its positions. Of left and right half shafts only one side: they are alike.

    Examples
    --------
    >>> groups_of_layout({"rear.joint_front": "u_joint", "rear.joint_rear": "u_joint"}, SharedWork())
    {'joints of the rear shaft': ('rear.joint_front', 'rear.joint_rear')}
    """
    pieces = {name: _HALF_SHAFT.fullmatch(name) for name in positions}
    groups: dict[str, tuple[str, ...]] = {}
    for line in dict.fromkeys(name.partition(".")[0] for name in positions if pieces[name] is None):
        mine = [name for name in positions if name.startswith(f"{line}.")]
        joints = tuple(name for name in mine if name.partition(".")[2].startswith("joint"))
        bearings = tuple(name for name in mine if "bearing" in positions[name])
        if len(joints) > 1:
            groups[f"joints of the {line} shaft"] = joints
        if joints and bearings:
            groups[f"joints and bearing of the {line} shaft"] = (*joints, *bearings)
    side = next((piece["side"] for piece in pieces.values() if piece), "")
    half = {name: piece for name, piece in pieces.items() if piece and piece["side"] == side}
    for end in ("outboard", "inboard"):
        pair = tuple(name for name, piece in half.items() if piece["end"] == end)
        if len(pair) == 2:
            groups[f"{end} joint and boot"] = pair
    if len(half) == 4:
        groups["half shaft"] = tuple(half)
    for name, group in shared.groups.items():
        own = tuple(position for position in group.positions if position in positions)
        if 1 < len(own) <= _MOST_POSITIONS:
            groups[name] = own
    return groups


def position_group(
    positions: tuple[str, ...], *, components: Mapping[str, str], laws: pd.DataFrame, terms: GroupTerms
) -> PositionGroup:
    """A group with the laws and costs of its positions.

    Parameters
    ----------
    positions : tuple of str
        Positions.
    components : mapping of str to str
        Position -> component.
    laws : pandas.DataFrame
        By position: `shape, pace, variance, limit`.
    terms : GroupTerms
        Costs.

    Returns
    -------
    PositionGroup
        For `simulate_group`.
    """
    codes = [components[position] for position in positions]
    costs = terms.costs.set_index("component").loc[codes]
    mine = laws.loc[list(positions)]
    frailty, names = pd.factorize(pd.Series(codes))
    count = len(positions)
    # One imagined vehicle for every set of positions.
    sets = (np.arange(1 << count)[:, None] >> np.arange(count)) & 1
    sharing = build_sharing(
        np.repeat(np.arange(1 << count), count), np.tile(np.array(positions), 1 << count),
        hours=np.tile(costs["planned_hours"].to_numpy(), 1 << count),
        downtime=np.tile(costs["planned_downtime_hours"].to_numpy(), 1 << count), terms=terms.shared,
    )  # fmt: skip
    spared = sharing.together(sets.ravel().astype(bool), np.zeros(sets.size))
    money = spared.money(labour_rate=terms.labour_rate, downtime_cost=terms.downtime_cost)
    variance = mine["variance"].to_numpy()
    return PositionGroup(
        shape=mine["shape"].to_numpy(), pace=mine["pace"].to_numpy(), frailty=frailty,
        variance=np.array([variance[frailty == i][0] for i in range(len(names))]), limit=mine["limit"].to_numpy(),
        planned=costs["planned_cost"].to_numpy(), failed=costs["failed_cost"].to_numpy(),
        road=1.0 - costs["worn_share"].to_numpy(), spared=money.reshape(sets.shape).sum(axis=1),
    )  # fmt: skip


def control_ages(group: PositionGroup) -> Array:
    """Age from which on a position is worth renewing when another one calls.

    Parameters
    ----------
    group : PositionGroup
        Laws and costs.

    Returns
    -------
    ndarray, shape (n_positions, n_positions)
        By the position that calls (row) and the one that may join (column), on the latter's clock [-].
    """
    count = len(group.shape)
    pair = 1 << np.arange(count)
    spared = group.spared[pair[:, None] | pair]
    renewals = group.pace / integrated_survival(group.limit, shape=group.shape, scale=1.0)
    ages = np.full((count, count), np.inf)
    for j in range(count):
        others = np.arange(count) != j
        rates, costs = renewals[others] / group.pace[j], group.planned[j] - spared[others, j]
        found = keeping_values(
            shape=[group.shape[j]], planned_cost=[group.planned[j]], failed_cost=[group.failed[j]],
            limit=[group.limit[j]], visit_rates=rates[None], visit_costs=costs[None],
        )  # fmt: skip
        ages[others, j] = [float(found.control_limit(cost)[0]) for cost in costs]
    return ages


def _policies(
    group: PositionGroup, positions: tuple[str, ...], assembly: float, prices: Array
) -> Iterator["tuple[str, GroupPolicy]"]:
    """Ways of renewing a group; those with an assembly only where the catalogue has one."""
    count = len(positions)
    never, none = np.full((count, count), np.inf), np.full(count, np.nan)
    yield GROUP_POLICIES[0], GroupPolicy(never, none)
    yield GROUP_POLICIES[1], GroupPolicy(np.zeros((count, count)), none)
    yield GROUP_POLICIES[2], GroupPolicy(control_ages(group), none)
    if np.isfinite(assembly):
        # Taking out and putting back the whole takes no longer than the piece that calls for it.
        instead = assembly - prices
        yield GROUP_POLICIES[3], GroupPolicy(never, instead)
        joints = np.array([position.endswith("_joint") for position in positions])
        yield GROUP_POLICIES[4], GroupPolicy(never, np.where(joints, instead, np.nan))


def _assembly_price(parts: pd.DataFrame, vehicle_class: str, wanted: "tuple[set[str], set[str]]") -> float:
    """Price of the cheapest part that renews all these positions, or these components; NaN where there is none."""
    fits = parts["vehicle_class"].isin([vehicle_class, "", "all"]) & (parts["superseded_by"] == "")
    listed = [{name.strip() for name in str(text).split(";")} for text in parts["renews"]]
    renews = np.array([any(names <= mine for names in wanted) for mine in listed], dtype=bool)
    return float(parts.loc[fits & renews, "unit_price"].min())


def compare_groups(
    assessed: pd.DataFrame, *, fitted: Mapping[str, FittedParts], drivelines: Mapping[str, str], model: LifeModel,
    terms: GroupTerms, seed: int, vehicles: int = _VEHICLES,
) -> pd.DataFrame:  # fmt: skip
    """Table `group_policies`.

    Parameters
    ----------
    assessed : pandas.DataFrame
        From `wearmodel.policy.due.assess_parts`.
    fitted : mapping of str to FittedParts
        The parts it was made from.
    drivelines : mapping of str to str
        Driveline of each unit.
    model : LifeModel
        Life models.
    terms : GroupTerms
        Costs and layouts.
    seed : int
        Seed of the simulations.
    vehicles : int
        Vehicles simulated for each policy.

    Returns
    -------
    pandas.DataFrame
        One row a vehicle class, driveline, group and policy: cost per 1,000 distance units of all its positions
        [currency], its difference from renewing each on its own over the same drawn lives, failures on the road, visits
        and parts a vehicle and year, with standard errors; `best` marks the least cost of those that differ from the
        first by more than two standard errors, else the first. Laws are the geometric mean of today's vehicles of that
        class, with the frailty of their component; groups with a position without curve or cost are left out.
    """
    if assessed.empty:
        return pd.DataFrame(columns=_COLUMNS)
    laws = _position_laws(assessed, fitted, model)
    laws["driveline"] = laws["unit"].map(drivelines)
    kinds = [(str(name), str(line), mine) for (name, line), mine in laws.groupby(["vehicle_class", "driveline"])]

    def groups_of(kind: tuple[str, str, pd.DataFrame]) -> pd.DataFrame:
        name, line, mine = kind
        return _class_groups(mine, driveline=line, vehicle_class=name, terms=terms, vehicles=vehicles, seed=seed)

    frames = [frame for frame in each(groups_of, kinds) if len(frame)]
    return pd.concat(frames, ignore_index=True)[_COLUMNS] if frames else pd.DataFrame(columns=_COLUMNS)


def _class_groups(
    laws: pd.DataFrame, *, driveline: str, vehicle_class: str, terms: GroupTerms, vehicles: int, seed: int
) -> pd.DataFrame:
    """All groups of the vehicles of one class with one driveline."""
    known = _mean_laws(laws, terms.costs)
    components = positions_of(driveline, terms.layouts)
    price = terms.costs.set_index("component")["part_price"]
    per_year = float(laws.groupby("unit")["driven_per_day"].first().mean()) * _YEAR
    frames = []
    for name, positions in groups_of_layout(components, terms.shared).items():
        if not set(positions) <= set(known.index):
            continue
        group = position_group(positions, components=components, laws=known, terms=terms)
        codes = [components[position] for position in positions]
        wanted = set(positions), set(codes)
        whole = _assembly_price(terms.parts, vehicle_class, wanted) if name == "half shaft" else np.nan
        runs = {
            policy: simulate_group(group, how, vehicles=vehicles, lives=_LIVES, seed=seed)
            for policy, how in _policies(group, positions, whole, price.loc[codes].to_numpy())
        }
        frames.append(_compared(runs, per_year).assign(group=name, positions="; ".join(positions)))
    table = pd.concat(frames, ignore_index=True) if frames else pd.DataFrame()
    return table.assign(vehicle_class=vehicle_class, driveline=driveline)


def _position_laws(assessed: pd.DataFrame, fitted: Mapping[str, FittedParts], model: LifeModel) -> pd.DataFrame:
    """Law of each part on a vehicle with frailty 1, its clock told per distance driven."""
    frames = []
    for code, parts in fitted.items():
        own = model.components[code]
        mine = assessed[(assessed["component"] == code) & (assessed["driven_per_day"] > 0)]
        if own.basis == "bound only" or mine.empty:
            continue
        values = np.array(own.values)
        pace = parts.pace(values)[mine["row"].to_numpy(dtype=np.intp)]
        frames.append(
            mine[["unit", "position", "component", "vehicle_class", "driven_per_day"]].assign(
                shape=float(np.exp(values[-1])),
                variance=own.frailty_variance,
                pace=pace * mine["per_day"] / mine["driven_per_day"],
                limit=mine["interval"].fillna(np.inf) * mine["vehicle_pace"] * pace,
            )
        )
    columns = ["unit", "position", "component", "vehicle_class", "driven_per_day", "shape", "variance", "pace", "limit"]
    return pd.concat(frames, ignore_index=True) if frames else pd.DataFrame(columns=columns)


def _mean_laws(laws: pd.DataFrame, costs: pd.DataFrame) -> pd.DataFrame:
    """Law of each position over the vehicles of a class, where costs are known."""
    priced = costs.loc[costs["planned_cost"].notna() & costs["failed_cost"].notna(), "component"]
    mine = laws[laws["component"].isin(priced)].assign(pace=lambda frame: np.log(frame["pace"].astype(float)))
    grouped = mine.groupby("position")
    table = grouped[["shape", "variance"]].first()
    return table.assign(pace=np.exp(grouped["pace"].mean()), limit=grouped["limit"].median())


def _compared(runs: Mapping[str, GroupRun], per_year: float) -> pd.DataFrame:
    """Rates of each policy with standard errors over vehicles, and its difference from the first."""
    first = runs[GROUP_POLICIES[0]]
    rows = []
    for policy, run in runs.items():
        count = len(run.cost)
        years = run.distance / per_year
        per_1000 = 1000.0 / run.distance
        error = np.sqrt(count)
        more = run.cost - first.cost
        rows.append(
            {
                "policy": policy,
                "cost_per_1000": run.cost.mean() * per_1000,
                "cost_se": run.cost.std(ddof=1) * per_1000 / error,
                "difference_per_1000": more.mean() * per_1000,
                "difference_se": more.std(ddof=1) * per_1000 / error,
                "road_failures_per_vehicle_year": run.road_failures.mean() / years,
                "road_failures_se": run.road_failures.std(ddof=1) / error / years,
                "visits_per_vehicle_year": run.visits.mean() / years,
                "parts_per_vehicle_year": run.parts.mean() / years,
                "vehicles": count,
            }
        )
    table = pd.DataFrame(rows)
    clear = table["difference_per_1000"] < -2.0 * table["difference_se"]
    best = table["cost_per_1000"].where(clear, np.inf).idxmin() if clear.any() else 0
    return table.assign(best=table.index == best)

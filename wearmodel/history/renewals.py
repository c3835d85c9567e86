"""Repair lines to renewed positions: which part went where, and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.layouts import positions_of
from wearmodel.findings import Finding
from wearmodel.frame_rows import frame_rows

__all__ = ["REASON_RANK", "Renewals", "build_renewals"]

Array = NDArray[Any]
Layouts = Mapping[str, Mapping[str, str]]

#: When two lines of one day renew one position, the reason that says most about wear counts.
REASON_RANK = {"failed": 0, "worn": 1, "damage": 2, "comeback": 3, "planned": 4, "collateral": 5}


@dataclass(frozen=True)
class Renewals:
    """Renewed positions.

    Parameters
    ----------
    known : pandas.DataFrame
        One row a renewed position: `unit, position, component, date, reason, part_number, own_line,
        line` (own_line: the line was for this position; False: it came along in a kit; line: index of
        the repair line).
    open : pandas.DataFrame
        One row a position of each way a line can be read that fits several: same columns and `option`, the
        number of the way. Of one line, exactly one option is true.
    findings : tuple of Finding
        Lines set aside or carried with an open position.
    """

    known: pd.DataFrame
    open: pd.DataFrame
    findings: tuple[Finding, ...]


#: A line of more parts than it has ways to be spread over positions is rare; beyond this many it is not told apart.
_MOST_OPTIONS = 40


@dataclass(frozen=True)
class _Option:
    """Positions one reading of a line renews: those it is for, and those that come along in its kit."""

    own: tuple[str, ...]
    along: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Resolution:
    """What a kind of line renews on a kind of vehicle: one option is certain, of several one is true."""

    options: tuple[_Option, ...] = ()
    problem: str = ""


def _group(position: str) -> str:
    return position.rsplit(".", 1)[0]


def _along(
    tokens: tuple[str, ...], base: tuple[str, ...], layout: Mapping[str, str]
) -> tuple[str, ...]:
    """Positions renewed together with the base positions, from the part's `renews`."""
    groups = {_group(position) for position in base}
    found = []
    for position, component in layout.items():
        named = position in tokens
        same_place = component in tokens and (not groups or _group(position) in groups)
        if (named or same_place) and position not in base:
            found.append(position)
    return tuple(found)


def _resolve(
    layout: Mapping[str, str],
    component: str,
    position: str,
    quantity: float,
    tokens: tuple[str, ...],
    narrowed: tuple[str, ...],
) -> _Resolution:
    """Positions of one kind of line on one kind of vehicle."""
    if position:
        if position not in layout:
            return _Resolution(problem="the vehicle's driveline has no such position")
        return _Resolution((_Option((position,), _along(tokens, (position,), layout)),))
    if not component:
        return _resolve_kit(layout, tokens)
    candidates = tuple(p for p, c in layout.items() if c == component and (not narrowed or p in narrowed))
    if not candidates:
        return _Resolution(problem=f"the vehicle's driveline has no {component}")
    taken = min(max(int(quantity), 1), len(candidates))
    ways = list(combinations(candidates, taken))
    if len(ways) > _MOST_OPTIONS:
        ways = [(position,) for position in candidates]
    return _Resolution(tuple(_Option(way, _along(tokens, way, layout)) for way in ways))


def _resolve_kit(layout: Mapping[str, str], tokens: tuple[str, ...]) -> _Resolution:
    """Positions of a kit whose line does not say where it went."""
    named = _along(tokens, (), layout)
    if not named:
        return _Resolution(problem="nothing that this part renews is on the vehicle's driveline")
    if all(position in tokens for position in named):
        return _Resolution((_Option(named[:1], named[1:]),))
    places = dict.fromkeys(_group(position) for position in named)
    sets = [tuple(p for p in named if _group(p) == place) for place in places]
    return _Resolution(tuple(_Option(kit[:1], kit[1:]) for kit in sets))


def _line_finding(line: pd.Series, *, problem: str, action: str, used: bool) -> Finding:
    return Finding(
        table="repairs",
        file=str(line["file"]),
        row=int(line["row"]),
        column="position",
        value=str(line["position"] or line["component"])[:200],
        problem=problem,
        action=action,
        used=used,
    )


_COLUMNS = ["unit", "position", "component", "date", "reason", "part_number", "own_line", "line", "option"]


def _spread(lines: pd.DataFrame, kind: Array, resolved: list[_Resolution], layouts: Layouts) -> pd.DataFrame:
    """One row a position of every option of every line; `kind` is each line's place in `resolved`."""
    rows = [
        (place, number, position, is_own)
        for place, resolution in enumerate(resolved)
        for number, option in enumerate(resolution.options)
        for positions, is_own in ((option.own, True), (option.along, False))
        for position in positions
    ]
    kinds = pd.DataFrame(rows, columns=["kind", "option", "position", "own_line"])
    first = np.searchsorted(kinds["kind"].to_numpy(), np.arange(len(resolved) + 1))
    each = np.diff(first)[kind]
    line = np.repeat(np.arange(len(lines)), each)
    within = np.arange(len(line)) - np.repeat(np.cumsum(each) - each, each)
    chosen = kinds.iloc[first[kind[line]] + within].reset_index(drop=True)
    frame = lines[["unit", "date", "reason", "part_number", "driveline"]].iloc[line].reset_index(drop=True)
    frame = pd.concat([frame, chosen[["option", "position", "own_line"]]], axis=1).assign(line=line)
    places = frame["driveline"] + "\n" + frame["position"]
    components = {f"{name}\n{p}": c for name, layout in layouts.items() for p, c in layout.items()}
    frame["component"] = places.map(components)
    frame["reason"] = frame["reason"].where(frame["own_line"].astype(bool), "collateral")
    return frame[_COLUMNS]


def build_renewals(
    repairs: pd.DataFrame,
    *,
    vehicles: pd.DataFrame,
    parts: pd.DataFrame,
    layouts: Mapping[str, Mapping[str, str]],
) -> Renewals:
    """Renewed positions from clean repair lines.

    Parameters
    ----------
    repairs, vehicles, parts : pandas.DataFrame
        Clean tables; `candidates` of repairs, where there, narrows the positions of a line without one.
    layouts : mapping
        Driveline layouts, shipped and own.

    Returns
    -------
    Renewals
        Known and open renewals, with findings.

    Notes
    -----
    A line without a position goes to the only position of its component, or to all of them where
    the quantity covers them; otherwise it stays open over its options: none of them is assumed.
    """
    drivelines = dict(zip(vehicles["unit"], vehicles["driveline"], strict=True))
    by_driveline = {text: positions_of(text, layouts) for text in set(drivelines.values())}
    tokens = {
        str(number): tuple(token.strip() for token in str(text).split(";") if token.strip())
        for number, text in zip(parts["part_number"], parts["renews"], strict=True)
    }
    lines = repairs.assign(driveline=repairs["unit"].map(drivelines)).reset_index(drop=True)
    if "candidates" not in lines:
        lines["candidates"] = ""
    keys = ["driveline", "component", "position", "quantity", "part_number", "candidates"]
    kind = lines.groupby(keys, sort=False, dropna=False).ngroup().to_numpy(dtype=np.intp)
    _, firsts = np.unique(kind, return_index=True)
    resolved = [
        _resolve(
            by_driveline[r.driveline],
            r.component,
            r.position,
            r.quantity,
            tokens.get(r.part_number, ()),
            tuple(token.strip() for token in str(r.candidates).split(";") if token.strip()),
        )
        for r in frame_rows(lines.iloc[firsts][keys])
    ]
    spread = _spread(lines, kind, resolved, by_driveline)
    is_open = np.array([len(resolution.options) > 1 for resolution in resolved], dtype=bool)
    still_open = is_open[kind[spread["line"].to_numpy(dtype=np.intp)]]
    return Renewals(
        spread[~still_open].reset_index(drop=True),
        spread[still_open].reset_index(drop=True),
        tuple(_findings(lines, kind, resolved)),
    )


def _findings(lines: pd.DataFrame, kind: Array, resolved: list[_Resolution]) -> list[Finding]:
    """Lines that could not be placed, or only among several positions."""
    findings = []
    unplaced = np.array([len(resolution.options) != 1 for resolution in resolved], dtype=bool)
    for index in np.flatnonzero(unplaced[kind]):
        resolution = resolved[kind[index]]
        if resolution.problem:
            problem = resolution.problem
            action = "the row was set aside; correct the position or the vehicle's driveline"
        else:
            problem = "could be any of " + ", ".join(" with ".join(option.own) for option in resolution.options)
            action = (
                "used for all of them, each with the chance that the vehicle's other lines leave it; fill in the "
                "position to use it fully"
            )
        findings.append(
            _line_finding(lines.iloc[index], problem=problem, action=action, used=not resolution.problem)
        )
    return findings

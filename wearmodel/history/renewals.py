"""Repair lines to renewed positions: which part went where, and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from wearmodel.driveline.layouts import positions_of
from wearmodel.findings import Finding

__all__ = ["REASON_RANK", "Renewals", "build_renewals"]

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
        One row a candidate position of lines that could be one of several: same columns.
    findings : tuple of Finding
        Lines set aside or carried with an open position.
    """

    known: pd.DataFrame
    open: pd.DataFrame
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class _Resolution:
    """What a kind of line renews on a kind of vehicle."""

    own: tuple[str, ...] = ()
    along: tuple[str, ...] = ()
    candidates: tuple[str, ...] = ()
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
    layout: Mapping[str, str], component: str, position: str, quantity: float, tokens: tuple[str, ...]
) -> _Resolution:
    """Positions of one kind of line on one kind of vehicle."""
    if position:
        if position not in layout:
            return _Resolution(problem="the vehicle's driveline has no such position")
        return _Resolution(own=(position,), along=_along(tokens, (position,), layout))
    if not component:
        places = {_group(p) for p, c in layout.items() if p in tokens or c in tokens}
        named = _along(tokens, (), layout)
        if len(places) == 1 or (named and all(p in tokens for p in named)):
            return _Resolution(own=named[:1], along=named[1:])
        if not named:
            return _Resolution(problem="nothing that this part renews is on the vehicle's driveline")
        return _Resolution(candidates=named)
    candidates = tuple(p for p, c in layout.items() if c == component)
    if not candidates:
        return _Resolution(problem=f"the vehicle's driveline has no {component}")
    if len(candidates) == 1 or quantity >= len(candidates):
        return _Resolution(own=candidates, along=_along(tokens, candidates, layout))
    return _Resolution(candidates=candidates)


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


_COLUMNS = ["unit", "position", "component", "date", "reason", "part_number", "own_line", "line"]


def _spread(
    lines: pd.DataFrame, chosen: "pd.Series[Any]", layouts: Mapping[str, Mapping[str, str]], *, own_line: bool
) -> pd.DataFrame:
    """One row a position of the lines that chose any."""
    frame = lines[["unit", "date", "reason", "part_number", "driveline"]].assign(
        position=chosen, own_line=own_line, line=lines.index
    )
    frame = frame[chosen.map(len).to_numpy() > 0].explode("position")
    if frame.empty:
        return pd.DataFrame(columns=_COLUMNS)
    frame["component"] = [
        layouts[driveline][position]
        for driveline, position in zip(frame["driveline"], frame["position"], strict=True)
    ]
    if not own_line:
        frame["reason"] = "collateral"
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
        Clean tables.
    layouts : mapping
        Driveline layouts, shipped and own.

    Returns
    -------
    Renewals
        Known and open renewals, with findings.

    Notes
    -----
    A line without a position goes to the only position of its component, or to all of them where
    the quantity covers them; otherwise it stays open over its candidates: none of them is assumed.
    """
    drivelines = dict(zip(vehicles["unit"], vehicles["driveline"], strict=True))
    by_driveline = {text: positions_of(text, layouts) for text in set(drivelines.values())}
    tokens = {
        str(number): tuple(token.strip() for token in str(text).split(";") if token.strip())
        for number, text in zip(parts["part_number"], parts["renews"], strict=True)
    }
    lines = repairs.assign(driveline=repairs["unit"].map(drivelines)).reset_index(drop=True)
    keys = list(
        zip(
            lines["driveline"], lines["component"], lines["position"], lines["quantity"], lines["part_number"],
            strict=True,
        )
    )
    known_keys = {
        key: _resolve(by_driveline[key[0]], key[1], key[2], key[3], tokens.get(key[4], ())) for key in set(keys)
    }
    resolved = [known_keys[key] for key in keys]
    own = _spread(lines, pd.Series([r.own for r in resolved], dtype=object), by_driveline, own_line=True)
    along = _spread(lines, pd.Series([r.along for r in resolved], dtype=object), by_driveline, own_line=False)
    still_open = _spread(
        lines, pd.Series([r.candidates for r in resolved], dtype=object), by_driveline, own_line=True
    )
    known = pd.concat([frame for frame in (own, along) if len(frame)] or [own], ignore_index=True)
    return Renewals(known, still_open.reset_index(drop=True), tuple(_findings(lines, resolved)))


def _findings(lines: pd.DataFrame, resolved: list[_Resolution]) -> list[Finding]:
    """Lines that could not be placed, or only among several positions."""
    findings = []
    for index, resolution in enumerate(resolved):
        if resolution.problem:
            findings.append(
                _line_finding(
                    lines.iloc[index],
                    problem=resolution.problem,
                    action="the row was set aside; correct the position or the vehicle's driveline",
                    used=False,
                )
            )
        elif resolution.candidates:
            findings.append(
                _line_finding(
                    lines.iloc[index],
                    problem=f"could be any of {', '.join(resolution.candidates)}",
                    action=(
                        "counted for demand; what is known of these positions ends here and starts anew at "
                        "their next replacement; fill in the position to use it fully"
                    ),
                    used=True,
                )
            )
    return findings

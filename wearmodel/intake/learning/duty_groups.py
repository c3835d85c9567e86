"""Duty of vehicles where nobody recorded it, told from the duty log.

Recorded words stay. The others get a word by likeness to the recorded vehicles, by a rule of fixed limits, or
by grouping; where the log does not say enough they stay `unknown`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import isnan

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.fleet_toml.settings_duty import DutyRule
from wearmodel.intake.learning.duty_learning import fit_duty_clusters, fit_duty_likeness
from wearmodel.intake.learning.duty_measures import MEASURES, DutyMonths, build_duty_months

__all__ = ["DutyResult", "assign_duty"]

FloatArray = npt.NDArray[np.float64]
Words = npt.NDArray[np.object_]

_UNKNOWN = "unknown"
# The rule asks in this order, hardest on a driveline first; the first that holds decides.
_RULE_ORDER = ("unpaved_share", "tow_hours_per_1000", "stops_per_100", "idle_hours_per_100", "mean_speed")
_STEADY = 0.8
_TABLE_COLUMNS = ["unit", "duty", "source", "months", "distance", *MEASURES, "stability", "remark"]


@dataclass(frozen=True, eq=False)
class DutyResult:
    """Duty of every vehicle, and what it rests on.

    Parameters
    ----------
    duty : pandas.Series
        Word of each vehicle, by the rows of the vehicles table.
    table : pandas.DataFrame
        One row a vehicle: `unit, duty, source, months, distance` (of the log), `stops_per_100,
        idle_hours_per_100, unpaved_share, tow_hours_per_1000, mean_speed` (per fleet distance; NaN where not
        known in enough months), `stability` (share of resamples of its months in which it keeps its word; NaN
        where none was assigned), `remark`. `source` is `recorded`, `likeness`, `rule`, `groups` or `unknown`.
    notes : tuple of str
        Sentences on what was assigned and what could not be; none where every duty is recorded.
    groups : pandas.DataFrame
        One row a word assigned: `duty, source, vehicles, stability` (mean), `meaning` (a sentence), and the
        means of the measures.
    """

    duty: "pd.Series[str]"
    table: pd.DataFrame
    notes: tuple[str, ...]
    groups: pd.DataFrame


@dataclass(frozen=True, eq=False)
class _Assignment:
    """Words of the vehicles of the log, how steady they are, what they mean, and notes."""

    source: str
    words: Words
    stability: FloatArray
    meanings: dict[str, str]
    notes: tuple[str, ...]


def assign_duty(
    vehicles: pd.DataFrame,
    duty_log: pd.DataFrame,
    *,
    rule: DutyRule,
    distance_unit: str,
    resamples: int = 100,
    seed: int = 0,
) -> DutyResult:
    """Tell the duty of vehicles whose duty is not recorded.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table; `duty` blank or `unknown` means not recorded.
    duty_log : pandas.DataFrame
        Clean table, in the fleet's distance unit; columns of measures may be missing.
    rule : DutyRule
        From `fleet.toml`.
    distance_unit : str
        Of the fleet, for sentences.
    resamples : int
        Times the months of each vehicle are drawn anew to see whether it keeps its word.
    seed : int
        Of that chance; the same tables and seed give the same words.

    Returns
    -------
    DutyResult
        Recorded words are never changed.

    Notes
    -----
    Each resample draws, for every vehicle, as many months as it has, with replacement, and tells its duty anew.
    """
    recorded = vehicles["duty"].fillna("").astype(str).str.strip()
    open_rows = recorded.str.casefold().isin(["", _UNKNOWN]).to_numpy()
    in_fleet = duty_log[duty_log["unit"].isin(vehicles["unit"])]
    months = build_duty_months(in_fleet, fewest_months=rule.fewest_months)
    words_of_unit = dict(zip(vehicles["unit"].astype(str), recorded.where(~open_rows, _UNKNOWN), strict=True))
    known = np.array([words_of_unit[str(unit)] for unit in months.units], dtype=object)
    ready = months.months >= rule.fewest_months
    assignment = None
    if open_rows.any() and (ready & (known == _UNKNOWN)).any():
        assignment = _assigned(months, known, ready, rule, distance_unit, resamples=resamples, seed=seed)
    table = _table(vehicles["unit"], recorded.to_numpy(dtype=object), open_rows, months, ready, assignment)
    duty = pd.Series(table["duty"].to_numpy(dtype=object), index=vehicles.index, name="duty", dtype=object)
    notes = _notes(table, open_rows, rule, assignment)
    return DutyResult(duty, table, notes, _groups(table, assignment))


def _assigned(
    months: DutyMonths, known: Words, ready: npt.NDArray[np.bool_], rule: DutyRule, distance_unit: str, *,
    resamples: int, seed: int,
) -> _Assignment | None:  # fmt: skip
    """Words by the method asked for."""
    if rule.method == "none":
        return None
    if rule.method == "groups":
        return _by_groups(months, ready, resamples=min(resamples, 50), seed=seed)
    notes: tuple[str, ...] = ()
    if rule.method == "auto" and (known != _UNKNOWN).any():
        found = _by_likeness(months, known, ready, resamples=resamples, seed=seed)
        if isinstance(found, _Assignment):
            return found
        notes = (f"duty is told by rule, not by likeness to recorded vehicles: {found}.",)
    return _by_rule(months, rule, distance_unit, notes, resamples=resamples, seed=seed)


def _by_likeness(
    months: DutyMonths, known: Words, ready: npt.NDArray[np.bool_], *, resamples: int, seed: int
) -> _Assignment | str:
    """Words of the recorded vehicles the work is like; a clause where that cannot be told."""
    measures = months.measures()
    recorded = ready & (known != _UNKNOWN)
    fitted = fit_duty_likeness(measures[recorded], known[recorded], seed=seed)
    if isinstance(fitted, str):
        return fitted
    words, stability = _with_stability(months, fitted.assign, resamples=resamples, seed=seed)
    note = (
        f"of the {sum(fitted.vehicles)} recorded vehicles learnt from, {fitted.sure:.0%} were assigned when each fifth "
        f"was kept back in turn, and {fitted.sure_accuracy:.0%} of these got their own word."
    )
    meanings = {
        word: f"Work like that of the {count} vehicles recorded as '{word}'."
        for word, count in zip(fitted.words, fitted.vehicles, strict=True)
    }
    return _Assignment("likeness", words, stability, meanings, (note,))


def _by_rule(
    months: DutyMonths, rule: DutyRule, distance_unit: str, notes: tuple[str, ...], *, resamples: int, seed: int
) -> _Assignment:
    """Words by fixed limits."""
    limits = {measure: float(getattr(rule, measure)) for measure in _RULE_ORDER}
    columns = {measure: column for column, measure in enumerate(MEASURES)}
    logged = {m for m in _RULE_ORDER if months.enough[:, columns[m]].any()}
    used = [m for m in _RULE_ORDER if m in logged and not isnan(limits[m])]

    def told(measures: FloatArray) -> Words:
        asked = measures[:, [columns[m] for m in used]]
        out = np.where(np.isfinite(asked).any(axis=1), "mixed", _UNKNOWN).astype(object)
        for measure in reversed(used):
            out[measures[:, columns[measure]] >= limits[measure]] = MEASURES[measure].word
        return out

    words, stability = _with_stability(months, told, resamples=resamples, seed=seed)
    for measure in _RULE_ORDER:
        if measure not in used:
            why = "has no limit in this unit" if measure in logged else "is not in the duty log"
            notes = (*notes, f"{measure} {why}: no vehicle is told '{MEASURES[measure].word}'.")
    unit = {"km": "km", "mi": "miles"}.get(distance_unit, distance_unit)
    return _Assignment("rule", words, stability, _rule_meanings(used, limits, unit), notes)


def _rule_meanings(used: list[str], limits: dict[str, float], unit: str) -> dict[str, str]:
    """One sentence a word of the rule."""
    about = {
        "unpaved_share": "At least {:.0%} of the distance is on unpaved ground",
        "tow_hours_per_1000": f"At least {{:,.4g}} hours of towing per 1000 {unit}",
        "stops_per_100": f"At least {{:,.4g}} stops per 100 {unit}",
        "idle_hours_per_100": f"At least {{:,.4g}} hours standing with the engine running per 100 {unit}",
        "mean_speed": f"A mean speed of at least {{:,.4g}} {unit} an hour",
    }
    meanings: dict[str, str] = {}
    for measure in used:
        before = f", and not {' or '.join(meanings)}" if meanings else ""
        meanings[MEASURES[measure].word] = about[measure].format(limits[measure]) + before + "."
    meanings["mixed"] = f"No limit of {', '.join(meanings)} is reached."
    return meanings


def _by_groups(
    months: DutyMonths, ready: npt.NDArray[np.bool_], *, resamples: int, seed: int
) -> _Assignment:
    """Words of groups of like vehicles; unknown for all where the groups are poor."""
    found = fit_duty_clusters(months, rows=ready, resamples=resamples, seed=seed)
    if isinstance(found, str):
        nothing = np.full(len(ready), _UNKNOWN, dtype=object)
        note = f'no groups of like work were made: {found}; method = "rule" under [duty] goes by fixed limits.'
        return _Assignment("groups", nothing, np.full(len(ready), np.nan), {}, (note,))
    note = (
        f"{len(found.names)} groups of like work: mean silhouette {found.silhouette:.2f}, adjusted Rand index "
        f"{found.rand_index:.2f} when the months are drawn anew."
    )
    measures = months.measures()
    return _Assignment("groups", found.words, found.stability, _group_meanings(found.words, measures), (note,))


def _group_meanings(words: Words, measures: FloatArray) -> dict[str, str]:
    """One sentence a group: its means beside those of all."""
    meanings: dict[str, str] = {}
    grouped = words != _UNKNOWN
    for word in sorted(set(words[grouped])):
        clauses = []
        for column, measure in enumerate(MEASURES):
            own, every = measures[words == word, column], measures[grouped, column]
            if np.isfinite(own).any():
                clauses.append(f"{measure} {np.nanmean(own):.3g} (all: {np.nanmean(every):.3g})")
        meanings[word] = f"Group of {int((words == word).sum())} vehicles of like work: {', '.join(clauses)}."
    return meanings


def _with_stability(
    months: DutyMonths, told: Callable[[FloatArray], Words], *, resamples: int, seed: int
) -> tuple[Words, FloatArray]:
    """Words of the vehicles that have enough months, and the share of resamples in which each keeps its own."""
    words = told(months.measures())
    rng = np.random.default_rng(seed)
    kept = np.zeros(len(words))
    for _ in range(resamples):
        kept += told(months.resampled(rng)) == words
    return words, np.where(words == _UNKNOWN, np.nan, kept / max(resamples, 1))


def _table(
    units: "pd.Series[str]", recorded: Words, open_rows: npt.NDArray[np.bool_], months: DutyMonths,
    ready: npt.NDArray[np.bool_], assignment: _Assignment | None,
) -> pd.DataFrame:  # fmt: skip
    """Table of all vehicles."""
    row_of = {str(unit): row for row, unit in enumerate(months.units)}
    at = np.array([row_of.get(str(unit), -1) for unit in units], dtype=np.int64)
    logged = at >= 0
    out = pd.DataFrame({"unit": units.to_numpy(dtype=object)})
    out["duty"] = np.where(open_rows, _UNKNOWN, recorded)
    out["source"] = np.where(open_rows, _UNKNOWN, "recorded")
    out["months"] = 0
    out.loc[logged, "months"] = months.months[at[logged]]
    out["distance"] = 0.0
    out.loc[logged, "distance"] = months.distance[at[logged]]
    measures = months.measures()
    for column, measure in enumerate(MEASURES):
        out[measure] = np.nan
        out.loc[logged, measure] = measures[at[logged], column]
    out["stability"] = np.nan
    enough = np.zeros(len(out), dtype=bool)
    enough[logged] = ready[at[logged]]
    out["remark"] = np.where(open_rows & ~enough, "too few months in the duty log", "")
    if assignment is None:
        return out[_TABLE_COLUMNS]
    told = np.full(len(out), _UNKNOWN, dtype=object)
    told[logged] = assignment.words[at[logged]]
    filled = open_rows & (told != _UNKNOWN)
    out.loc[filled, "duty"] = told[filled]
    out.loc[filled, "source"] = assignment.source
    out.loc[filled, "stability"] = assignment.stability[at[filled]]
    left = open_rows & enough & ~filled
    why = {"likeness": "not clearly like the work of any recorded duty", "groups": "in no group"}
    out.loc[left, "remark"] = why.get(assignment.source, "no measure is known in enough months")
    return out[_TABLE_COLUMNS]


def _notes(
    table: pd.DataFrame, open_rows: npt.NDArray[np.bool_], rule: DutyRule, assignment: _Assignment | None
) -> tuple[str, ...]:
    """What was assigned, what was not and why; unsteady words counted."""
    asked = table[open_rows]
    if asked.empty:
        return ()
    head = f"duty is not recorded for {len(asked)} of {len(table)} vehicles"
    if rule.method == "none":
        return (f'{head}; it stays unknown (method = "none" under [duty]).',)
    left = asked[asked["source"] == _UNKNOWN]
    told = asked[asked["source"] != _UNKNOWN]
    if len(told):
        how = {"likeness": "by likeness to the recorded vehicles", "rule": "by rule", "groups": "by grouping"}
        head += f": {len(told)} were assigned from the duty log {how[told['source'].iloc[0]]}"
    if len(left):
        reasons = "; ".join(f"{count} {why}" for why, count in left["remark"].value_counts(sort=False).items())
        reasons = reasons.replace(" too few", f" with fewer than {rule.fewest_months}")
        head += f"{',' if len(told) else ':'} {len(left)} stay 'unknown' ({reasons})"
    notes = [f"{head}.", *(assignment.notes if assignment else ())]
    unsteady = int((told["stability"] < _STEADY).sum())
    if unsteady:
        notes.append(
            f"{unsteady} of the {len(told)} vehicles assigned a duty keep it in fewer than {_STEADY:.0%} of redrawings "
            "of their months: see column stability."
        )
    return tuple(notes)


def _groups(table: pd.DataFrame, assignment: _Assignment | None) -> pd.DataFrame:
    """Table of the words assigned."""
    columns = ["duty", "source", "vehicles", "stability", "meaning", *MEASURES]
    told = table[~table["source"].isin(["recorded", _UNKNOWN])]
    if assignment is None or told.empty:
        return pd.DataFrame(columns=columns)
    grouped = told.groupby(["duty", "source"], sort=True)
    out = grouped[["stability", *MEASURES]].mean().join(grouped.size().rename("vehicles")).reset_index()
    out["meaning"] = out["duty"].map(assignment.meanings)
    return out[columns]

"""What changed: curves that moved since an earlier model, and fittings that fail early."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.errors import ModelError
from wearmodel.fleet_model import CodedFleet
from wearmodel.frame_rows import frame_rows
from wearmodel.history.histories import Histories
from wearmodel.processes import each
from wearmodel.survival.checks.chances import adjusted_chances
from wearmodel.survival.checks.curve_change import FALSE_ALARMS, MOVED_COLUMNS, build_moved_curves
from wearmodel.survival.checks.early_failures import EARLY_SHARE, early_failures_by_group
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.model import ComponentModel, LifeModel, life_band
from wearmodel.survival.vehicle_frailties import vehicle_frailties

__all__ = ["DRIFT_COLUMNS", "build_drift_tables"]

Array = NDArray[Any]
_PART, _MONTH = "part number", "fitting month"
#: Columns of the tables.
DRIFT_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "moved_curves": MOVED_COLUMNS,
    "early_failures": (
        *("component", "group", "value", "fittings", "early_failures", "expected", "chance", "chance_adjusted"),
        *("still_fitted", "early_until", "result", "sentence"),
    ),
}


def build_drift_tables(
    histories: Histories, coded: CodedFleet, model: LifeModel, *, earlier: LifeModel | None, earlier_name: str
) -> dict[str, pd.DataFrame]:
    """Tables `moved_curves` and `early_failures`.

    Parameters
    ----------
    histories : Histories
        Lives.
    coded : CodedFleet
        Coded from them.
    model : LifeModel
        Today's models.
    earlier : LifeModel or None
        An earlier model of the same fleet; without one no curve is compared.
    earlier_name : str
        How to call its file in messages.

    Returns
    -------
    dict of str to pandas.DataFrame
        With the columns of `DRIFT_COLUMNS`. `early_failures` has one row a component and part number or fitting month
        of five fittings or more, those with the least chance first: failures before the age at which 1 in 10 fails
        (`early_until`, the fleet's mix at factory height) [distance], seen and expected, the chance of so many or more,
        that chance among all rows, how many of its parts are fitted now, and `result` (`look` or `as expected`).

    Raises
    ------
    ModelError
        If the earlier model is of another unit of distance, or not earlier.
    """
    moved = pd.DataFrame(columns=list(MOVED_COLUMNS))
    if earlier is not None:
        _check_earlier(earlier, model, earlier_name)
        moved = build_moved_curves(
            earlier.components, model.components, earlier_as_of=earlier.as_of, confidence=model.confidence
        )
    return {"moved_curves": moved, "early_failures": _early_table(histories, coded, model)}


def _check_earlier(earlier: LifeModel, model: LifeModel, name: str) -> None:
    """Refuse a model that today's cannot be compared with."""
    if earlier.distance_unit != model.distance_unit:
        raise ModelError(
            f"--earlier-model {name} counts {earlier.distance_unit}, the fleet {model.distance_unit}; name an earlier "
            "model file of this fleet."
        )
    if earlier.as_of >= model.as_of:
        raise ModelError(
            f"--earlier-model {name} is of {earlier.as_of}, not earlier than {model.as_of}; name the model file of an "
            "earlier month."
        )


def _early_table(histories: Histories, coded: CodedFleet, model: LifeModel) -> pd.DataFrame:
    """Groups of fittings of all components, the least chance first."""
    columns = list(DRIFT_COLUMNS["early_failures"])
    known = {
        code: lives for code, lives in coded.coded.items()
        if lives.data is not None and code in model.components and model.components[code].basis == "fitted"
    }  # fmt: skip
    codes = [code for code in model.components if code in known]

    def fittings(code: str) -> pd.DataFrame:
        own = model.components[code]
        return _of_component(own, known[code].with_duty_height(own.coding.duty_height), histories)

    frames = [frame for frame in each(fittings, codes, sizes=[known[code].dated.lives for code in codes]) if len(frame)]
    if not frames:
        return pd.DataFrame(columns=columns)
    table = pd.concat(frames, ignore_index=True)
    table["chance_adjusted"] = adjusted_chances(table["chance"].to_numpy())
    look = table["chance_adjusted"] < FALSE_ALARMS
    table["result"] = np.where(look, "look", "as expected")
    table["sentence"] = [
        _sentence(row, model.distance_unit) for row in frame_rows(table)
    ]
    return table.sort_values(["chance", "component", "group", "value"], kind="stable", ignore_index=True)[columns]


def _of_component(own: ComponentModel, lives: ComponentLives, histories: Histories) -> pd.DataFrame:
    """Part numbers and fitting months of one component."""
    data = lives.dated
    rates = vehicle_frailties(lives, own, vehicles=len(histories.windows)).mean
    mine = histories.lives.iloc[lives.rows]
    groups = {
        _PART: mine["part_number"].to_numpy(dtype=object),
        _MONTH: _months(mine["start_day"]).to_numpy(dtype=object),
    }
    table = early_failures_by_group(own, data, rates=rates, groups=groups)
    everyone = histories.lives
    now = everyone[(everyone["component"] == own.component) & everyone["current"]]
    fitted = {
        _PART: now["part_number"].value_counts(),
        _MONTH: _months(now.loc[now["age_known"].astype(bool), "start_day"]).value_counts(),
    }
    still = [int(fitted[row.group].get(row.value, 0)) for row in frame_rows(table)]
    until = float(life_band(own, fraction=EARLY_SHARE).estimate)
    return table.assign(component=own.component, still_fitted=still, early_until=until)


def _months(days: "pd.Series[Any]") -> "pd.Series[Any]":
    """Month of each day since 1970, as 2026-07."""
    return pd.to_datetime(days, unit="D", origin="unix").dt.strftime("%Y-%m")


def _sentence(row: Any, unit: str) -> str:
    """What a row says."""
    whose = f"Part number {row.value}" if row.group == _PART else f"Fitted in {row.value}"
    text = (
        f"{whose}: {row.early_failures:,.0f} of {row.fittings:,.0f} failed before {row.early_until:,.0f} {unit} (where "
        f"1 in 10 fails), {row.expected:,.1f} expected"
    )
    if row.result != "look":
        return f"{text}: no more than chance explains."
    part = row.group == _PART
    where = "where these came from and how they are fitted" if part else "what was fitted then, and by whom"
    return f"{text}: more than chance explains. Look at {where}, and at the {row.still_fitted:,} still fitted."

"""Tables of the checks of fitted components: residuals, free curve, calibration, last year, vehicles, sentences."""

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.earlier_record import Since, earlier_histories, fit_earlier, lives_coded_for, lives_since
from wearmodel.fleet_model import CodedFleet
from wearmodel.history.histories import Histories
from wearmodel.intake.fleet import Fleet
from wearmodel.processes import each
from wearmodel.survival.checks.calibration import calibrate, calibration_chance
from wearmodel.survival.checks.counts import count_limits, expected_count
from wearmodel.survival.checks.free_curve import FreeCurve, free_curve
from wearmodel.survival.checks.hazards import expected_failures, had_it_gone_on, life_hazards
from wearmodel.survival.checks.influence import Influence, log_b10_error, vehicle_influence
from wearmodel.survival.checks.residuals import farthest_off, residual_curve
from wearmodel.survival.checks.scores import brier_errors, model_concordance
from wearmodel.survival.checks.verdicts import (
    CHECKS,
    Pull,
    Verdict,
    judge_calibration,
    judge_chances,
    judge_failures,
    judge_free_curve,
    judge_last_year,
    judge_order,
    judge_residuals,
    judge_vehicles,
)
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.covariance import scores_by_cluster
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel, LifeModel, law
from wearmodel.survival.vehicle_frailties import vehicle_frailties

__all__ = ["CHECK_COLUMNS", "build_check_tables"]

Array = NDArray[Any]
#: Vehicles listed a component, those that change its curve most.
_MOST_VEHICLES = 5
#: Least distance ahead, so that a life that is to be looked at has something to be seen.
_LEAST_AHEAD = 1e-6

#: Columns of the tables.
CHECK_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "residuals": ("component", "residual", "cumulative_hazard", "lower", "upper", "lives"),
    "free_curve": (
        *("component", "failures", "deviance", "degrees", "deviance_per_degree", "p_value", "distance"),
        *("survival_free", "survival_weibull", "difference", "lower", "upper"),
    ),
    "calibration": ("component", "tenth", "lives", "expected", "seen", "lower", "upper"),
    "out_of_time": (
        *("component", "since", "lives", "expected", "lower", "upper", "seen", "brier", "brier_alike"),
        "sentence",
    ),
    "influence": ("component", "unit", "failures", "lives", "b10_change", "height_change"),
    "model_checks": ("component", "check", "result", "sentence"),
}


@dataclass(frozen=True)
class _Found:
    """What the checks of one component give: rows of tables, and verdicts."""

    tables: Mapping[str, pd.DataFrame]
    verdicts: tuple[Verdict, ...]


def build_check_tables(
    fleet: Fleet, histories: Histories, coded: CodedFleet, model: LifeModel
) -> dict[str, pd.DataFrame]:
    """Tables `residuals`, `free_curve`, `calibration`, `out_of_time`, `influence` and `model_checks`.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    histories : Histories
        Lives, open lines spread.
    coded : CodedFleet
        Coded from them.
    model : LifeModel
        Life models; influence is only told where they were fitted to these lives.

    Returns
    -------
    dict of str to pandas.DataFrame
        With the columns of `CHECK_COLUMNS`. A component without a curve of its own has one sentence.

    Notes
    -----
    Table `free_curve` lays a curve of free form beside the Weibull curve of the same lives of known age, both over the
    model's stretched clock; distances are those of the fleet's mix at factory height. Table `out_of_time` fits the
    curves anew to what had been written down a year before the end of the record, and counts the failures they expect
    of the parts under way then, over the distance those really ran, beside what came. Limits allow for chance and for
    the uncertainty of the earlier curve.
    """
    day = fleet.as_of - pd.DateOffset(years=1)
    earlier = earlier_histories(fleet, histories, day=day)
    before = fit_earlier(fleet, earlier, day=day)
    since = lives_since(histories, earlier, day=day, as_of=fleet.as_of)
    own = model.fingerprint == coded.fingerprint
    gathered: dict[str, list[pd.DataFrame]] = {name: [] for name in CHECK_COLUMNS}
    codes = [code for code in model.components if code in coded.coded and coded.coded[code].data is not None]

    def checked(code: str) -> _Found:
        mine = model.components[code]
        if mine.basis != "fitted":
            return _unfitted(mine)
        lives = coded.coded[code].with_duty_height(mine.coding.duty_height)
        year = _LastYear(before.get(code), histories, coded, since, code)
        parts = [_of_all_lives(mine, lives, histories, model.confidence), year.found(day, model.confidence)]
        parts += [_of_vehicles(mine, lives, histories)] if own else []
        return _joined(parts)

    results = each(checked, codes, sizes=[coded.coded[code].dated.lives for code in codes])
    for code, found in zip(codes, results, strict=True):
        for name, frame in found.tables.items():
            gathered[name].append(frame.assign(component=code))
        gathered["model_checks"].append(_verdict_rows(code, found.verdicts))
    return {
        name: pd.concat(frames, ignore_index=True)[list(CHECK_COLUMNS[name])]
        if frames
        else pd.DataFrame(columns=list(CHECK_COLUMNS[name]))
        for name, frames in gathered.items()
    }


def _verdict_rows(code: str, verdicts: tuple[Verdict, ...]) -> pd.DataFrame:
    """Verdicts in the order they are shown."""
    ordered = sorted(verdicts, key=lambda verdict: CHECKS.index(verdict.check))
    return pd.DataFrame([(code, v.check, v.result, v.sentence) for v in ordered], columns=CHECK_COLUMNS["model_checks"])


def _joined(parts: list[_Found]) -> _Found:
    tables = {name: frame for part in parts for name, frame in part.tables.items()}
    return _Found(tables, tuple(verdict for part in parts for verdict in part.verdicts))


def _unfitted(model: ComponentModel) -> _Found:
    """A component without a curve of its own has nothing that could be checked."""
    return _Found({}, (Verdict("failures", "too few", model.note),))


def _of_all_lives(model: ComponentModel, mine: ComponentLives, histories: Histories, confidence: float) -> _Found:
    """Residuals, calibration and order on lives of known age, and what the curve rests on."""
    data = mine.dated
    rates = vehicle_frailties(mine, model, vehicles=len(histories.windows)).mean
    hazards, failed = life_hazards(model, data, rates=rates), data.exact | data.interval
    failures = float(data.weight @ failed)
    residuals = residual_curve(hazards, data, confidence=confidence)
    tenths = calibrate(
        risk=_risk_foreseen(model, histories, mine.rows, data),
        expected=expected_failures(hazards, data),
        seen=failed,
        weight=data.weight,
        confidence=confidence,
    )
    apart = ((tenths["seen"] - tenths["expected"]).abs() / np.sqrt(tenths["expected"].clip(lower=1e-9))).to_numpy()
    worst = tenths.iloc[int(apart.argmax())]
    weights = [one.weight * (one.exact | one.interval) for one in (data, mine.unknown)]
    vehicles = np.concatenate([data.cluster, mine.unknown.cluster])
    by_vehicle = scores_by_cluster(np.concatenate(weights)[:, None], vehicles)[:, 0]
    free = _free_curve(model, data, rates, confidence)
    return _Found(
        {"residuals": residuals, "calibration": tenths, **free.tables},
        (
            *free.verdicts,
            judge_failures(by_vehicle[by_vehicle > 0].tolist()),
            judge_residuals(farthest_off(residuals, confidence=confidence), failures=failures),
            judge_calibration(
                calibration_chance(tenths),
                failures=failures,
                worst=(int(worst["tenth"]), float(worst["expected"]), float(worst["seen"])),
            ),
            judge_order(model_concordance(model, data), failures=failures),
        ),
    )


def _free_curve(model: ComponentModel, data: LifeData, rates: Array, confidence: float) -> _Found:
    """A curve of free form beside the Weibull curve; one row where it could be fitted."""
    curve = free_curve(model, data, rates=rates)
    half = NormalDist().inv_cdf(0.5 + confidence / 2.0)
    if curve is None:
        return _Found({}, (judge_free_curve(None, at="", half=half),))
    distance = curve.age * law(model).scale
    verdict = judge_free_curve(curve, at=f"{distance:,.0f} {model.clock}", half=half)
    return _Found({"free_curve": pd.DataFrame([_free_row(curve, data.failures, distance, half)])}, (verdict,))


def _free_row(curve: FreeCurve, failures: float, distance: float, half: float) -> dict[str, float]:
    apart = curve.free - curve.weibull
    return {
        "failures": failures,
        "deviance": curve.deviance,
        "degrees": curve.degrees,
        "deviance_per_degree": curve.deviance / curve.degrees,
        "p_value": curve.chance,
        "distance": distance,
        "survival_free": curve.free,
        "survival_weibull": curve.weibull,
        "difference": apart,
        "lower": apart - half * curve.error,
        "upper": apart + half * curve.error,
    }


def _risk_foreseen(model: ComponentModel, histories: Histories, rows: Array, data: LifeData) -> Array:
    """Hazard of each life had it run on to the end of its vehicle's record: what nobody's failing changes."""
    age = histories.lives["age_at_end"].to_numpy()[rows]
    further = np.maximum(age - np.add.reduceat(data.before_high, data.start), 0.0)
    run = life_hazards(model, had_it_gone_on(data, further))
    return run.low - run.entry


def _of_vehicles(model: ComponentModel, mine: ComponentLives, histories: Histories) -> _Found:
    """What leaving out single vehicles would do."""
    found = vehicle_influence(model, mine)
    most = np.argsort(-np.abs(found.b10), kind="stable")[:_MOST_VEHICLES]
    units = histories.windows["unit"].to_numpy(dtype=object)[found.vehicle]
    table = pd.DataFrame(
        {
            "unit": units[most],
            "failures": found.failures[most],
            "lives": found.lives[most],
            "b10_change": found.b10[most],
            "height_change": found.height[most],
        }
    )
    height = None
    if model.coding.height != "none":
        error = float(np.sqrt(model.covariance[len(model.coding.names) - 1][len(model.coding.names) - 1]))
        height = _pull(found, units, found.height, error)
    verdict = judge_vehicles(
        life=_pull(found, units, found.b10, log_b10_error(model)), height=height, failures=float(found.failures.sum())
    )
    return _Found({"influence": table}, (verdict,))


def _pull(found: Influence, units: Array, change: Array, error: float) -> Pull:
    at = int(np.abs(change).argmax())
    return Pull(str(units[at]), float(found.failures[at]), float(change[at]), error)


class _LastYear:
    """The failures of one component in the last year, as the curve of a year before foretells them."""

    def __init__(
        self, before: ComponentModel | None, histories: Histories, coded: CodedFleet, since: Since, code: str
    ) -> None:
        self._usable = before is not None and before.basis != "bound only"
        self._model = before
        self._histories, self._coded = histories, coded
        self._mine = (since.lives["component"] == code).to_numpy()
        self._since = since

    def _coded_lives(self, model: ComponentModel, lives: pd.DataFrame) -> LifeData:
        """Lives as seen from the day on, coded as the earlier curve is."""
        rows = lives["row"].to_numpy()
        everyone = self._histories.lives
        seen = {name: lives[name].to_numpy() for name in ("entry", "stop_low", "stop_high")}
        whole = everyone.iloc[rows].assign(**seen)
        segments = self._histories.segments
        segments = segments[np.isin(segments["life"].to_numpy(), rows)]
        return lives_coded_for(
            model,
            np.arange(len(rows)),
            lives=whole.reset_index(drop=True),
            segments=segments.assign(life=np.searchsorted(rows, segments["life"].to_numpy())),
            traits=self._coded.traits.iloc[rows],
        )

    def found(self, day: pd.Timestamp, confidence: float) -> _Found:
        """One row, and two verdicts."""
        lives = self._since.lives[self._mine]
        if self._model is None or not self._usable or lives.empty:
            verdicts = (
                judge_last_year(None, seen=0.0, confidence=confidence),
                judge_chances(model=np.nan, alike=np.nan, error=np.nan, seen=0.0),
            )
            return _Found({}, verdicts)
        data = self._coded_lives(self._model, lives)
        count = expected_count(self._model, data)
        scores = self._chances(self._model, lives)
        verdicts = (
            judge_last_year(count, seen=data.failures, confidence=confidence),
            judge_chances(model=scores[0], alike=scores[1], error=scores[2], seen=data.failures),
        )
        low, high = count_limits(count, confidence=confidence)
        row = (
            f"{day:%Y-%m-%d}", float(data.weight.sum()), count.mean, low, high, data.failures, scores[0], scores[1],
            verdicts[0].sentence,
        )  # fmt: skip
        return _Found({"out_of_time": pd.DataFrame([row], columns=CHECK_COLUMNS["out_of_time"][1:])}, verdicts)

    def _chances(self, model: ComponentModel, lives: pd.DataFrame) -> tuple[float, float, float]:
        """Brier scores of the model's chances and of one chance for all, and the standard error of their difference."""
        ahead = np.maximum(self._since.ahead[self._mine], _LEAST_AHEAD)
        data = self._coded_lives(model, lives.assign(stop_low=lives["entry"] + ahead, stop_high=np.inf))
        hazards = life_hazards(model, data)
        chance = -np.expm1(hazards.entry - hazards.low)
        weight = data.weight / data.weight.sum()
        scored = {
            name: brier_errors(
                time=self._since.days[self._mine],
                failed=np.isfinite(lives["stop_high"].to_numpy()),
                chance=given,
                horizon=self._since.horizon,
                weight=data.weight,
            )
            for name, given in (("model", chance), ("alike", np.full(len(chance), chance @ weight)))
        }
        better = scored["alike"] - scored["model"]
        by_vehicle = scores_by_cluster((weight * (better - better @ weight))[:, None], data.cluster)
        error = float(np.sqrt((by_vehicle**2).sum()))
        return float(scored["model"] @ weight), float(scored["alike"] @ weight), error

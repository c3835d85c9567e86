"""Lines that could be about several positions, spread by what came before and after them."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.fleet_model import CodedFleet, build_coded_fleet, fit_coded
from wearmodel.forecast.futures import build_other_rates
from wearmodel.history.drawn_paths import KEPT_STATES, ROUGH_STATES
from wearmodel.history.histories import Histories
from wearmodel.intake.fleet import Fleet
from wearmodel.processes import each
from wearmodel.survival.coding import Coding
from wearmodel.survival.component_lives import ComponentLives, with_duty_height
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.families import WEIBULL
from wearmodel.survival.frailty.likelihood import FrailtyLikelihood
from wearmodel.survival.life_chances import life_log_likelihoods
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import evaluate
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.vehicle_frailties import vehicle_frailties

__all__ = ["SettledFleet", "settle_fleet"]

Array = NDArray[Any]
#: Rounds of spreading open lines, at most, and the change of a chance that counts as none.
_MOST_ROUNDS = 40
_SETTLED = 1e-3
#: Drawn states are drawn anew once the log-likelihood of a life has moved by more than this since, on average; until it
#: first moves by less in a round, and for so many rounds at most, they are drawn roughly.
_STALE, _MOST_ROUGH = 0.05, 8
_STEP = 1e-4


@dataclass(frozen=True)
class SettledFleet:
    """Histories in which every life has the chance that the record as a whole leaves it.

    Parameters
    ----------
    histories : Histories
        With `chance` and `weight` of lives settled.
    coded : CodedFleet
        Coded from them.
    lost : mapping of str to ndarray, shape (n_parameters + 1, n_parameters + 1)
        Information that open lines take from the fit of a component, with a last row for the log variance of the
        frailty where vehicles differ; none where no line is open.
    """

    histories: Histories
    coded: CodedFleet
    lost: Mapping[str, Array] = field(default_factory=dict)


def settle_fleet(
    fleet: Fleet, histories: Histories, *, models: Mapping[str, ComponentModel] | None = None
) -> SettledFleet:
    """Spread lines that could be about several positions by what came before and after them.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    histories : Histories
        Lives and the ways to spread open lines.
    models : mapping of str to ComponentModel, optional
        Life models to go by, by component; fitted to the same lives when missing.

    Returns
    -------
    SettledFleet
        Histories and coded lives; as they were where no line is open.

    Raises
    ------
    InputError
        If a lift is more than a shaft's geometry allows.

    Notes
    -----
    Expectation-maximisation (Dempster, Laird & Rubin, Journal of the Royal Statistical Society B 39, 1977): chances
    of lives from the models (forward-backward over the ways to spread the lines), models from lives weighted by their
    chances, until no chance moves. Where vehicles differ, lives are as likely as on a vehicle with the frailty that is
    expected of theirs by its record. It takes whether a position was written down not to depend on which position it
    was. The information lost is the derivative of the weighted score by the parameters that set the weights (Oakes,
    Journal of the Royal Statistical Society B 61, 1999, eq. 2). States of timelines with too many are drawn anew by the
    models of the round, until these hardly move; the rounds then settle on the same states.
    """
    coded = build_coded_fleet(fleet, histories, models=models)
    if not len(histories.events.path_span):
        return SettledFleet(histories, coded)
    spreading = _Spreading(histories, coded)
    chance = histories.lives["chance"].to_numpy(dtype=float)
    now = models
    for _ in range(_MOST_ROUNDS):
        if models is None:
            lives = {code: spreading.weighted(coded.coded[code], chance) for code in spreading.codes}
            now = fit_coded(fleet, lives, quick=True)
        likely = spreading.log_likelihoods(now or {}, chance)
        spreading.keep_fresh(likely, chance)
        found = spreading.chances(likely)
        moved = float(np.abs(found - chance).max())
        chance = found
        if moved < _SETTLED:
            break
    weight = np.where(histories.lives["usable"], chance, 0.0)
    settled = replace(histories, lives=histories.lives.assign(chance=chance, weight=weight))
    fitted = [] if models is not None else [code for code, own in (now or {}).items() if own.basis == "fitted"]
    likely = spreading.log_likelihoods(now or {}, chance) if fitted else np.zeros(0)
    found_lost = each(
        lambda code: spreading.lost_information(code, (now or {})[code], likely, chance),
        fitted, sizes=spreading.sizes(fitted),
    )  # fmt: skip
    lost = dict(zip(fitted, found_lost, strict=True))
    return SettledFleet(settled, build_coded_fleet(fleet, settled, models=models), lost)


@dataclass
class _OnPaths:
    """Lives of one component on the paths, in order of rows: `order` their places on the paths; and their segments."""

    order: Array
    lives: pd.DataFrame
    segments: pd.DataFrame
    traits: pd.DataFrame
    coded: tuple[Coding, Array] | None = None

    def design(self, coding: Coding) -> Array:
        """Covariates of the segments; kept, as models of one coding follow each other."""
        if self.coded is None or self.coded[0] != coding:
            lift = self.segments["lift"].to_numpy(dtype=float)
            self.coded = coding, build_segment_design(coding, lift=lift, traits=self.traits)
        return self.coded[1]


class _Spreading:
    """Chances of lives as a function of the life models."""

    def __init__(self, histories: Histories, coded: CodedFleet) -> None:
        self.histories = histories
        self.coded = coded
        self.span = histories.events.path_span
        self.paths = histories.events.paths
        # The states of large timelines were drawn roughly, as if all lives were alike.
        self.rough, self.drawn_by = _MOST_ROUGH, np.zeros(len(self.span))
        self.components = histories.lives["component"].to_numpy(dtype=object)[self.span]
        self.codes = sorted(set(self.components))
        # Vehicles without an open line say nothing about where one belongs, and their weights never move.
        vehicles = np.unique(histories.lives["vehicle"].to_numpy()[self.span])
        self.open = {code: coded.coded[code].of_vehicles(vehicles) for code in self.codes if code in coded.coded}
        self.cut: dict[str, _OnPaths] = {}
        self.rates = {code: rate.total for code, rate in build_other_rates(histories.lives).items()}

    def weighted(self, mine: ComponentLives, chance: Array) -> ComponentLives:
        """A component's lives, weighing as much as they are likely."""
        data, undated = mine.data, mine.undated
        return replace(
            mine,
            data=None if data is None else replace(data, weight=chance[mine.rows]),
            undated=None if undated is None else replace(undated, weight=chance[mine.undated_rows]),
        )

    def likelihoods(self, models: Mapping[str, ComponentModel], code: str, chance: Array) -> Array:
        """Log-likelihoods of a component's lives on the paths, on vehicles as they are expected to wear.

        Without a model 0. What a vehicle is expected to be rests on its record with lives as likely as `chance` says.
        """
        if code not in models:
            return np.zeros(int((self.components == code).sum()))
        model, cut = models[code], self.on_paths(code)
        weighted = self.weighted(self.open[code], chance).with_duty_height(model.coding.duty_height)
        wear = vehicle_frailties(weighted, model, vehicles=len(self.histories.windows)).mean
        out = np.empty(len(cut.order))
        out[cut.order] = life_log_likelihoods(
            model,
            lives=cut.lives,
            segments=cut.segments,
            traits=cut.traits,
            other_rate=self.rates[code],
            frailty=wear[cut.lives["vehicle"].to_numpy()],
            design=cut.design(model.coding),
        )
        return out

    def on_paths(self, code: str) -> "_OnPaths":
        """A component's lives on the paths; looked up again and again."""
        if code not in self.cut:
            mine = self.span[self.components == code]
            order = np.argsort(mine)
            segments = self.histories.segments
            segments = segments[np.isin(segments["life"].to_numpy(), mine)]
            at = segments["life"].to_numpy()
            self.cut[code] = _OnPaths(
                order,
                self.histories.lives.iloc[mine[order]].reset_index(drop=True),
                segments.assign(life=np.searchsorted(mine[order], at)),
                self.coded.traits.iloc[at],
            )
        return self.cut[code]

    def log_likelihoods(self, models: Mapping[str, ComponentModel], chance: Array) -> Array:
        """Log-likelihood of every life on the paths."""
        likely = np.zeros(len(self.span))
        found = each(lambda code: self.likelihoods(models, code, chance), self.codes, sizes=self.sizes(self.codes))
        for code, mine in zip(self.codes, found, strict=True):
            likely[self.components == code] = mine
        return likely

    def sizes(self, codes: Sequence[str]) -> list[float]:
        """Lives of components of the vehicles with an open line."""
        known = [self.open.get(code) for code in codes]
        return [0 if mine is None else mine.dated.lives + mine.unknown.lives for mine in known]

    def keep_fresh(self, likely: Array, chance: Array) -> None:
        """Draw the states of large timelines anew where the models have moved away from those they were drawn by.

        Sums over drawn paths are right under any model, but the nearer the models, the less they scatter; and as long
        as the same states are kept, chances are smooth functions of the models, so that the rounds can settle.
        """
        weight = chance[self.span]
        moved = float(weight @ np.abs(likely - self.drawn_by)) / max(float(weight.sum()), 1.0)
        if moved > _STALE or self.rough:
            self.rough = max(self.rough - 1, 0) if moved > _STALE else 0
            self.paths = self.paths.redrawn(likely, states=ROUGH_STATES if self.rough else KEPT_STATES)
            self.drawn_by = likely

    def chances(self, likely: Array) -> Array:
        """Chance of every life of the fleet."""
        chance = np.ones(len(self.histories.lives))
        chance[self.span] = self.paths.chances(likely)
        return chance

    def lost_information(self, code: str, model: ComponentModel, likely: Array, chance: Array) -> Array:
        """Derivative of the weighted score of a component by the parameters its weights come from.

        Effects of height by duty, which the fit at the end may find, have theirs too, taken where they are 0. The last
        parameter is the log variance of the frailty; without one it loses nothing.
        """
        step = with_duty_height(self.coded.coded[code]).coding.duty_height
        mine = self.open[code].with_duty_height(step)
        model = _as_coded(model, mine.coding)
        values = _parameters(model)
        size = len(mine.coding.names) + 2
        if mine.data is None:
            return np.zeros((size, size))
        columns = []
        for i in range(len(values)):
            ends = []
            for step in (_STEP, -_STEP):
                moved = values.copy()
                moved[i] += step
                nearby = likely.copy()
                nearby[self.components == code] = self.likelihoods({code: _moved(model, moved)}, code, chance)
                weight = self.chances(nearby)[mine.rows]
                ends.append(_score(replace(mine.data, weight=weight), values))
            columns.append((ends[0] - ends[1]) / (2.0 * _STEP))
        lost = np.zeros((size, size))
        lost[: len(values), : len(values)] = np.column_stack(columns)
        return (lost + lost.T) / 2.0


def _as_coded(model: ComponentModel, coding: Coding) -> ComponentModel:
    """The same law coded with effects of height by duty, all 0."""
    columns = coding.duty_height_columns
    values = np.insert(np.array(model.values), np.full(len(columns), 1 + sum(map(len, model.coding.pooled))), 0.0)
    return replace(model, coding=coding, values=tuple(values.tolist()))


def _parameters(model: ComponentModel) -> Array:
    """Values of a model, and the log variance of the frailty where vehicles differ."""
    differ = [math.log(model.frailty_variance)] if model.frailty_variance > 0 else []
    return np.array([*model.values, *differ])


def _moved(model: ComponentModel, parameters: Array) -> ComponentModel:
    """A model with other parameters."""
    size = len(model.values)
    variance = math.exp(parameters[size]) if len(parameters) > size else 0.0
    return replace(model, values=tuple(parameters[:size].tolist()), frailty_variance=variance)


def _score(data: LifeData, parameters: Array) -> Array:
    """Gradient of the log-likelihood of weighted lives."""
    if len(parameters) > data.design.shape[1] + 1:
        unit = math.exp(float(parameters[0]))
        return FrailtyLikelihood(data.in_units_of(unit))(np.array([0.0, *parameters[1:]])).gradient
    return evaluate(data, parameters, WEIBULL).scores.sum(axis=0)

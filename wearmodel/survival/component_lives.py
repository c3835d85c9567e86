"""Lives of one component, coded for its fit."""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.coding import Coding, recode_duty_height
from wearmodel.survival.covariates import build_coding, build_segment_design
from wearmodel.survival.life_data import LifeData, build_life_data, build_stretched_life_data
from wearmodel.survival.unknown_ages.lives import UnknownAges, build_unknown_ages, no_unknown_ages

__all__ = ["ComponentLives", "build_component_lives", "height_step", "with_duty_height"]

Array = NDArray[Any]


@dataclass(frozen=True)
class ComponentLives:
    """Lives of one component that a curve can rest on, coded.

    Parameters
    ----------
    component : str
        Code.
    coding : Coding
        Covariate coding.
    data : LifeData or None
        Lives with a known fitting date; None when there are none.
    rows : ndarray of int, shape (n_lives of data,)
        Their rows among all lives.
    undated : UnknownAges or None
        First lives under observation of positions in service before records began.
    undated_rows : ndarray of int, shape (n_lives of undated,)
        Their rows among all lives.
    """

    component: str
    coding: Coding
    data: LifeData | None
    rows: Array
    undated: UnknownAges | None = None
    undated_rows: Array = field(default_factory=lambda: np.empty(0, dtype=np.intp))

    @property
    def dated(self) -> LifeData:
        """The lives of known fitting date, none of them where there are none."""
        if self.data is not None:
            return self.data
        none = np.zeros(0)
        design = np.zeros((0, len(self.coding.names)))
        return build_life_data(entry=none, stop_low=none, stop_high=none, design=design)

    @property
    def unknown(self) -> UnknownAges:
        """The lives of unknown fitting date, none of them where there are none."""
        return no_unknown_ages(len(self.coding.names)) if self.undated is None else self.undated

    def with_duty_height(self, step: float) -> "ComponentLives":
        """The same lives coded with effects of height by duty, or without.

        Parameters
        ----------
        step : float
            As `Coding.duty_height` is to be; 0 for none.

        Returns
        -------
        ComponentLives
            For a model whose coding has that step.
        """
        if step == self.coding.duty_height:
            return self
        data, undated = self.data, self.undated
        return replace(
            self,
            coding=self.coding.with_duty_height(step),
            data=data and replace(data, design=recode_duty_height(data.design, self.coding, step)),
            undated=undated and replace(undated, design=recode_duty_height(undated.design, self.coding, step)),
        )

    def of_vehicles(self, vehicles: Array) -> "ComponentLives":
        """The lives of some vehicles alone.

        Parameters
        ----------
        vehicles : ndarray of int
            Vehicle indices.

        Returns
        -------
        ComponentLives
            With the same coding.
        """
        dated, unknown = self.dated, self.unknown
        kept, undated = (np.flatnonzero(np.isin(one.cluster, vehicles)) for one in (dated, unknown))
        return replace(
            self,
            data=dated.subset(kept) if len(kept) else None,
            rows=self.rows[kept],
            undated=unknown.subset(undated) if len(undated) else None,
            undated_rows=self.undated_rows[undated],
        )


def build_component_lives(
    component: str,
    *,
    lives: pd.DataFrame,
    segments: pd.DataFrame,
    traits: pd.DataFrame,
    lifts: tuple[float, ...],
    other_rate: float,
    coding: Coding | None = None,
) -> ComponentLives:
    """Code the lives of one component.

    Parameters
    ----------
    component : str
        Code.
    lives, segments : pandas.DataFrame
        All lives and their segments.
    traits : pandas.DataFrame
        Row by row for `lives`, from `wearmodel.survival.covariates.build_traits`.
    lifts : tuple of float
        Lift levels of the fleet [mm].
    other_rate : float
        Renewals of the component that are not wear [1 / distance].
    coding : Coding, optional
        Of a model fitted before; made from the lives when missing.

    Returns
    -------
    ComponentLives
        Coding from all lives of the component, data from those with weight.
    """
    # Rows of the component alone from here on: each component would else go through all lives.
    own = (lives["component"] == component).to_numpy()
    place = np.flatnonzero(own)
    mine = segments[own[segments["life"].to_numpy()]]
    at = np.searchsorted(place, mine["life"].to_numpy())
    lives, traits = lives.iloc[place], traits.iloc[place]
    pieces = mine.assign(
        life=at,
        distance=_seen_distance(mine, lives.iloc[at]) * lives["chance"].to_numpy()[at],
        spot=lives.groupby(["vehicle", "position"]).ngroup().to_numpy()[at],
    )
    if coding is None:
        coding = build_coding(component, segments=pieces, traits=traits.iloc[at], lifts=lifts)
    design = build_segment_design(coding, lift=pieces["lift"].to_numpy(dtype=float), traits=traits.iloc[at])
    dated = lives["usable"].to_numpy(dtype=bool)[at]
    undated = _begun_before(lives)[at]
    known, rows = _arguments(lives, pieces, design, dated)
    before, undated_rows = _arguments(_seen_from_look(lives), pieces, design, undated)
    observed_from = before.pop("entry")
    return ComponentLives(
        component,
        coding,
        build_stretched_life_data(**known, weight=lives["weight"].to_numpy()[rows]) if len(rows) else None,
        place[rows],
        build_unknown_ages(
            **before,
            observed_from=observed_from,
            other_rate=other_rate,
            weight=lives["chance"].to_numpy()[undated_rows],
        ),
        place[undated_rows],
    )


def _begun_before(lives: pd.DataFrame) -> Array:
    """First lives of positions that were in service before observation began, with something seen of them."""
    first = lives["start_day"] == lives.groupby(["vehicle", "position"])["start_day"].transform("min")
    top = np.where(np.isfinite(lives["stop_high"]), lives["stop_high"], lives["stop_low"])
    seen = (lives["entry"] > 0) & (top > lives["entry"])
    return np.asarray(first & seen & ~lives["age_known"].astype(bool))


def _seen_from_look(lives: pd.DataFrame) -> pd.DataFrame:
    """Lives whose observation begins at the last look before the record, as far as their wear shows only at one.

    A part that had worn out unseen when the record began is found at the next look. With q the share of such wear and
    d the distance since the last look, a part met when the record begins says q S(a - d) + (1 - q) S(a), which is
    S(a - q d) as long as the hazard hardly changes between two looks.
    """
    entry, low = lives["entry"].to_numpy(), lives["stop_low"].to_numpy()
    found = np.isfinite(lives["stop_high"].to_numpy()) & (lives["stop_high"].to_numpy() > low)
    gap = lives["look_gap"].to_numpy() * (lives["silent"].to_numpy() > 0)
    unseen = found & (low <= entry)
    start = np.maximum(entry - np.where(unseen, gap, gap * lives["silent"].to_numpy()), 0.0)
    return lives.assign(entry=start, stop_low=np.where(unseen, start, low))


def _arguments(lives: pd.DataFrame, pieces: pd.DataFrame, design: Array, chosen: Array) -> tuple[dict[str, Any], Array]:
    """Arrays of the chosen segments' lives, as the builders of life data take them, and the rows of the lives."""
    rows, index = np.unique(pieces["life"].to_numpy()[chosen], return_inverse=True)
    mine = lives.iloc[rows]
    return {
        "life": index,
        "segment_from": pieces["age_from"].to_numpy()[chosen],
        "segment_to": pieces["age_to"].to_numpy()[chosen],
        "design": design[chosen],
        "entry": mine["entry"].to_numpy(),
        "stop_low": mine["stop_low"].to_numpy(),
        "stop_high": mine["stop_high"].to_numpy(),
        "cluster": mine["vehicle"].to_numpy(),
    }, rows


def _seen_distance(segments: pd.DataFrame, lives: pd.DataFrame) -> Array:
    """Distance of each segment that lies between entry and the end of its life."""
    entry, low, high = (lives[name].to_numpy() for name in ("entry", "stop_low", "stop_high"))
    end = np.where(np.isfinite(high), high, low)
    start, stop = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    return np.maximum(np.minimum(stop, end) - np.maximum(start, entry), 0.0)


def height_step(mine: ComponentLives) -> float:
    """Two standard deviations of the height value met in the lives.

    Parameters
    ----------
    mine : ComponentLives
        The component's lives.

    Returns
    -------
    float
        In units of the height value; 0 where none counts.
    """
    if mine.coding.height == "none":
        return 0.0
    return 2.0 * float(np.std(np.concatenate([one.design[:, -1] for one in (mine.dated, mine.unknown)])))


def with_duty_height(mine: ComponentLives) -> ComponentLives:
    """Lives coded so that the effect of height may differ by duty.

    Parameters
    ----------
    mine : ComponentLives
        The component's lives.

    Returns
    -------
    ComponentLives
        Effects of height by duty are for two standard deviations of the height value met, so that one spread suits
        angles and lifts; none where there is one duty or no height value.
    """
    return mine.with_duty_height(height_step(mine) if len(mine.coding.duties) > 1 else 0.0)

"""All tables that hold raised vehicles against those at factory height, and part makes against one another."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.fleet_model import CodedFleet
from wearmodel.history.histories import Histories
from wearmodel.intake.fleet import Fleet
from wearmodel.look_ahead import Ahead
from wearmodel.policy.comparison.compare import compare_duties, compare_ride_heights
from wearmodel.policy.comparison.dose_response import build_dose_response
from wearmodel.policy.comparison.overlap import build_overlap
from wearmodel.policy.comparison.part_makes import compare_makes
from wearmodel.policy.comparison.return_to_factory import build_return_to_factory
from wearmodel.policy.comparison.weighted_comparison import ExposedLives, build_exposed_lives, compare_weighted
from wearmodel.survival.model import LifeModel

__all__ = ["build_comparison_tables", "build_return_table", "comparison_notes"]

Array = NDArray[Any]


def build_comparison_tables(
    fleet: Fleet, histories: Histories, coded: CodedFleet, model: LifeModel, *, pieces: pd.DataFrame, seed: int
) -> dict[str, pd.DataFrame]:
    """Tables of the comparisons that look back.

    Parameters
    ----------
    fleet, histories, coded, model
        Outcome of the earlier stages.
    pieces : pandas.DataFrame
        From `wearmodel.plan_tables.build_pieces`.
    seed : int
        Seed of every draw.

    Returns
    -------
    dict of str to pandas.DataFrame
        Tables `compare`, `compare_duty`, `compare_weighted`, `balance`, `overlap`, `dose_response`, `compare_makes`.
    """
    weighted, balance = compare_weighted(
        _exposed(histories, coded, model), confidence=model.confidence, seed=seed
    )
    return {
        "compare": compare_ride_heights(
            model, coded=coded.coded, pieces=pieces, levels=coded.levels, traits=coded.traits
        ),
        "compare_duty": compare_duties(model, pieces=pieces, levels=coded.levels),
        "compare_weighted": weighted,
        "balance": balance,
        "overlap": build_overlap(pieces),
        "dose_response": build_dose_response(
            model, coded=coded.coded, lives=histories.lives, segments=histories.segments, traits=coded.traits,
            levels=coded.levels,
        ),
        "compare_makes": compare_makes(
            model, coded=coded.coded, traits=coded.traits, parts=fleet.tables["parts"], costs=coded.costs, seed=seed
        ),
    }  # fmt: skip


def _exposed(histories: Histories, coded: CodedFleet, model: LifeModel) -> dict[str, ExposedLives]:
    """Lives cut by exposure, of the components that have a model."""
    out = {}
    for code in model.components:
        own = (histories.lives["component"] == code).to_numpy()
        lives = build_exposed_lives(histories.lives[own], histories.segments, coded.traits[own])
        if lives is not None:
            out[code] = lives
    return out


def build_return_table(
    histories: Histories, coded: CodedFleet, model: LifeModel, ahead: Ahead, *, seed: int
) -> pd.DataFrame:
    """Table `return_to_factory`.

    Parameters
    ----------
    histories, coded, model
        Outcome of the earlier stages.
    ahead : Ahead
        Parts now fitted and what they will run.
    seed : int
        Seed of the draws.

    Returns
    -------
    pandas.DataFrame
        See `wearmodel.policy.comparison.return_to_factory.build_return_to_factory`.
    """
    yearly: dict[str, Array] = {}
    for code, parts in ahead.fitted.items():
        usage = ahead.usage.on_clock(model.components[code])
        yearly[code] = usage.yearly[parts.frame["vehicle"].to_numpy()]
    return build_return_to_factory(
        model, fitted=ahead.fitted, lives=histories.lives, traits=coded.traits, yearly=yearly,
        usage_spread=ahead.usage.spread, seed=seed,
    )  # fmt: skip


def comparison_notes(fleet: Fleet, levels: tuple[float, ...], tables: Mapping[str, pd.DataFrame]) -> list[str]:
    """What cannot be compared, or rests on little, in sentences.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    levels : tuple of float
        Lift levels [mm].
    tables : mapping of str to pandas.DataFrame
        From `build_comparison_tables`.

    Returns
    -------
    list of str
        None where both sides do the same work.
    """
    if len(levels) == 1:
        why = "No vehicle was ever raised" if len(fleet.tables["ride_height"]) else "No table says which are raised"
        return [f"{why}, so raised and factory-height vehicles cannot be compared."]
    overlap = tables["overlap"]
    return [str(text) for text in np.unique(overlap["sentence"]) if text]

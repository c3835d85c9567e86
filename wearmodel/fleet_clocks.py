"""The clock each component ages by, chosen from the record, and the fleet settled on those clocks."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import pandas as pd

from wearmodel.history.age_clocks import build_age_clock
from wearmodel.history.histories import Histories, put_on_age
from wearmodel.intake.fleet import Fleet
from wearmodel.settled_fleet import SettledFleet, settle_fleet
from wearmodel.survival.component_clocks import build_clocks, components_by_age
from wearmodel.survival.model import ComponentModel

__all__ = ["ClockedFleet", "settle_on_clocks"]


@dataclass(frozen=True)
class ClockedFleet:
    """A settled fleet whose components age by the clocks that explain their failures.

    Parameters
    ----------
    settled : SettledFleet
        Histories and coded lives, ages on each component's clock.
    clocks : pandas.DataFrame
        Table `clocks`.
    """

    settled: SettledFleet
    clocks: pd.DataFrame


def settle_on_clocks(
    fleet: Fleet, histories: Histories, *, models: Mapping[str, ComponentModel] | None = None
) -> ClockedFleet:
    """Choose clocks, and spread lines that could be about several positions.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    histories : Histories
        Lives with ages in distance driven.
    models : mapping of str to ComponentModel, optional
        Life models to go by, by component: their clocks are kept.

    Returns
    -------
    ClockedFleet
        With ages in distance driven where nothing speaks clearly for time.

    Raises
    ------
    InputError
        If a lift is more than a shaft's geometry allows.
    """
    settled = settle_fleet(fleet, histories, models=models)
    specs = {code: fleet.settings.components[code] for code in settled.coded.coded}
    clocks = build_clocks(
        settled.histories,
        settled.coded.coded,
        labels={code: spec.label for code, spec in specs.items()},
        set_clocks={code: spec.clock for code, spec in specs.items()},
        distance_unit=fleet.settings.distance_unit,
    )
    if models is None:
        aged = _on_age(fleet, settled.histories, components_by_age(clocks))
    else:
        counts = {code: own.day_counts for code, own in models.items() if own.day_counts > 0 and code in specs}
        aged = _on_age(fleet, settled.histories, list(counts), day_counts=next(iter(counts.values()), None))
    if aged is None:
        return ClockedFleet(settled, clocks)
    return ClockedFleet(settle_fleet(fleet, aged, models=models), clocks)


def _on_age(
    fleet: Fleet, histories: Histories, components: Collection[str], *, day_counts: float | None = None
) -> Histories | None:
    """Histories in which some components age by time; None for none of them."""
    if not components:
        return None
    return put_on_age(
        histories,
        clock=build_age_clock(histories.windows, day_counts=day_counts),
        components=components,
        inspections=fleet.tables["inspections"],
        ride_height=fleet.tables["ride_height"],
    )

"""The clock each component ages by, chosen from the record, and the fleet settled on those clocks."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import pandas as pd

from wearmodel.errors import InputError, ModelError
from wearmodel.history.age_clocks import AgeClock, build_age_clock, build_hour_clock
from wearmodel.history.engine_hours import LEAST_SHARE
from wearmodel.history.histories import Histories, put_on_age
from wearmodel.intake.fleet import Fleet
from wearmodel.settled_fleet import SettledFleet, settle_fleet
from wearmodel.survival.component_clocks import build_clocks, components_by
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
        With ages in distance driven where nothing speaks clearly for time or engine hours.

    Raises
    ------
    InputError
        If a lift is more than a shaft's geometry allows, or `fleet.toml` sets hours as a clock where they are not on
        record.
    ModelError
        If a model goes by engine hours where they are not on record.
    """
    settled = settle_fleet(fleet, histories, models=models)
    specs = {code: fleet.settings.components[code] for code in settled.coded.coded}
    if models is None:
        _check_set_hours(histories, {code: spec.clock for code, spec in specs.items()}, fleet.settings.distance_unit)
    clocks = build_clocks(
        settled.histories,
        settled.coded.coded,
        labels={code: spec.label for code, spec in specs.items()},
        set_clocks={code: spec.clock for code, spec in specs.items()},
        distance_unit=fleet.settings.distance_unit,
    )
    chosen = _chosen_clocks(settled.histories, clocks) if models is None else _clocks_of(settled.histories, models)
    age_clocks = {code: clock for code, clock in chosen.items() if code in specs}
    if not age_clocks:
        return ClockedFleet(settled, clocks)
    aged = put_on_age(
        settled.histories,
        clocks=age_clocks,
        inspections=fleet.tables["inspections"],
        ride_height=fleet.tables["ride_height"],
    )
    return ClockedFleet(settle_fleet(fleet, aged, models=models), clocks)


def _check_set_hours(histories: Histories, set_clocks: Mapping[str, str], distance_unit: str) -> None:
    """Refuse hours as the clock of a component where too few vehicles have them on record."""
    known = histories.hours
    asked = [code for code, clock in set_clocks.items() if clock == "hours"]
    if not asked or distance_unit == "hours" or known.curves is not None:
        return
    raise InputError(
        f'fleet.toml, [components.{asked[0]}]: clock = "hours", but engine hours are on record for {known.known:,} of '
        f"{known.vehicles:,} vehicles and are needed for {LEAST_SHARE:.0%}; give them in the column engine_hours of "
        f'readings or repairs, or set clock = "{distance_unit}".'
    )


def _chosen_clocks(histories: Histories, clocks: pd.DataFrame) -> dict[str, AgeClock]:
    """Clocks of the components for which the table chooses another than distance."""
    windows, hours = histories.windows, histories.hours.curves
    out: dict[str, AgeClock] = {}
    if by_age := components_by(clocks, "age"):
        out |= dict.fromkeys(by_age, build_age_clock(windows))
    if (by_hours := components_by(clocks, "hours")) and hours is not None:
        out |= dict.fromkeys(by_hours, build_hour_clock(windows, hours))
    return out


def _clocks_of(histories: Histories, models: Mapping[str, ComponentModel]) -> dict[str, AgeClock]:
    """Clocks that life models go by, those of the same counts one and the same."""
    windows, hours = histories.windows, histories.hours.curves

    @cache
    def clock(day_counts: float, hour_counts: float) -> AgeClock:
        if day_counts > 0:
            return build_age_clock(windows, day_counts=day_counts)
        if hours is None:
            raise ModelError(
                f"The model goes by engine hours, which are on record for {histories.hours.known:,} of "
                f"{histories.hours.vehicles:,} vehicles here; give them in the column engine_hours of readings or "
                "repairs, or fit the model anew with 'wearmodel fit'."
            )
        return build_hour_clock(windows, hours, hour_counts=hour_counts)

    return {
        code: clock(own.day_counts, own.hour_counts)
        for code, own in models.items()
        if own.day_counts > 0 or own.hour_counts > 0
    }

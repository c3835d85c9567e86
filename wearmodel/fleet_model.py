"""From histories to the fleet's life model: the fit stage as a whole."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import pandas as pd
from numpy.typing import NDArray

from wearmodel.errors import InputError, ModelError
from wearmodel.forecast.futures import build_other_rates
from wearmodel.history.age_clocks import AgeClock
from wearmodel.history.greasing import greasing_levels
from wearmodel.history.histories import Histories, build_lives_table
from wearmodel.intake.fleet import Fleet
from wearmodel.intake.part_groups import part_groups
from wearmodel.policy.costs import build_costs, replacement_costs
from wearmodel.policy.lift_groups import lift_levels
from wearmodel.processes import each
from wearmodel.survival.component_fits import fit_components, lives_fingerprint
from wearmodel.survival.component_lives import ComponentLives, build_component_lives
from wearmodel.survival.covariates import build_traits
from wearmodel.survival.model import ComponentModel, LifeModel

__all__ = ["CONFIDENCE", "CodedFleet", "adopt_model", "build_coded_fleet", "fit_coded", "fit_fleet", "own_lines"]

#: Two-sided confidence of every band and interval.
CONFIDENCE = 0.9

Array = NDArray[Any]


@dataclass(frozen=True)
class CodedFleet:
    """Lives coded for the fits, with what goes with them.

    Parameters
    ----------
    histories : Histories
        What they were coded from.
    traits : pandas.DataFrame
        What each life's part and place are, row by row for the lives.
    levels : tuple of float
        Lift levels of the fleet [mm].
    coded : mapping of str to ComponentLives
        By component code.
    costs : pandas.DataFrame
        Cost assumptions by component.
    own_lines : pandas.DataFrame
        Renewals for which a part was taken, with `vehicle_class`.
    clocks : mapping of str to AgeClock
        Clocks of the components that age by time or engine hours.
    """

    histories: Histories
    traits: pd.DataFrame
    levels: tuple[float, ...]
    coded: Mapping[str, ComponentLives]
    costs: pd.DataFrame
    own_lines: pd.DataFrame
    clocks: Mapping[str, AgeClock]

    @cached_property
    def lives_table(self) -> pd.DataFrame:
        """Table `lives`; most fleets that are coded on the way need none."""
        return build_lives_table(self.histories)

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256 of the lives; of a million they take seconds."""
        return lives_fingerprint(self.lives_table)

    @property
    def worn_shares(self) -> dict[str, float]:
        """Share of wear ends found at inspections, by component."""
        return {str(code): float(share) for code, share in self.costs.set_index("component")["worn_share"].items()}


def own_lines(histories: Histories) -> pd.DataFrame:
    """Renewals for which a part was taken; a line open over several positions counts once.

    Parameters
    ----------
    histories : Histories
        Renewals and windows.

    Returns
    -------
    pandas.DataFrame
        Columns of the renewals, with `vehicle_class`; `date` as a timestamp.
    """
    known = histories.renewals.known
    known = known[known["own_line"].astype(bool)]
    still_open = histories.renewals.open
    still_open = still_open[(still_open["option"] == 0) & still_open["own_line"].astype(bool)]
    lines = pd.concat([frame for frame in (known, still_open) if len(frame)] or [known], ignore_index=True)
    classes = dict(zip(histories.windows["unit"], histories.windows["vehicle_class"], strict=True))
    return lines.assign(vehicle_class=lines["unit"].map(classes), date=pd.to_datetime(lines["date"]))


def build_coded_fleet(
    fleet: Fleet, histories: Histories, *, models: Mapping[str, ComponentModel] | None = None
) -> CodedFleet:
    """Code every component's lives and gather costs.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    histories : Histories
        Lives and segments.
    models : mapping of str to ComponentModel, optional
        Models fitted before, by component: their codings are used.

    Returns
    -------
    CodedFleet
        Ready for `fit_fleet`.

    Raises
    ------
    InputError
        If a lift is more than a shaft's geometry allows.
    """
    lives, settings = histories.lives, fleet.settings
    levels = lift_levels(histories.changes["lift"])
    parts = fleet.tables["parts"]
    rates = build_other_rates(lives)
    traits = build_traits(
        lives,
        geometry=settings.geometry,
        layouts=settings.layouts,
        numbers=part_groups(parts),
        builds=dict(zip(parts["part_number"], parts["build"], strict=True)),
        greasing=lambda builds: greasing_levels(
            lives,
            greasings=fleet.greasings,
            windows=histories.windows,
            builds=builds,
            every=settings.greasing_intervals * settings.service_interval,
        ),
    )

    def coded_lives(code: str) -> ComponentLives:
        return build_component_lives(
            code,
            lives=lives,
            segments=histories.segments,
            traits=traits,
            lifts=levels,
            other_rate=rates[code].total,
            coding=None if models is None or code not in models else models[code].coding,
        )

    counts = lives["component"].value_counts()
    codes = sorted(counts.index)
    try:
        coded = dict(zip(codes, each(coded_lives, codes, sizes=[counts[code] for code in codes]), strict=True))
    except ValueError as error:
        raise InputError(
            f"fleet.toml, [geometry], with the lifts of the ride_height table: {error}; correct the lengths, "
            "angles or lifts."
        ) from None
    lines = own_lines(histories)
    labels = {code: settings.components[code].label for code in coded}
    costs = build_costs(
        labels,
        settings=settings,
        own_lines=lines,
        parts=parts,
        lives=lives,
        as_of=fleet.as_of,
    )
    return CodedFleet(histories, traits, levels, coded, costs, lines, histories.age_clocks)


def fit_fleet(fleet: Fleet, coded: CodedFleet, *, lost: Mapping[str, Array] | None = None) -> LifeModel:
    """Fit every component.

    Parameters
    ----------
    fleet : Fleet
        Settings and the date of the record's end.
    coded : CodedFleet
        Coded lives.
    lost : mapping of str to ndarray, optional
        Information lost to open lines, by component, see `wearmodel.settled_fleet.settle_fleet`.

    Returns
    -------
    LifeModel
        Models of all components with a usable life, costs and units.
    """
    settings = fleet.settings
    models = fit_coded(fleet, coded.coded, lost=lost)
    return LifeModel(
        components={code: _on_clock(own, coded.clocks.get(code)) for code, own in models.items()},
        distance_unit=settings.distance_unit,
        currency=settings.currency,
        as_of=f"{fleet.as_of:%Y-%m-%d}",
        service_interval=settings.service_interval,
        confidence=CONFIDENCE,
        costs=replacement_costs(coded.costs),
        fingerprint=coded.fingerprint,
    )


def _on_clock(model: ComponentModel, clock: AgeClock | None) -> ComponentModel:
    """The model of a component whose ages count by the day or engine hour, or as it is."""
    if clock is None:
        return model
    if clock.hour_counts:
        hour = f"an hour counts as {clock.hour_counts:,.1f} {model.clock}, the fleet's mean running"
        note = f"{model.note} Ages by engine hours, not by distance: {hour}."
        return replace(model, hour_counts=clock.hour_counts, note=note)
    year = f"a year counts as {clock.day_counts * 365.25:,.0f} {model.clock}, the fleet's mean running"
    return replace(model, day_counts=clock.day_counts, note=f"{model.note} Ages by time, not by distance: {year}.")


def fit_coded(
    fleet: Fleet,
    coded: Mapping[str, ComponentLives],
    *,
    lost: Mapping[str, Array] | None = None,
    quick: bool = False,
) -> dict[str, ComponentModel]:
    """Fit some components.

    Parameters
    ----------
    fleet : Fleet
        Settings.
    coded : mapping of str to ComponentLives
        Coded lives by component.
    lost : mapping of str to ndarray, optional
        Information lost to open lines, by component.
    quick : bool
        For rounds on the way, see `fit_components`.

    Returns
    -------
    dict of str to ComponentModel
        Components without any usable life are missing.
    """
    settings = fleet.settings
    specs = {code: settings.components[code] for code in coded}
    return fit_components(
        coded,
        labels={code: spec.label for code, spec in specs.items()},
        # Ages by time or engine hours are told as distance, too.
        clocks=dict.fromkeys(specs, settings.distance_unit),
        lost=lost or {},
        quick=quick,
    )


def adopt_model(model: LifeModel, *, fleet: Fleet, coded: CodedFleet, name: str) -> LifeModel:
    """A model fitted before, with the fleet's present costs and service interval.

    Parameters
    ----------
    model : LifeModel
        Read from a file.
    fleet : Fleet
        The fleet it is to be used on.
    coded : CodedFleet
        Its cost assumptions.
    name : str
        How to call the file in messages.

    Returns
    -------
    LifeModel
        The curves of the file; money as fleet.toml and the parts table have it today, so that
        intervals, budget and the workbook's live cells speak of the same costs.

    Raises
    ------
    ModelError
        If units differ, or the confidence is not a share.
    """
    for word, mine, theirs in (
        ("distance unit", fleet.settings.distance_unit, model.distance_unit),
        ("currency", fleet.settings.currency, model.currency),
    ):
        if mine != theirs:
            raise ModelError(
                f"{name} was fitted with {word} '{theirs}', the fleet has '{mine}'; fit it anew with 'wearmodel fit'."
            )
    if not 0.0 < model.confidence < 1.0:
        raise ModelError(f"{name} has a confidence out of range; fit it anew with 'wearmodel fit'.")
    return replace(model, costs=replacement_costs(coded.costs), service_interval=fleet.settings.service_interval)

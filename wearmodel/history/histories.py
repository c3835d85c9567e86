"""Histories: everything the record says about each part's time in its position."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.findings import Finding
from wearmodel.history.age_clocks import AgeClock, windows_on
from wearmodel.history.engine_hours import EngineHours, build_engine_hours
from wearmodel.history.events import Events, build_events
from wearmodel.history.lives import build_lives, build_windows
from wearmodel.history.odometer import OdometerCurves, build_odometer_curves
from wearmodel.history.renewals import Renewals, build_renewals
from wearmodel.history.ride_heights import build_lift_changes, build_segments, lift_at_end
from wearmodel.intake.fleet import Fleet
from wearmodel.questions import Question

__all__ = ["CutLives", "Histories", "build_histories", "build_lives_table", "cut_lives", "put_on_age"]

Array = NDArray[Any]


@dataclass(frozen=True)
class Histories:
    """Lives with what surrounds them.

    Parameters
    ----------
    lives : pandas.DataFrame
        One row a life, see `wearmodel.history.lives.build_lives`, plus `lift` at its end [mm].
    segments : pandas.DataFrame
        Each life cut where ride height changed: `life, age_from, age_to, lift`.
    windows : pandas.DataFrame
        Observation window of each vehicle, see `build_windows`.
    curves : OdometerCurves
        Odometer curves.
    changes : pandas.DataFrame
        Lift changes: `vehicle, odometer, lift`.
    renewals : Renewals
        Renewed positions, for demand and counts.
    events : Events
        What fills the positions, and the ways to spread open lines.
    findings : tuple of Finding
        What was wrong with odometers and positions.
    questions : tuple of Question
        What a person can settle about odometers.
    age_clocks : mapping of str to AgeClock
        Of the components that age by time or engine hours, by code: the ages of their lives and segments count by it.
    driven : Histories or None
        The same with all ages in distance driven; None where every component wears by distance.
    hours : EngineHours
        What is known of the vehicles' engine hours.
    """

    lives: pd.DataFrame
    segments: pd.DataFrame
    windows: pd.DataFrame
    curves: OdometerCurves
    changes: pd.DataFrame
    renewals: Renewals
    events: Events
    findings: tuple[Finding, ...]
    questions: tuple[Question, ...] = ()
    age_clocks: Mapping[str, AgeClock] = field(default_factory=dict)
    driven: "Histories | None" = None
    hours: EngineHours = field(default_factory=EngineHours)

    def by_distance(self) -> "Histories":
        """Ages in distance driven throughout, with the chances of lives as they are here."""
        if self.driven is None:
            return self
        chance = self.lives["chance"]
        weight = np.where(self.driven.lives["usable"], chance, 0.0)
        return replace(self.driven, lives=self.driven.lives.assign(chance=chance, weight=weight))

    def counted_at(self, lives: pd.DataFrame, day: Array) -> Array:
        """What the clocks of some lives' components show.

        Parameters
        ----------
        lives : pandas.DataFrame
            With `vehicle` and `component`.
        day : ndarray, shape (n_lives,)
            Days since 1970-01-01 [d].

        Returns
        -------
        ndarray, shape (n_lives,)
            Odometer, or age clock where the component has one [distance]; less `start_odometer` it is an age.
        """
        vehicle = lives["vehicle"].to_numpy()
        out = self.curves.distance_at(vehicle, day)
        for code, clock in self.age_clocks.items():
            mine = (lives["component"] == code).to_numpy()
            out[mine] = clock.distance_at(vehicle[mine], day[mine])
        return out


@dataclass(frozen=True)
class CutLives:
    """Lives, and the segments of constant ride height they are cut into; fields as in `Histories`."""

    lives: pd.DataFrame
    segments: pd.DataFrame


def cut_lives(
    events: Events,
    *,
    windows: pd.DataFrame,
    curves: OdometerCurves | AgeClock,
    inspections: pd.DataFrame,
    changes: pd.DataFrame,
) -> CutLives:
    """Lives of all parts, cut where ride height changed.

    Parameters
    ----------
    events : Events
        What fills the positions.
    windows : pandas.DataFrame
        Observation windows.
    curves : OdometerCurves or AgeClock
        What ages count by.
    inspections : pandas.DataFrame
        Clean table.
    changes : pandas.DataFrame
        Lift changes on the same clock.

    Returns
    -------
    CutLives
        With the lift at the end of each life.
    """
    lives = build_lives(events, windows=windows, curves=curves, inspections=inspections)
    segments = build_segments(lives, changes)
    lives["lift"] = lift_at_end(segments)
    return CutLives(lives, segments)


def build_histories(fleet: Fleet) -> Histories:
    """Histories of a fleet.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.

    Returns
    -------
    Histories
        Lives, segments, windows and findings.
    """
    tables, settings = fleet.tables, fleet.settings
    odometers = build_odometer_curves(
        tables["vehicles"],
        readings=tables["readings"],
        repairs=tables["repairs"],
        inspections=tables["inspections"],
        distance_unit=settings.distance_unit,
        corrections=fleet.corrections,
        further=fleet.other_figures,
    )
    curves = odometers.curves
    renewals = build_renewals(
        tables["repairs"], vehicles=tables["vehicles"], parts=tables["parts"], layouts=settings.layouts
    )
    windows = build_windows(
        tables["vehicles"], curves=curves, as_of=fleet.as_of, distance_unit=settings.distance_unit
    )
    hours = build_engine_hours(
        windows, curves=curves, readings=tables["readings"], repairs=tables["repairs"], duty_log=tables["duty_log"],
        distance_unit=settings.distance_unit, further=fleet.other_figures,
    )  # fmt: skip
    events = build_events(renewals, windows=windows, layouts=settings.layouts)
    changes = build_lift_changes(tables["ride_height"], curves)
    cut = cut_lives(events, windows=windows, curves=curves, inspections=tables["inspections"], changes=changes)
    return Histories(
        lives=cut.lives,
        segments=cut.segments,
        windows=windows,
        curves=curves,
        changes=changes,
        renewals=renewals,
        events=events,
        findings=(*odometers.findings, *hours.findings, *renewals.findings),
        questions=odometers.questions,
        hours=hours,
    )


def put_on_age(
    histories: Histories, *, clocks: Mapping[str, AgeClock], inspections: pd.DataFrame, ride_height: pd.DataFrame
) -> Histories:
    """Let some components age by time or engine hours.

    Parameters
    ----------
    histories : Histories
        Ages in distance driven.
    clocks : mapping of str to AgeClock
        What their ages count by, by component code.
    inspections, ride_height : pandas.DataFrame
        Clean tables.

    Returns
    -------
    Histories
        Row by row the same lives; those of the components, and their segments, with ages on their clocks.
    """
    lives, segments = histories.lives, histories.segments
    for clock in {id(clock): clock for clock in clocks.values()}.values():
        mine = lives["component"].isin([code for code, own in clocks.items() if own is clock]).to_numpy()
        cut = cut_lives(
            histories.events,
            windows=windows_on(histories.windows, clock),
            curves=clock,
            inspections=inspections,
            changes=build_lift_changes(ride_height, clock),
        )
        aged, pieces = cut.lives, cut.segments
        aged["chance"] = histories.lives["chance"]
        aged["weight"] = np.where(aged["usable"], aged["chance"], 0.0)
        lives = pd.concat([lives[~mine], aged[mine]]).sort_index()
        kept = [segments[~mine[segments["life"]]], pieces[mine[pieces["life"]]]]
        segments = pd.concat(kept).sort_values("life", kind="stable", ignore_index=True)
    return replace(
        histories, lives=lives, segments=segments, age_clocks=dict(sorted(clocks.items())), driven=histories
    )


def build_lives_table(histories: Histories) -> pd.DataFrame:
    """Table `lives`: one row a life, or a piece of one where ride height changed.

    Parameters
    ----------
    histories : Histories
        Lives and segments.

    Returns
    -------
    pandas.DataFrame
        Columns of the table `lives`, ages in distance driven, and `chance`: below 1 where a line could be about several
        positions, so that several lives are listed of which one is true; those without any chance are left out. A life
        cut into pieces carries its end on the last piece; the pieces before it were in service when they ended. A piece
        starts no later than the last good look, so that a failure known to an interval stays in one piece.
    """
    driven = histories.by_distance()
    lives = driven.lives[driven.lives["chance"] > 0.0]
    pieces = driven.segments.merge(lives, left_on="life", right_index=True, suffixes=("", "_at_end"))
    seen_from, seen_good = pieces["entry"].to_numpy(), pieces["stop_low"].to_numpy()
    begins, ends = pieces["age_from"].to_numpy(), pieces["age_to"].to_numpy()
    pieces = pieces[(ends > seen_from) & ((begins < seen_good) | (begins <= seen_from))]
    last = ~pieces.duplicated("life", keep="last").to_numpy()
    pieces = pieces.assign(
        entry=np.maximum(pieces["age_from"], pieces["entry"]),
        stop_low=np.where(last, pieces["stop_low"], pieces["age_to"]),
        stop_high=np.where(last, pieces["stop_high"], np.inf),
        ended=np.where(last, pieces["ended"], "in_service"),
    )
    for name in ("start", "end"):
        pieces[f"{name}_date"] = _dates(pieces[f"{name}_day"])
    columns = [
        "unit", "position", "component", "part_number", "duty", "lift", "entry", "stop_low", "stop_high",
        "ended", "weight", "vehicle_class", "depot", "start_date", "end_date", "chance",
    ]  # fmt: skip
    return pieces[columns].reset_index(drop=True)


def _dates(days: "pd.Series[Any]") -> "pd.Series[Any]":
    return pd.to_datetime(days.round(), unit="D", origin="unix")

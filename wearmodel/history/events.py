"""Renewed positions to events that fill a position, and the spans between them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.layouts import positions_of
from wearmodel.frame_rows import frame_rows
from wearmodel.history.drawn_paths import ROUGH_STATES, LargeTimeline, build_large_timeline, draw_paths
from wearmodel.history.odometer import days_since_epoch
from wearmodel.history.open_paths import SEED, OpenPaths, build_open_paths
from wearmodel.history.open_positions import Step, Timeline, TooManyPathsError, build_paths
from wearmodel.history.renewals import REASON_RANK, Renewals

__all__ = ["Events", "build_events"]

Array = NDArray[Any]
_KEYS = ["vehicle", "position"]
_COLUMNS = ["vehicle", "position", "component", "day", "reason", "part_number", "known", "own_line"]


@dataclass(frozen=True)
class Events:
    """What fills the positions, and every span from one filling to a next.

    Parameters
    ----------
    frame : pandas.DataFrame
        `vehicle, position, component, day, reason, part_number, known, own_line`; `reason` is empty where
        the record begins, `known` tells whether the part was new then.
    spans : pandas.DataFrame
        One row a life: `start` and `end` (rows of `frame`; -1: end of the record), `chance` that it is true
        when every way to spread the open lines is equally likely, `current` (one row a position: the span of
        the part now fitted, the earliest where several are possible); ordered by vehicle, position, start.
    paths : OpenPaths
        Ways to spread the open lines; empty without any.
    path_span : ndarray of int, shape (n_lives of paths,)
        Row of `spans` of each life of `paths`.
    unspread : int
        Open lines before the record, or that can be spread in no way or leave too many lives possible: they end what is
        known of each of their positions.
    """

    frame: pd.DataFrame
    spans: pd.DataFrame
    paths: OpenPaths
    path_span: Array
    unspread: int


def build_events(
    renewals: Renewals, *, windows: pd.DataFrame, layouts: Mapping[str, Mapping[str, str]]
) -> Events:
    """Everything that starts a part's time in a position.

    Parameters
    ----------
    renewals : Renewals
        Renewed positions.
    windows : pandas.DataFrame
        From `wearmodel.history.lives.build_windows`.
    layouts : mapping
        Driveline layouts.

    Returns
    -------
    Events
        Events, the spans between them, and the ways to spread open lines.
    """
    index = pd.Index(windows["unit"])
    lines = renewals.open.assign(
        vehicle=index.get_indexer(pd.Index(renewals.open["unit"])), day=days_since_epoch(renewals.open["date"])
    )
    lines = lines[lines["day"].to_numpy() <= windows["last_day"].to_numpy()[lines["vehicle"]]]
    # What stands before the record only says that the fitting date is not known.
    early = lines["day"].to_numpy() <= windows["first_day"].to_numpy()[lines["vehicle"]]
    blunt = set(lines.loc[early, "line"])
    while True:
        frame = _known_events(renewals, lines[lines["line"].isin(blunt)], windows, layouts)
        followed = _Followed(frame, lines[~lines["line"].isin(blunt)])
        failed = followed.failed_lines()
        if not failed:
            break
        blunt |= failed
    return followed.events(unspread=len(blunt))


def _known_events(
    renewals: Renewals, blunt: pd.DataFrame, windows: pd.DataFrame, layouts: Mapping[str, Mapping[str, str]]
) -> pd.DataFrame:
    """Beginnings, known renewals, and open lines that end what is known of each of their positions."""
    known = renewals.known
    origin = _all_positions(windows, layouts)
    frames = [
        origin.rename(columns={"first_day": "day", "new_at_start": "known"})[["vehicle", "position", "component",
            "day", "known"]].assign(reason="", part_number="", own_line=False, rank=-1),
    ]  # fmt: skip
    if len(known):
        vehicle = pd.Index(windows["unit"]).get_indexer(pd.Index(known["unit"]))
        frames.append(
            known[["position", "component", "reason", "part_number"]].assign(
                vehicle=vehicle,
                day=days_since_epoch(known["date"]),
                known=True,
                own_line=known["own_line"].astype(bool),
                rank=known["reason"].map(REASON_RANK).fillna(9),
            )
        )
    if len(blunt):
        frames.append(
            blunt[["vehicle", "position", "component", "day"]].assign(
                reason="", part_number="", known=False, own_line=blunt["own_line"].astype(bool), rank=10
            )
        )
    events = pd.concat(frames, ignore_index=True)
    events = events.sort_values([*_KEYS, "day", "rank"], kind="stable", ignore_index=True)
    last_day = windows["last_day"].to_numpy()
    events = events[events["day"] <= last_day[events["vehicle"]]].reset_index(drop=True)
    return _drop_superseded(events, windows)[_COLUMNS]


def _all_positions(windows: pd.DataFrame, layouts: Mapping[str, Mapping[str, str]]) -> pd.DataFrame:
    """Every position of every vehicle."""
    tables = [
        pd.DataFrame({"driveline": text, "position": list(layout), "component": list(layout.values())})
        for text in windows["driveline"].unique()
        for layout in [positions_of(text, layouts)]
    ]
    catalogue = pd.concat(tables, ignore_index=True)
    columns = ["vehicle", "unit", "driveline", "first_day", "new_at_start"]
    return windows[columns].merge(catalogue, on="driveline", how="left")


def _drop_superseded(events: pd.DataFrame, windows: pd.DataFrame) -> pd.DataFrame:
    """Keep one event a day, and of those before the record only the last."""
    origin = (events["rank"] == -1).to_numpy()
    early = (events["day"].to_numpy() < windows["first_day"].to_numpy()[events["vehicle"]]) & ~origin
    keep = ~early
    keep[events[early].drop_duplicates(_KEYS, keep="last").index] = True
    known_before = pd.Series(early).groupby([events["vehicle"], events["position"]]).transform("any").to_numpy()
    # A renewal on the very day the record begins replaces the origin; else the first rank counts.
    same_day = events.duplicated([*_KEYS, "day"], keep=False).to_numpy()
    keep &= ~(origin & (known_before | same_day))
    return events[keep].drop_duplicates([*_KEYS, "day"], keep="first").drop(columns="rank").reset_index(drop=True)


class _Followed:
    """Open lines followed along with the known events of the positions they connect."""

    def __init__(self, frame: pd.DataFrame, lines: pd.DataFrame) -> None:
        places = lines.drop_duplicates(["line", "position"]).sort_values(["line", "position"])
        added = places.assign(known=True)[[*_COLUMNS, "line"]]
        self.frame = pd.concat([frame, added[_COLUMNS]], ignore_index=True) if len(added) else frame
        self.chain = len(frame)
        self.lines = lines
        self._event = {
            (line, position): self.chain + i
            for i, (line, position) in enumerate(zip(added["line"], added["position"], strict=True))
        }
        self._groups = _connected(lines)
        self._by_place = _events_by_place(frame, {place for group in self._groups for place in group.places})
        self._timelines: list[Timeline] = []
        self._large: list[LargeTimeline] = []

    def _timeline(self, group: "_Group") -> Timeline:
        """What happened to the positions of one group, in order."""
        place_of = {place: i for i, place in enumerate(group.places)}
        first = tuple(self._by_place[place][0] for place in group.places)
        day = self.frame["day"].to_numpy()
        steps: list[tuple[float, int, Step]] = []
        for place in group.places:
            steps += [
                (float(day[event]), -1, Step((((place_of[place], event),),))) for event in self._by_place[place][1:]
            ]
        for line, options in group.lines.items():
            ways = tuple(
                tuple((place_of[(group.vehicle, position)], self._event[(line, position)]) for position in positions)
                for positions in options
            )
            steps.append((float(day[ways[0][0][1]]), line, Step(ways)))
        return Timeline(first, tuple(step for _, _, step in sorted(steps, key=lambda entry: entry[:2])))

    def failed_lines(self) -> set[int]:
        """Lines of groups that cannot be followed."""
        failed: set[int] = set()
        days = self.frame["day"].to_numpy()
        for group in self._groups:
            timeline = self._timeline(group)
            try:
                build_paths([timeline], days=days)
                self._timelines.append(timeline)
            except TooManyPathsError:
                failed |= self._drawn_or_failed(group, timeline)
        return failed

    def _drawn_or_failed(self, group: "_Group", timeline: Timeline) -> set[int]:
        """The lines of a group that cannot be followed in full; none where its paths can be drawn."""
        try:
            large = build_large_timeline(timeline, days=self.frame["day"].to_numpy())
            draw_paths([large], [np.zeros(len(large.lives))], seed=SEED, states=ROUGH_STATES)
        except TooManyPathsError:
            return set(group.lines)
        self._large.append(large)
        return set()

    def events(self, *, unspread: int) -> Events:
        """All spans, with the chance that lines alone leave them; to be called once no line failed."""
        paths = build_open_paths(self._timelines, self._large, days=self.frame["day"].to_numpy())
        chance = paths.chances(np.zeros(len(paths.lives)))
        spans = self._plain_spans()
        if len(paths.lives):
            followed = np.array(paths.lives, dtype=np.intp)
            spread = pd.DataFrame({"start": followed[:, 0], "end": followed[:, 1], "chance": chance})
            spans = pd.concat([spans, spread.assign(life=np.arange(len(chance), dtype=float))], ignore_index=True)
        for name in _KEYS:
            spans[name] = self.frame[name].to_numpy()[spans["start"]]
        day = self.frame["day"].to_numpy()
        spans["day"] = day[spans["start"]]
        spans["end_day"] = np.where(spans["end"] < 0, np.inf, day[spans["end"]])
        spans = spans.sort_values([*_KEYS, "day", "end_day"], kind="stable", ignore_index=True)
        open_ended = spans["end"] < 0
        spans["current"] = open_ended & ~spans[open_ended].duplicated(_KEYS).reindex(spans.index, fill_value=True)
        path_span = np.zeros(len(paths.lives), dtype=np.intp)
        on_path = np.flatnonzero(spans["life"].notna())
        path_span[spans["life"].to_numpy()[on_path].astype(np.intp)] = on_path
        return Events(self.frame, spans[["start", "end", "chance", "current"]], paths, path_span, unspread)

    def _plain_spans(self) -> pd.DataFrame:
        """Spans of the positions that no followed line touches."""
        chain = self.frame.iloc[: self.chain]
        start = np.arange(self.chain)
        same = np.zeros(self.chain, dtype=bool)
        if self.chain > 1:
            same[:-1] = (chain[_KEYS].to_numpy()[1:] == chain[_KEYS].to_numpy()[:-1]).all(axis=1)
        touched = np.zeros(self.chain, dtype=bool)
        touched[np.array([e for events in self._by_place.values() for e in events], dtype=np.intp)] = True
        spans = pd.DataFrame({"start": start, "end": np.where(same, start + 1, -1), "chance": 1.0, "life": np.nan})
        return spans[~touched]


@dataclass
class _Group:
    """Positions of one vehicle that open lines connect, and those lines with their options."""

    vehicle: int
    places: tuple[tuple[int, str], ...]
    lines: dict[int, tuple[tuple[str, ...], ...]]


def _connected(lines: pd.DataFrame) -> list[_Group]:
    """Groups of positions that share open lines."""
    options: dict[int, dict[int, list[str]]] = {}
    vehicles: dict[int, int] = {}
    for row in frame_rows(lines[["vehicle", "line", "option", "position"]]):
        options.setdefault(row.line, {}).setdefault(row.option, []).append(row.position)
        vehicles[row.line] = row.vehicle
    groups: dict[int, list[tuple[set[str], list[int]]]] = {}
    for line, ways in options.items():
        touched = {position for positions in ways.values() for position in positions}
        mine = groups.setdefault(vehicles[line], [])
        joined = [group for group in mine if group[0] & touched]
        merged = (touched.union(*(g[0] for g in joined)), [line, *(i for g in joined for i in g[1])])
        groups[vehicles[line]] = [group for group in mine if group not in joined] + [merged]
    return [
        _Group(
            vehicle,
            tuple((vehicle, position) for position in sorted(positions)),
            {line: tuple(tuple(way) for way in options[line].values()) for line in sorted(members)},
        )
        for vehicle, mine in groups.items()
        for positions, members in mine
    ]


def _events_by_place(frame: pd.DataFrame, places: set[tuple[int, str]]) -> dict[tuple[int, str], list[int]]:
    """Rows of the events of some positions, in order."""
    found: dict[tuple[int, str], list[int]] = {place: [] for place in places}
    mine = frame[frame["vehicle"].isin({vehicle for vehicle, _ in places})]
    for event, vehicle, position in zip(mine.index, mine["vehicle"], mine["position"], strict=True):
        if (vehicle, position) in found:
            found[(vehicle, position)].append(event)
    return found

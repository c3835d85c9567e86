"""When parts are renewed because another part of their vehicle was, in each draw."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.renewal_paths import KINDS, CompanionTimes, Events
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts

__all__ = ["Renewed", "drawn_companions"]

Array = NDArray[Any]
_BESIDE, _ALONG = KINDS.index("beside"), KINDS.index("along")


@dataclass(frozen=True)
class Renewed:
    """Drawn renewals of one component.

    Parameters
    ----------
    parts : FittedParts
        Its parts.
    events : Events
        Their renewals.
    """

    parts: FittedParts
    events: Events


def drawn_companions(
    shares: Mapping[str, tuple[float, float]],
    leads: Mapping[str, Renewed],
    *,
    component: str,
    parts: FittedParts,
    usage: Usage,
    factors: Array,
    rng: np.random.Generator,
) -> CompanionTimes:
    """Renewals that those of other parts bring.

    Parameters
    ----------
    shares : mapping of str to tuple of float
        By component of the lead: chance that its renewal brings one beside it, and one along with it.
    leads : mapping of str to Renewed
        Renewals of the leads.
    component : str
        Whose renewals are drawn.
    parts : FittedParts
        Its parts.
    usage : Usage
        Expected running, on the component's clock.
    factors : ndarray, shape (n_draws,)
        Drawn usage factor on that clock.
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    CompanionTimes
        On the vehicle of the lead, of the same part of the driveline (`rear`, `left`) where it has such a part.
    """
    near = _Near(parts)
    starts = np.concatenate([[0.0], np.cumsum(usage.days)])
    cumulative = np.concatenate([np.zeros((len(usage.distance), 1)), np.cumsum(usage.distance, axis=1)], axis=1)
    found: list[tuple[Array, ...]] = []
    for lead, (beside, along) in shares.items():
        if lead not in leads or not beside + along > 0.0:
            continue
        renewed, events = leads[lead], leads[lead].events
        # Parts that came with others bring none themselves.
        caused = np.flatnonzero((events.kind != _BESIDE) & (events.kind != _ALONG))
        chance = rng.random(len(caused))
        caused, chance = caused[chance < beside + along], chance[chance < beside + along]
        itself = events.part[caused] if lead == component else None
        part = near.picked(renewed.parts, events.part[caused], rng, itself=itself)
        there = part >= 0
        caused, part, kind = caused[there], part[there], np.where(chance[there] < along, _ALONG, _BESIDE)
        month, vehicle = events.month[caused], parts.frame["vehicle"].to_numpy(dtype=np.intp)[part]
        within = (events.day[caused] - starts[month]) / np.maximum(usage.days[month], 1e-300)
        run = cumulative[vehicle, month] + within * usage.distance[vehicle, month]
        found.append((part, events.draw[caused], run * factors[events.draw[caused]], kind))
    if not found:
        return CompanionTimes.of(np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0), np.zeros(0, np.intp), draws=1)
    part, draw, run, kind = (np.concatenate(columns) for columns in zip(*found, strict=True))
    return CompanionTimes.of(part, draw, run, kind, draws=len(factors))


class _Near:
    """Parts of one component by vehicle and part of the driveline."""

    def __init__(self, parts: FittedParts) -> None:
        self.names = {name: index for index, name in enumerate(sorted(set(_lines(parts))))}
        self.width = len(self.names) + 1
        code = self._codes(parts, np.arange(len(parts.frame)))
        self.order = np.argsort(code, kind="stable")
        self.code = code[self.order]

    def _codes(self, parts: FittedParts, rows: Array) -> Array:
        """One number for a vehicle and a part of the driveline; the last of a vehicle for one not known here."""
        names = np.array([self.names.get(name, self.width - 1) for name in _lines(parts)], dtype=np.intp)
        return parts.frame["vehicle"].to_numpy(dtype=np.intp)[rows] * self.width + names[rows]

    def picked(self, leads: FittedParts, rows: Array, rng: np.random.Generator, *, itself: Array | None) -> Array:
        """A part near each lead, another one than `itself`; -1 where the vehicle has none."""
        code = self._codes(leads, rows)
        low, high = np.searchsorted(self.code, code), np.searchsorted(self.code, code, side="right")
        others = high - low - (0 if itself is None else 1)
        vehicle = code // self.width * self.width
        wide = others < 1
        low = np.where(wide, np.searchsorted(self.code, vehicle), low)
        high = np.where(wide, np.searchsorted(self.code, vehicle + self.width), high)
        count = high - low
        place = low + np.minimum((rng.random(len(rows)) * count).astype(np.intp), count - 1)
        part = self.order[np.clip(place, 0, len(self.order) - 1)]
        if itself is not None:
            following = np.where(place + 1 < high, place + 1, low)
            part = np.where(part == itself, self.order[np.clip(following, 0, len(self.order) - 1)], part)
            count = count - 1
        return np.where(count > 0, part, -1)


def _lines(parts: FittedParts) -> list[str]:
    """The part of the driveline that each position is of: what stands before the dot."""
    return [str(position).partition(".")[0] for position in parts.frame["position"]]

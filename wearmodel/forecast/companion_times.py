"""When parts are renewed because another part of their vehicle was, in each draw."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.other_renewals import CompanionTimes
from wearmodel.forecast.renewal_paths import KINDS, Events
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts

__all__ = ["Places", "Renewed", "build_places", "drawn_companions"]

Array = NDArray[Any]
_BESIDE, _ALONG = KINDS.index("beside"), KINDS.index("along")


@dataclass(frozen=True)
class Places:
    """Where the parts of one component sit: their vehicle and the part of its driveline.

    Parameters
    ----------
    code : ndarray of int, shape (n_parts,)
        Number of the vehicle times `width`, plus that of the part of the driveline.
    order : ndarray of int, shape (n_parts,)
        Parts by code.
    width : int
        More than there are parts of a driveline.
    """

    code: Array
    order: Array
    width: int

    def picked(self, code: Array, rng: np.random.Generator, *, itself: Array | None) -> Array:
        """A part near each of some others.

        Parameters
        ----------
        code : ndarray of int, shape (n,)
            Places of the others.
        rng : numpy.random.Generator
            Source of randomness.
        itself : ndarray of int, shape (n,), optional
            The others, where they are parts of the same component: another one is meant.

        Returns
        -------
        ndarray of int, shape (n,)
            Of the same part of the driveline where it has such a part, else of the vehicle; -1 where that has none.
        """
        there = self.code[self.order]
        low, high = np.searchsorted(there, code), np.searchsorted(there, code, side="right")
        vehicle = code // self.width * self.width
        wide = high - low - (itself is not None) < 1
        low[wide] = np.searchsorted(there, vehicle[wide])
        high[wide] = np.searchsorted(there, vehicle[wide] + self.width)
        count = high - low
        place = low + np.minimum((rng.random(len(code)) * count).astype(np.intp), count - 1)
        part = self.order[np.clip(place, 0, len(there) - 1)]
        if itself is not None:
            following = np.where(place + 1 < high, place + 1, low)
            part = np.where(part == itself, self.order[np.clip(following, 0, len(there) - 1)], part)
            count = count - 1
        return np.where(count > 0, part, -1)


def build_places(fitted: Mapping[str, FittedParts]) -> dict[str, Places]:
    """Places of the parts of all components.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code, their vehicles numbered alike.

    Returns
    -------
    dict of str to Places
        The part of the driveline is what stands before the dot of a position (`rear`, `left`).
    """
    lines = {
        code: [str(position).partition(".")[0] for position in parts.frame["position"]]
        for code, parts in fitted.items()
    }
    numbers = {name: index for index, name in enumerate(sorted({name for names in lines.values() for name in names}))}
    width = len(numbers) + 1
    out = {}
    for component, parts in fitted.items():
        code = parts.frame["vehicle"].to_numpy(dtype=np.intp) * width
        code = code + np.array([numbers[name] for name in lines[component]], dtype=np.intp)
        out[component] = Places(code, np.argsort(code, kind="stable"), width)
    return out


@dataclass(frozen=True)
class Renewed:
    """Drawn renewals of one component.

    Parameters
    ----------
    places : Places
        Where its parts sit.
    events : Events
        Their renewals.
    """

    places: Places
    events: Events


def drawn_companions(
    shares: Mapping[str, tuple[float, float]],
    leads: Mapping[str, Renewed],
    *,
    component: str,
    places: Places,
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
    places : Places
        Where its parts sit.
    usage : Usage
        Expected running, on the component's clock.
    factors : ndarray, shape (n_draws,)
        Drawn usage factor on that clock.
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    CompanionTimes
        On the vehicle of the lead.
    """
    cumulative, starts = usage.cumulative, usage.starts
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
        part = places.picked(renewed.places.code[events.part[caused]], rng, itself=itself)
        there = part >= 0
        caused, part, kind = caused[there], part[there], np.where(chance[there] < along, _ALONG, _BESIDE)
        month, vehicle = events.month[caused], places.code[part] // places.width
        within = (events.day[caused] - starts[month]) / np.maximum(usage.days[month], 1e-300)
        run = cumulative[vehicle, month] - usage.distance[vehicle, month] * (1.0 - within)
        found.append((part, events.draw[caused], run * factors[events.draw[caused]], kind))
    nothing = np.zeros(0, dtype=np.intp)
    columns = zip(*found, strict=True) if found else [(nothing,)] * 4
    part, draw, run, kind = (np.concatenate(column) for column in columns)
    return CompanionTimes.of(part, draw, run, kind, draws=len(factors))

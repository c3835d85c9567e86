"""All ways to spread a fleet's open lines: followed one by one where they can be, drawn where they are too many."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.history.drawn_paths import KEPT_STATES, ROUGH_STATES, LargeTimeline, draw_paths
from wearmodel.history.open_positions import Paths, Timeline, TooManyPathsError, build_paths, path_chances

__all__ = ["SEED", "OpenPaths", "build_open_paths"]

Array = NDArray[Any]
#: Timelines drawn together: the passes over them run side by side, and need memory for no more at a time.
_TOGETHER = 50
#: Of the draws: the same record gives the same chances.
SEED = 1


@dataclass(frozen=True)
class OpenPaths:
    """Ways to spread the open lines of a fleet.

    Parameters
    ----------
    exact : Paths
        Of the timelines all whose states are followed.
    large : tuple of LargeTimeline
        The timelines whose states are drawn.
    drawn : tuple of Paths
        Their paths, some timelines in each.
    """

    exact: Paths
    large: tuple[LargeTimeline, ...]
    drawn: tuple[Paths, ...]

    @property
    def lives(self) -> tuple[tuple[int, int], ...]:
        """Lives of all timelines, those followed in full first."""
        return tuple(pair for paths in (self.exact, *self.drawn) for pair in paths.lives)

    def chances(self, log_likelihood: ArrayLike) -> Array:
        """Chance that each life is true.

        Parameters
        ----------
        log_likelihood : array_like, shape (n_lives,)
            Of each life of `lives`.

        Returns
        -------
        ndarray, shape (n_lives,)
            0 to 1; 0 for a life on no path that was drawn. The lives of one position at one moment sum to 1.
        """
        parts = (self.exact, *self.drawn)
        cuts = np.cumsum([len(paths.lives) for paths in parts])[:-1]
        each = np.split(np.asarray(log_likelihood, dtype=float), cuts)
        return np.concatenate([path_chances(paths, likely) for paths, likely in zip(parts, each, strict=True)])

    def redrawn(self, log_likelihood: ArrayLike, *, states: int = KEPT_STATES) -> "OpenPaths":
        """The same with states drawn anew, by other likelihoods.

        Parameters
        ----------
        log_likelihood : array_like, shape (n_lives,)
            Of each life of `lives`.
        states : int
            Kept at any one moment, at least 1.

        Returns
        -------
        OpenPaths
            Itself where nothing is drawn, or nothing that was drawn leads to the end.
        """
        if not self.large:
            return self
        of_large = np.asarray(log_likelihood, dtype=float)[len(self.exact.lives) :]
        try:
            return replace(self, drawn=_drawn(self.large, of_large, states))
        except TooManyPathsError:
            return self


def _drawn(large: Sequence[LargeTimeline], log_likelihood: Array, states: int) -> tuple[Paths, ...]:
    """Paths of large timelines, some of them together."""
    each = np.split(log_likelihood, np.cumsum([len(timeline.lives) for timeline in large])[:-1])
    return tuple(
        draw_paths(large[i : i + _TOGETHER], each[i : i + _TOGETHER], seed=SEED, states=states)
        for i in range(0, len(large), _TOGETHER)
    )


def build_open_paths(
    timelines: Sequence[Timeline], large: Sequence[LargeTimeline], *, days: ArrayLike
) -> OpenPaths:
    """Ways to spread the open lines of several timelines.

    Parameters
    ----------
    timelines : sequence of Timeline
        To be followed in full.
    large : sequence of LargeTimeline
        To be drawn: roughly at first, every reading counting for the same.
    days : array_like, shape (n_events,)
        Day of each event [d].

    Returns
    -------
    OpenPaths
        Ready for chances.

    Raises
    ------
    TooManyPathsError
        A timeline has no path, or too many to be followed in full.
    """
    none = np.zeros(sum(len(timeline.lives) for timeline in large))
    drawn = _drawn(large, none, ROUGH_STATES) if large else ()
    return OpenPaths(build_paths(timelines, days=days), tuple(large), drawn)

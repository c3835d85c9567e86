"""Lines on greasing: they renew nothing, but tell how a vehicle is looked after."""

from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.driveline.layouts import GREASED_FOR_LIFE
from wearmodel.intake.words.part_places import fitting_positions
from wearmodel.intake.words.wordings import Wording

__all__ = ["build_greasings", "greased_positions"]

_ROUTINE = frozenset({"", "planned"})


def greased_positions(
    words: Wording, *, component: str, position: str, positions: Mapping[str, str]
) -> tuple[str, ...]:
    """Positions of a vehicle that a line greased as a matter of routine.

    Parameters
    ----------
    words : Wording
        What its text means.
    component, position : str
        What its columns say; empty where they say nothing.
    positions : mapping of str to str
        Of the vehicle: position -> component.

    Returns
    -------
    tuple of str
        In the order of the layout; all positions of the parts named where no place is. None where a fault is told of
        the part: what was greased because it squeaked was not greased by routine.
    """
    if not words.is_greasing:
        return ()
    able = {place: code for place, code in positions.items() if code not in GREASED_FOR_LIFE}
    parts = [part for part in words.named if part.is_greased]
    if not parts:
        return _without_part(words, component, position, able)
    found: set[str] = set()
    for part in parts:
        if _ROUTINE.issuperset(part.hints):
            options = {component} if component in part.options else part.options
            found.update(_at(part.places or words.place_sets, (p for p, code in able.items() if code in options)))
    if position in found:
        return (position,)
    return tuple(place for place in able if place in found)


def _without_part(words: Wording, component: str, position: str, able: Mapping[str, str]) -> tuple[str, ...]:
    """Positions of a line whose text names none of the parts it greased: its columns tell, or a whole shaft."""
    if words.deed != "tended" or not _ROUTINE.issuperset(words.reasons) or words.named:
        return ()
    if position:
        return (position,) if position in able else ()
    if component or words.names_shaft:
        fits = [place for place, code in able.items() if component in ("", code)]
        return tuple(_at(words.place_sets, fits))
    return ()


def _at(places: tuple[frozenset[str], ...], candidates: Iterable[str]) -> list[str]:
    """Candidates that fit one of the places, all of them where no place fits any."""
    fits = list(candidates)
    found = {position for one in places for position in fitting_positions(one, candidates=fits)}
    return [position for position in fits if position in found] or fits


def build_greasings(
    wordings: Mapping[int, Wording],
    *,
    numbers: npt.NDArray[np.object_],
    components: npt.NDArray[np.object_],
    positions: npt.NDArray[np.object_],
    drivelines: npt.NDArray[np.object_],
    layouts: Mapping[str, Mapping[str, str]],
    used: npt.NDArray[np.bool_],
) -> pd.DataFrame:
    """Positions that lines greased.

    Parameters
    ----------
    wordings : mapping of int to Wording
        What texts mean, by number.
    numbers, components, positions, drivelines : ndarray, shape (n_lines,)
        Number of each line's wording, its codes (empty where blank), and its vehicle's driveline.
    layouts : mapping
        Driveline -> {position: component}.
    used : ndarray of bool, shape (n_lines,)
        Lines of a known vehicle that stand for themselves.

    Returns
    -------
    pandas.DataFrame
        Columns `place` (row of the line) and `position`, one row a position.
    """
    greasing = {number for number, words in wordings.items() if words.is_greasing}
    rows: list[tuple[int, str]] = []
    for place in np.flatnonzero(used & np.isin(numbers.astype(int), list(greasing))).tolist():
        layout = layouts.get(drivelines[place], {})
        told = greased_positions(
            wordings[numbers[place]],
            component=str(components[place]),
            position=str(positions[place]) if positions[place] in layout else "",
            positions=layout,
        )
        rows += [(place, position) for position in told]
    return pd.DataFrame(rows, columns=["place", "position"])

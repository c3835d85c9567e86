"""Which part number will be taken for the next replacement."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.intake.part_groups import part_groups

__all__ = ["PartChoice", "build_part_choice"]

Array = NDArray[Any]


@dataclass(frozen=True)
class PartChoice:
    """Shares of part numbers by component and vehicle class.

    Parameters
    ----------
    numbers : tuple of str
        Part numbers; `""` stands for a part no catalogue number is known for.
    shares : mapping of (component, vehicle class) to ndarray, shape (n_numbers,)
        Probabilities.
    """

    numbers: tuple[str, ...]
    shares: dict[tuple[str, str], Array]

    def draw(self, component: str, vehicle_class: Array, names: Sequence[str], rng: np.random.Generator) -> Array:
        """Part number index for each replacement.

        Parameters
        ----------
        component : str
            Component code.
        vehicle_class : ndarray of int, shape (n,)
            Class of the vehicle: place among the names.
        names : sequence of str
            Of the classes.
        rng : numpy.random.Generator
            Source of randomness.

        Returns
        -------
        ndarray of int, shape (n,)
            Index into `numbers`.
        """
        out = np.zeros(len(vehicle_class), dtype=np.intp)
        for code in pd.unique(vehicle_class):
            at = np.flatnonzero(vehicle_class == code)
            share = np.cumsum(self.shares[component, names[code]])
            out[at] = np.searchsorted(share, rng.random(len(at)), side="right")
        return np.minimum(out, len(self.numbers) - 1)


def build_part_choice(
    components: list[str], *, classes: list[str], own_lines: pd.DataFrame, parts: pd.DataFrame
) -> PartChoice:
    """Shares from what was taken before, moved to the present part numbers.

    Parameters
    ----------
    components, classes : list of str
        Codes and vehicle classes.
    own_lines : pandas.DataFrame
        Renewals for which a part was taken: `component, vehicle_class, part_number`.
    parts : pandas.DataFrame
        Catalogue.

    Returns
    -------
    PartChoice
        By component and class; a class without a past takes the component's; a component without a
        past takes the catalogue's numbers for it in equal shares; none at all: no number.
    """
    current = part_groups(parts)
    numbers = tuple(sorted({*current.values(), ""}))
    index = pd.Index(numbers)
    used = own_lines.assign(number=own_lines["part_number"].map(current)).dropna(subset=["number"])
    catalogue = parts[parts["part_number"].map(current) == parts["part_number"]]
    shares = {}
    for component in components:
        mine = used[used["component"] == component]
        listed = catalogue[catalogue["component"] == component]
        for vehicle_class in classes:
            fits = listed[listed["vehicle_class"].isin([vehicle_class, "", "all"])]
            chosen = mine[mine["vehicle_class"] == vehicle_class]["number"]
            for fallback in (fits["part_number"], mine["number"], listed["part_number"]):
                chosen = chosen if len(chosen) else fallback
            counts = np.bincount(index.get_indexer(pd.Index(chosen)), minlength=len(numbers)).astype(float)
            if counts.sum() == 0:
                counts[0] = 1.0
            shares[component, vehicle_class] = counts / counts.sum()
    return PartChoice(numbers, shares)

"""A part that words name, on one vehicle: which component it is there, and in which positions."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf, isfinite, isinf, isnan

from wearmodel.intake.part_places import fitting_positions
from wearmodel.intake.repair_text import NamedPart

__all__ = ["Resolution", "Spot", "resolved", "spots"]


@dataclass(frozen=True)
class Resolution:
    """A part that words name, on one vehicle.

    Parameters
    ----------
    components : tuple of (str, tuple of frozenset of str)
        Components it certainly is, each with the words of place that go with it.
    quantity : float
        How many of each; NaN where it is not said, infinite for all there are.
    options : tuple of str
        Components it could be, where it is not certain; empty where the vehicle has none of them.
    """

    components: tuple[tuple[str, tuple[frozenset[str], ...]], ...]
    quantity: float
    options: tuple[str, ...] = ()


@dataclass(frozen=True)
class Spot:
    """One renewed part on a vehicle.

    Parameters
    ----------
    position : str
        Where; empty where several positions are possible.
    candidates : tuple of str
        Those positions.
    quantity : float
        How many were renewed there.
    """

    position: str
    candidates: tuple[str, ...] = ()
    quantity: float = 1.0


def resolved(
    part: NamedPart, *, positions: Mapping[str, str], evidence: frozenset[str] = frozenset()
) -> Resolution:
    """Which components of a vehicle's driveline a part is, or could be.

    Parameters
    ----------
    part : NamedPart
        As the words name it.
    positions : mapping of str to str
        Of the vehicle: position -> component.
    evidence : frozenset of str
        Components the symptoms point to; they decide between those that are left.

    Returns
    -------
    Resolution
        `inner and outer boot` is two components; `boot` could be one of two.
    """
    fits = [place for place, code in positions.items() if code in part.options]
    sets = part.places or (frozenset[str](),)
    each = [_codes(fitting_positions(places, candidates=fits) or fits, positions) for places in sets]
    if len(sets) > 1 and all(len(codes) == 1 for codes in each):
        found: dict[str, list[frozenset[str]]] = {}
        for codes, places in zip(each, sets, strict=True):
            found.setdefault(codes[0], []).append(places)
        known = tuple((code, tuple(of_code)) for code, of_code in found.items())
        return Resolution(known, part.quantity / len(known) if isfinite(part.quantity) else part.quantity)
    options = tuple(sorted({code for codes in each for code in codes}))
    if len(options) > 1 and len(evidence.intersection(options)) == 1:
        options = tuple(evidence.intersection(options))
    if len(options) == 1:
        return Resolution(((options[0], part.places),), part.quantity)
    left = fitting_positions(sets[0], candidates=fits) if len(sets) == 1 else tuple(fits)
    is_one_family = len({code.rpartition("_")[0] for code in options}) == 1
    if options and is_one_family and (isinf(part.quantity) or part.quantity == len(left)):
        return Resolution(tuple((code, part.places) for code in options), inf)
    return Resolution((), part.quantity, options)


def _codes(places: Iterable[str], positions: Mapping[str, str]) -> list[str]:
    return list(dict.fromkeys(positions[place] for place in places))


def spots(
    places: tuple[frozenset[str], ...], *, component: str, positions: Mapping[str, str], quantity: float
) -> tuple[Spot, ...]:
    """Where parts of one component were renewed.

    Parameters
    ----------
    places : tuple of frozenset of str
        One set of words of place a part; empty where none is said.
    component : str
        Component.
    positions : mapping of str to str
        Of the vehicle: position -> component.
    quantity : float
        How many parts; NaN where it is not said, infinite for all there are.

    Returns
    -------
    tuple of Spot
        One for each position that is certain, or a single one with its candidates.
    """
    fits = tuple(place for place, code in positions.items() if code == component)
    each = [fitting_positions(one, candidates=fits) or fits for one in places] or [fits]
    union = tuple(place for place in fits if any(place in found for found in each))
    if len(each) > 1 and all(len(found) == 1 for found in each) and len(union) == len(each):
        count = quantity if isfinite(quantity) and quantity > len(union) else float(len(union))
        return tuple(Spot(place, quantity=count / len(union)) for place in union)
    if len(union) == 1:
        return (Spot(union[0], quantity=quantity if isfinite(quantity) else 1.0),)
    if isinf(quantity) or (not isnan(quantity) and quantity >= len(union)):
        count = quantity if isfinite(quantity) else float(len(union))
        return tuple(Spot(place, quantity=count / len(union)) for place in union)
    count = quantity if isfinite(quantity) else float(max(len(places), 1))
    return (Spot("", union, min(count, float(len(union)))),)

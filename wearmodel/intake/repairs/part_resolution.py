"""A part that words name, on one vehicle: which component it is there, and in which positions."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite, isinf, isnan

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.words.part_places import fitting_positions
from wearmodel.intake.words.place_words import DIMENSIONS
from wearmodel.intake.words.wordings import NamedPart, Wording

__all__ = ["Resolution", "Spot", "resolved", "shaft_parts", "spots", "surely_named"]


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

    def could_mean(self, part: NamedPart, *, driveline: str) -> str:
        """Why a part in words is no one component of a vehicle.

        Parameters
        ----------
        part : NamedPart
            The part in words.
        driveline : str
            Of the vehicle.
        """
        if self.options:
            return f"could mean {' or '.join(self.options)}"
        return f"names a {' or '.join(sorted(part.options))}, which {driveline} does not have"


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


def surely_named(
    parts: Sequence[NamedPart], *, positions: Mapping[str, str], evidence: frozenset[str] = frozenset()
) -> tuple[str, ...]:
    """The components of several parts, one a part; empty where they are fewer than two, or one is not certain.

    Parameters
    ----------
    parts : sequence of NamedPart
        As the words name them.
    positions, evidence
        As for `resolved`.
    """
    found = [resolved(part, positions=positions, evidence=evidence).components for part in parts]
    codes = tuple(code for components in found for code, _ in components)
    is_sure = all(found) and all(part.is_sure for part in parts)
    return codes if len(parts) > 1 and is_sure and len(codes) > 1 else ()


def _codes(places: Iterable[str], positions: Mapping[str, str]) -> list[str]:
    return list(dict.fromkeys(positions[place] for place in places))


def shaft_parts(
    words: Wording, *, positions: Mapping[str, str], is_half: bool = False
) -> tuple[tuple[str, NamedPart], ...]:
    """The parts that came with a shaft renewed whole.

    Parameters
    ----------
    words : Wording
        Of a line.
    positions : mapping of str to str
        Of the vehicle: position -> component.
    is_half : bool
        Whether the shop has another name for a propeller shaft.

    Returns
    -------
    tuple of (str, NamedPart)
        Component and part of the words, first the one that was blamed with the reason of the line; the others came
        with it. Without blame it is the outboard joint, or the first of a propeller shaft. Empty where no shaft was
        renewed, or it cannot be told which.
    """
    shaft, held = words.shaft, set(positions.values())
    if shaft is None or words.deed != "renewed":
        return ()
    if "u_joint" in shaft.options:
        return _propeller_parts(words, shaft, positions)
    if not shaft.options <= held:
        return ()
    places = {place for one in shaft.places for place in one}
    has_side = not places.isdisjoint(("left", "right", "driver", "passenger"))
    is_told = is_half or has_side or shaft.is_sure or bool(words.evidence & shaft.options)
    may_be_propeller = "u_joint" in held and not is_told
    if may_be_propeller or "rear_line" in places:
        return ()
    alike = replace(shaft, places=_without_ends(shaft.places))
    parts = [(code, replace(alike, options=frozenset({code}))) for code in COMPONENTS if code in shaft.options]
    told = [part for part in words.named if part.deed != "tended"]
    blamed = [code for part in told for code, _ in resolved(part, positions=positions).components]
    first = {n for n, (code, _) in enumerate(parts) if code in blamed}
    return _with_reasons(parts, first or {n for n, (code, _) in enumerate(parts) if code == "cv_joint_outboard"}, words)


def _without_ends(places: tuple[frozenset[str], ...]) -> tuple[frozenset[str], ...]:
    """The places of a whole shaft: the end of it that failed is none of them."""
    kept = (frozenset(place for place in one if DIMENSIONS.get(place) != "end") for one in places)
    return tuple(dict.fromkeys(one for one in kept if one))


def _propeller_parts(
    words: Wording, shaft: NamedPart, positions: Mapping[str, str]
) -> tuple[tuple[str, NamedPart], ...]:
    """Every joint and bearing of a propeller shaft, where it is clear which."""
    joints = {place for place, code in positions.items() if code == "u_joint"}
    told = {place for one in shaft.places for place in one} & {"front_line", "rear_line"}
    lines = {place.partition(".")[0] for place in joints} & {"front", "rear"}
    lines = {line for line in lines if f"{line}_line" in told} if told else lines
    places = {place for one in shaft.places for place in one}
    if len(lines) != 1 or places & {"front_section", "rear_section"}:
        return ()
    line = next(iter(lines))
    on_line = [(place, code) for place, code in positions.items() if place.startswith(f"{line}.")]
    held = [(place, code) for place, code in on_line if code in shaft.options]
    alike = replace(shaft, quantity=1.0)
    parts = [(code, replace(alike, options=frozenset({code}), places=(_words_of(place),))) for place, code in held]
    first: set[int] = set()
    for part in words.named:
        fits = [place for place, code in held if code in part.options]
        left = fitting_positions(part.places[0], candidates=fits) if len(part.places) == 1 else fits
        if len(left) == 1:
            first |= {n for n, (place, _) in enumerate(held) if place == left[0]}
    return _with_reasons(parts, first or {0}, words)


def _words_of(position: str) -> frozenset[str]:
    """The words of place of a position: `rear.joint_front` is the front of the rear line."""
    line, _, rest = position.partition(".")
    end = rest.rpartition("_")[2]
    return frozenset({f"{line}_line", end} if end in DIMENSIONS else {f"{line}_line"})


def _with_reasons(
    parts: list[tuple[str, NamedPart]], blamed: set[int], words: Wording
) -> tuple[tuple[str, NamedPart], ...]:
    """The parts of a shaft, those that made it necessary before the others."""
    told = {code: named.reason for named in words.named for code in named.options}
    of_line = (words.shaft.reason if words.shaft is not None else "") or words.reason
    worst = [parts[n] for n in sorted(blamed)]
    first = [(code, replace(part, reason=told.get(code) or of_line)) for code, part in worst]
    rest = [(code, replace(part, reason=_of_rest(of_line))) for n, (code, part) in enumerate(parts) if n not in blamed]
    return (*first, *rest)


def _of_rest(reason: str) -> str:
    """Why the other parts of a shaft were renewed: they came with it, or one blow damaged all."""
    return reason if reason in ("damage", "") else "collateral"


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

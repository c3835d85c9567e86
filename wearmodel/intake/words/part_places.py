"""Words of place put together to the places of one part, and the positions of a vehicle they fit."""

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import product

from wearmodel.driveline.layouts import LAYOUTS
from wearmodel.intake.words.place_words import DIMENSIONS, side_of

__all__ = ["can_be_one", "fitting_positions", "named_position", "place_sets"]

_BOTH_SIDES = ("left", "right")
_BOTH = {"both_sides": ("side", *_BOTH_SIDES), "both_ends": ("end", "inboard", "outboard")}


def place_sets(runs: Iterable[Sequence[str]], *, steering_side: str) -> tuple[frozenset[str], ...]:
    """The places several words of place name, one set a place.

    Parameters
    ----------
    runs : iterable of sequence of str
        Words of place in their order, one run a clause.
    steering_side : str
        Side the driver sits on; empty where it is not known.

    Returns
    -------
    tuple of frozenset of str
        `left and right outer` names two places; what only one of them says holds for both.

    Examples
    --------
    >>> sorted(map(sorted, place_sets([["left"], ["right", "outboard"]], steering_side="")))
    [['left', 'outboard'], ['outboard', 'right']]
    """
    sets: list[dict[str, str]] = []
    for run in runs:
        _add_run(sets, [side_of(place, steering_side=steering_side) for place in run])
    _fill(sets)
    if {"driver", "passenger"} <= {s.get("side") for s in sets} and len(sets) == 2:
        # Whichever side the driver sits on, these are both.
        for one, side in zip(sets, _BOTH_SIDES, strict=True):
            one["side"] = side
    return tuple(dict.fromkeys(frozenset(s.values()) for s in sets if s))


def _add_run(sets: list[dict[str, str]], places: list[str]) -> None:
    """Add the places of one run: to the last set while they agree with it, else to a new one."""
    for place in places:
        if place in _BOTH:
            kind, one, other = _BOTH[place]
            sets += [{kind: other}] if sets else [{kind: one}, {kind: other}]
            if len(sets) > 1 and kind not in sets[-2]:
                sets[-2][kind] = one
            continue
        kind = DIMENSIONS.get(place, place)
        if not sets or sets[-1].get(kind, place) != place:
            sets.append({})
        sets[-1][kind] = place


def _fill(sets: list[dict[str, str]]) -> None:
    """Give every set what the others agree on; two kinds of places named apart are every pair of them."""
    kinds = {kind: list(dict.fromkeys(s[kind] for s in sets if kind in s)) for s in sets for kind in s}
    several = [kind for kind, places in kinds.items() if len(places) > 1]
    if len(several) > 1 and any(kind not in s for s in sets for kind in several):
        sets[:] = [dict(zip(kinds, pick, strict=True)) for pick in product(*kinds.values())]
    for kind, places in kinds.items():
        if len(places) == 1:
            for one in sets:
                one.setdefault(kind, places[0])


def fitting_positions(places: frozenset[str], *, candidates: Iterable[str]) -> tuple[str, ...]:
    """The positions words of place leave.

    Parameters
    ----------
    places : frozenset of str
        One of `place_sets`.
    candidates : iterable of str
        Positions the part could be in.

    Returns
    -------
    tuple of str
        In their order; empty where the words contradict each other. A word that fits no candidate at all is
        passed over.
    """
    every = list(candidates)
    if places & {*_BOTH_SIDES} and any(_has_side(position) for position in every):
        places = places - {"front_line"}  # `left front drive shaft` is no propeller shaft
    if places >= {"rear_line", "axle"}:
        places = places - {"axle"} | {"axle_end"}  # `rear shaft, axle joint`
    if places >= {"rear_section", "front"} or places >= {"front_section", "rear"}:
        places = places - {"rear_section", "front_section", "front", "rear"} | {"centre"}  # where both meet
    if numbered := _numbered(places, every):
        return numbered
    if _is_of_either_line(places, every):
        return ()
    left = every
    # The shaft line first: `front shaft, rear joint` is the rear joint of the front line.
    for place in sorted(places, key=_order):
        fits = {position for position in every if _is_at(place, position)}
        if DIMENSIONS.get(place) == "along" and all(_has_side(position) for position in left):
            # `right front axle joint`: the axle is at the front, not the joint at the front of it.
            fits = fits.intersection(left)
        if fits and not fits.intersection(left):
            return ()
        left = [p for p in left if p in fits] or left
    return tuple(left)


def _is_of_either_line(places: frozenset[str], candidates: Sequence[str]) -> bool:
    """`rear joint, transfer box end`: the rear one of the front shaft, or the one there of the rear shaft."""
    has_both = {"rear.joint_front", "front.joint_rear"} <= set(candidates)
    return has_both and places in (frozenset({"rear", "transfer_end"}), frozenset({"front", "transfer_end"}))


def _numbered(places: frozenset[str], candidates: Sequence[str]) -> tuple[str, ...]:
    """The joint that a number means, counted from the driving end of the rear line; nothing where it is not certain."""
    numbers = [int(place) for place in places if place.isdigit()]
    joints = [position for position in candidates if position.startswith("rear.joint_")]
    is_sole_line = "rear_line" in places or not any(position.startswith("front.") for position in candidates)
    if len(numbers) != 1 or places - {"rear_line"} != {str(numbers[0])} or not is_sole_line:
        return ()
    return tuple(joints[numbers[0] - 1 : numbers[0]])


def _order(place: str) -> int:
    """The shaft line first, the end of it last."""
    return 0 if place.endswith("_line") else 2 if DIMENSIONS.get(place) == "along" else 1


def _has_side(position: str) -> bool:
    return not {"left", "right"}.isdisjoint(position.partition(".")[0].split("_"))


def named_position(places: frozenset[str], *, candidates: Iterable[str]) -> str:
    """The only one of some positions that words of place leave.

    Parameters
    ----------
    places : frozenset of str
        Words of place that hold together.
    candidates : iterable of str
        Positions the part could be in.

    Returns
    -------
    str
        A position; empty where several are left or the words contradict each other.

    Examples
    --------
    >>> named_position(frozenset({"rear"}), candidates=["rear.joint_front", "rear.joint_rear"])
    'rear.joint_rear'
    """
    left = fitting_positions(places, candidates=candidates)
    return left[0] if len(left) == 1 else ""


# Ends of a shaft as they lie in the vehicle: the front line runs forward from the transfer box.
_DRIVING = ("rear.joint_front", "rear.joint_1", "front.joint_rear")
_DRIVEN = ("rear.joint_rear", "rear.joint_4", "front.joint_front")
_ENDS: Mapping[str, tuple[str, ...]] = {
    "drive_end": (*_DRIVING, "steering.joint_lower"),
    "transfer_end": _DRIVING,
    "diff_end": _DRIVEN,
    "axle_end": _DRIVEN,
    "bearing_end": ("rear.joint_centre", "rear.joint_2", "rear.joint_3"),
    "front_section": ("rear.joint_front", "rear.joint_centre", "rear.joint_1", "rear.joint_2"),
    "rear_section": ("rear.joint_centre", "rear.joint_rear", "rear.joint_3", "rear.joint_4"),
}


def _is_at(place: str, position: str) -> bool:
    """Whether a word of place fits a position."""
    line, _, rest = position.partition(".")
    if place.endswith("_line"):
        return line == place.removesuffix("_line")
    if place in _ENDS:
        return position in _ENDS[place] or (place in _INBOARD and rest.startswith("inboard"))
    if place == "axle" or (place == "outboard" and line.startswith("axle")):
        return line.startswith("axle")
    if place == "fr":
        # `front`, or front right: on parts that have a side it may be either.
        place = "front"
    if (place, rest) in (("front", "support_bearing_1"), ("rear", "support_bearing_2")):
        return True
    inner = set(rest.split("_")) & DIMENSIONS.keys()
    # The shaft line counts only where nothing else is named.
    outer = set(line.split("_")) & DIMENSIONS.keys() - ({"front", "rear", "axle"} if inner else set())
    return place in inner | outer


# On a half shaft these are the inboard end.
_INBOARD = frozenset({"drive_end", "diff_end"})
_EVERY_POSITION = tuple(dict.fromkeys(place for layout in LAYOUTS.values() for place in layout))


@lru_cache(maxsize=4096)
def can_be_one(places: frozenset[str], others: frozenset[str]) -> bool:
    """Whether two sets of words of place may mean one position of some vehicle.

    Parameters
    ----------
    places, others : frozenset of str
        Words of place; sides as `left` and `right`.

    Examples
    --------
    >>> can_be_one(frozenset({"rear"}), frozenset({"diff_end"})), can_be_one(frozenset({"left"}), frozenset({"right"}))
    (True, False)
    """
    mine = fitting_positions(places, candidates=_EVERY_POSITION)
    theirs = fitting_positions(others, candidates=_EVERY_POSITION)
    return not mine or not theirs or not set(mine).isdisjoint(theirs)

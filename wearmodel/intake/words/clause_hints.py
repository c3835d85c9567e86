"""What the hints of one clause come to when they are read together: faults denied, occasions, repeats."""

from itertools import pairwise

from wearmodel.intake.words.clause_items import Item

__all__ = ["settled"]

_HOPED_AWAY = frozenset({"failed", "noticed", "worn", "bad", "damage"})
_SOUGHT = _HOPED_AWAY | {"boot_open", "clunk", "click", "shudder"}
_REACH_OF_NOT = 3
_OCCASIONS = frozenset({"beside", "with", "blame"})
_LOOKS = frozenset({"look", "service"})
_PARTS = frozenset({"part", "head"})
_NAMES = frozenset({"part", "head", "modifier", "place"})
_AGAIN = frozenset({"failed", "noticed"})


def settled(items: list[Item]) -> list[Item]:
    """The items of a clause with its hints as they are meant.

    Parameters
    ----------
    items : list of Item
        Of one clause, in their order.

    Returns
    -------
    list of Item
        Faults that are denied become the deed `ok`, and what tells an occasion becomes a hint of it.
    """
    items = _without_aims(_without_hopes(items))
    if not any(item.kind in ("hint", "mark") for item in items):
        return items
    items = _with_finding(items)
    return _with_company(_with_repeats(_with_occasion(_without_sheets(items))))


def _without_aims(items: list[Item]) -> list[Item]:
    """`checked joint for play`: what was looked for was not found."""
    deeds = {item.meaning for item in items if item.kind == "deed"}
    if "looked" not in deeds or "renewed" in deeds:
        return items
    looked = next(item.start for item in items if item.meaning == "looked")
    ends = {item.end for item in items if (item.kind, item.meaning) == ("mark", "at") and item.start > looked}
    return [i for i in items if not (i.kind in ("hint", "symptom") and i.start in ends and i.meaning in _SOUGHT)]


def _without_hopes(items: list[Item]) -> list[Item]:
    """`no play` is no play: a fault denied becomes the deed `ok`."""
    kept: list[Item] = []
    denied_to = -1
    for item in items:
        if item.kind == "mark" and item.meaning == "not":
            denied_to = item.end + _REACH_OF_NOT
        is_fault = item.kind == "hint" and item.meaning in _HOPED_AWAY
        if item.start < denied_to and (is_fault or item.kind == "symptom"):
            kept.append(Item("deed", "ok", item.start, item.end))
        elif item.start < denied_to and item.kind == "deed" and item.meaning in ("ok", "renewed"):
            kept.append(Item("deed", "looked" if item.meaning == "ok" else "tended", item.start, item.end))
            denied_to = -1
        else:
            kept.append(item)
            if item.kind in ("part", "deed", "head", "foreign"):
                denied_to = -1
    return kept


def _without_sheets(items: list[Item]) -> list[Item]:
    """`inspection defect sheet`: a report that an inspection wrote tells of no driver's complaint."""
    hints = [item for item in items if item.kind == "hint"]
    of_look = {
        later.start
        for item, later in pairwise(hints)
        if item.meaning in _LOOKS and later.meaning == "in_use" and later.start == item.end
    }
    return [i for i in items if not (i.kind == "hint" and i.meaning == "in_use" and i.start in of_look)]


def _with_finding(items: list[Item]) -> list[Item]:
    """`found on inspection`: whatever is told of it was seen there."""
    ends = {item.end for item in items if item.kind == "mark" and item.meaning == "found"}
    seen = [i for i in items if i.kind == "hint" and i.meaning in _LOOKS and i.start in ends]
    return [*items, Item("hint", "seen", seen[0].start, seen[0].end)] if seen else items


def _with_occasion(items: list[Item]) -> list[Item]:
    """`while the gearbox was out` tells that the part was renewed for the occasion."""
    begun = next((i.start for i in items if i.kind == "mark" and i.meaning in _OCCASIONS), None)
    if begun is None or not any(i.kind == "mark" and i.meaning == "away" and i.start > begun for i in items):
        return items
    return [*items, Item("hint", "collateral", items[-1].end, items[-1].end)]


def _with_repeats(items: list[Item]) -> list[Item]:
    """`failed again`, `renewed again`: the last repair did not hold."""
    again = [item for item in items if item.kind == "mark" and item.meaning == "again"]
    if not again:
        return items
    told = [
        i for i in items
        if (i.kind == "deed" and i.meaning == "renewed") or (i.kind == "hint" and i.meaning in _AGAIN)
    ]  # fmt: skip
    if any(_is_near(mark, item, items) for mark in again for item in told):
        return [*items, Item("hint", "comeback", items[-1].end, items[-1].end)]
    return items


def _is_near(one: Item, other: Item, items: list[Item]) -> bool:
    """Whether nothing but a part stands between: `replaced bearing again`."""
    start, end = min(one.end, other.end), max(one.start, other.start)
    return all(i.kind in _NAMES for i in items if start <= i.start < end and i not in (one, other))


def _with_company(items: list[Item]) -> list[Item]:
    """`boot renewed together with joint`: the other part was the occasion, unless more is said."""
    named = next((i.start for i in items if i.kind in _PARTS), None)
    done = next((i.start for i in items if i.kind == "deed" and i.meaning == "renewed"), None)
    others = [i.start for i in items if i.kind == "foreign"]
    told = [
        i.start for i in items
        if i.kind == "mark" and i.meaning == "with" and (i.end - i.start > 1 or any(i.end == start for start in others))
    ]  # fmt: skip
    if named is None or done is None or not told or not named < done <= told[0]:
        return items
    return [*items, Item("hint", "also", items[-1].end, items[-1].end)]

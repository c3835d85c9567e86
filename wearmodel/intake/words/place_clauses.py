"""Words of place put to the part they tell of, over the commas and dashes of a line.

`U-joint, rear shaft, axle end` is one part and where it sits. A shaft named there is no part that was worked on.
"""

from collections.abc import Sequence

from wearmodel.intake.words.clause_items import Item
from wearmodel.intake.words.line_clauses import Clause
from wearmodel.intake.words.place_words import DIMENSIONS

__all__ = ["ends_with_part", "with_places_joined"]

_JOINS = frozenset({",", "-", ":", "/"})
_LISTS = frozenset({"and", "/"})
_PLACING = frozenset({"place", "modifier", "number"})
_NAMING = frozenset({"part", "head"})
_ELSEWHERE = frozenset({"part", "head", "accessory", "foreign", "neighbour"})
_OTHER_DEEDS = frozenset({"opened", "looked", "ok", "tended", "later", "needed"})
_BAD = frozenset({"worn", "failed"})
_ENDS_OF_LINE = frozenset({"front", "rear"})


def with_places_joined(clauses: Sequence[Clause]) -> list[Clause]:
    """Clauses that only place a part put to the clause that names it.

    Parameters
    ----------
    clauses : sequence of Clause
        Of a line.

    Returns
    -------
    list of Clause
        Fewer, with the same items.
    """
    joined: list[Clause] = []
    for clause in clauses:
        _neighbours_as_ends(clause, joined[-1] if joined else None)
        _settle_beside(clause, joined[-1] if joined else None)
        last = joined[-1] if joined else None
        if last is not None and clause.before in _JOINS and _tells_where(clause, last):
            _read_line(last, clause)
            last.items += clause.items
        elif last is not None and _goes_on(last, clause):
            last.items += clause.items
        else:
            joined.append(clause)
    for clause in joined:
        _lines_within(clause)
    return joined


def _neighbours_as_ends(clause: Clause, last: Clause | None) -> None:
    """`universal joint, diff worn` is the joint at the diff."""
    places = clause.of("place")
    clause.items = [
        i for i in clause.items
        if i.kind != "neighbour" or not any(i.start < p.start < i.end < p.end for p in places)
    ]  # fmt: skip
    for number, item in enumerate(clause.items):
        if item.kind != "neighbour" or not item.meaning:
            continue
        before = clause.items[number - 1] if number else _last_of(last, clause)
        after = clause.items[number + 1 :]
        is_free = not after or after[0].kind in ("hint", "symptom")
        is_joint = before is not None and before.meaning == "u_joint" and is_free
        is_shaft = number and _is_end_of_joint(clause, number, last) and (is_free or after[0].kind == "deed")
        if before is not None and item.start - before.end <= 1 and (is_joint or is_shaft):
            clause.items[number] = Item("place", item.meaning, item.start, item.end)


def _last_of(last: Clause | None, clause: Clause) -> Item | None:
    """What a clause goes on from: it follows a comma, or is nothing but one word between dashes or strokes."""
    goes_on = clause.before == "," or (clause.before in _JOINS and len(clause.items) == 1)
    return last.items[-1] if last is not None and goes_on else None


def _is_end_of_joint(clause: Clause, number: int, last: Clause | None) -> bool:
    """`universal joint, rear shaft diff`: whether what lies beside a shaft follows the shaft of a joint."""
    before = clause.items[:number]
    is_shaft = before[-1].kind == "modifier" or DIMENSIONS.get(before[-1].meaning) == "line"
    named = [item for item in before if item.kind in _ELSEWHERE]
    if not named and last is not None and clause.before in _JOINS and all(_is_placing(i, clause) for i in before):
        named = [item for item in last.items if item.kind in _ELSEWHERE]
    return is_shaft and bool(named) and named[-1].meaning == "u_joint"


def _settle_beside(clause: Clause, last: Clause | None) -> None:
    """`joint at carrier bearing` is a joint; `noise at carrier bearing` may be the bearing."""
    _settle_near(clause, last)
    beside = {item.start for item in clause.items if item.kind == "place" and item.meaning == "bearing_end"}
    if not beside:
        return
    spans = [(i.start, i.end) for i in clause.items if i.kind == "place" and i.meaning == "bearing_end"]
    clause.items = [
        i for i in clause.items
        if i.kind not in _NAMING or not any(i.start < start < i.end for start, _ in spans)
    ]  # fmt: skip
    within = [item for item in clause.items if item.start in beside and item.kind in _NAMING]
    if not within:
        return
    joints = [i for i in clause.items if i.kind in _NAMING and "joint" in i.meaning and i not in within]
    if not joints and last is not None and clause.before in _JOINS:
        joints = [i for i in last.items[-1:] if i.kind in _NAMING and "joint" in i.meaning]
    dropped = ("part", "head") if joints else ("place",)
    clause.items = [i for i in clause.items if not (i.start in beside and i.kind in dropped)]


def _settle_near(clause: Clause, last: Clause | None) -> None:
    """`joint, shaft near centre bearing` is a place; `noise near centre bearing` may be the bearing."""
    for place in clause.of("place"):
        if place.meaning != "near_bearing":
            continue
        before = [*(last.items[-1:] if last is not None and clause.before in _JOINS else []), *clause.items]
        is_of_shaft = any(i.kind == "modifier" and i.end == place.start for i in clause.items)
        is_place = is_of_shaft or any(
            i.kind in _NAMING and "joint" in i.meaning and i.end <= place.start for i in before
        )
        clause.items.remove(place)
        if is_place:
            clause.items = [i for i in clause.items if not (place.start <= i.start < place.end and i.kind in _NAMING)]
            clause.items.append(Item("place", "bearing_end", place.start, place.end))
        else:
            clause.items.append(Item("mark", "blame", place.start, place.start))
        clause.items.sort(key=lambda item: item.start)


def _lead(clause: Clause) -> list[Item]:
    """The words of place and of shafts a clause begins with."""
    lead: list[Item] = []
    for item in clause.items:
        if not _is_placing(item, clause):
            break
        lead.append(item)
    return lead


def _is_placing(item: Item, clause: Clause) -> bool:
    """Whether an item tells a place, or whose part it is; a place may also be where a noise comes from."""
    if item.kind == "symptom":
        return any(other.kind == "place" and other.start == item.start for other in clause.items)
    return item.kind in _PLACING or (item.kind == "mark" and item.meaning in ("at", "all_parts"))


def _tells_where(clause: Clause, last: Clause) -> bool:
    """Whether a clause begins with where the part of the clause before it sits."""
    lead = _lead(clause)
    places = [item for item in lead if item.kind == "place"]
    has_shaft = any(i.kind == "modifier" or DIMENSIONS.get(i.meaning) in ("line", "beside") for i in lead)
    if not (places or has_shaft) or not ends_with_part(last):
        return False
    rest = clause.items[len(lead) :]
    if rest and rest[0].kind in _ELSEWHERE:
        return False
    deeds = {item.meaning for item in rest if item.kind == "deed"}
    if last.of("deed") and (deeds or (not has_shaft and any(i.kind == "hint" and i.meaning in _BAD for i in rest))):
        return False
    if rest and rest[0].kind == "unknown" and not has_shaft:
        return False
    # `joint seized, prop shaft removed` tells of the shaft, `joint - prop shaft diff end - removed` of the joint.
    is_heading = any(DIMENSIONS.get(i.meaning) in ("along", "beside") for i in places) and not last.of("hint", "deed")
    is_taken_off = has_shaft and bool(rest) and rest[0].meaning == "opened" and not is_heading
    if is_taken_off or (rest and rest[0].meaning in _OTHER_DEEDS and last.of("deed")):
        return False
    return not _clash(last, places) or _is_line(last, places)


def _goes_on(last: Clause, clause: Clause) -> bool:
    """Whether a clause tells a further place of the part before it, or the part whose place was told."""
    if clause.before in _LISTS and _tells_another(clause, last):
        return True
    return clause.before in _JOINS and _is_place_of_next(last, clause)


def _tells_another(clause: Clause, last: Clause) -> bool:
    """`cv boots inner and outer left`: whether a clause begins with a further place of the part before it."""
    lead = _lead(clause)
    if not lead or any(item.kind not in ("place", "symptom") for item in lead) or last.items[-1].kind != "place":
        return False
    rest = clause.items[len(lead) :]
    deeds = [item for item in rest if item.kind == "deed"]
    if (rest and rest[0].kind in _ELSEWHERE) or (deeds and last.of("deed")) or not ends_with_part(last):
        return False
    return not last.has_mark("blame", "beside") and _clash(last, [i for i in lead if i.kind == "place"])


def ends_with_part(clause: Clause) -> bool:
    """Whether a clause ends with a part, or a part and where it sits.

    Parameters
    ----------
    clause : Clause
        Of a line.
    """
    for item in reversed(clause.items):
        if _is_part(item, clause):
            return True
        if not _is_placing(item, clause):
            return False
    return False


def _is_part(item: Item, clause: Clause) -> bool:
    """Whether an item names a part; `cv` does where no joint or boot follows."""
    if item.kind == "modifier" and item.meaning == "cv":
        return not any(other.kind in _NAMING and other.start >= item.end for other in clause.items)
    return item.kind in _NAMING


def _after_part(clause: Clause) -> list[Item]:
    """Words of place of the last part of a clause."""
    found: list[Item] = []
    named = False
    for item in reversed(clause.items):
        if _is_part(item, clause) and not named:
            named = True
        elif item.kind == "place":
            found.append(item)
        elif not _is_placing(item, clause):
            break
    return found


def _clash(last: Clause, places: Sequence[Item]) -> bool:
    """Whether places tell another place than the part before them has."""
    told = {DIMENSIONS.get(item.meaning): item.meaning for item in _after_part(last)}
    return any(told.get(DIMENSIONS.get(item.meaning), item.meaning) != item.meaning for item in places)


def _is_line(last: Clause, places: Sequence[Item]) -> bool:
    """Whether the end told before is the shaft line: `propeller shaft rear, forward end`."""
    last_place = last.items[-1]
    if last_place.kind != "place" or last_place.meaning not in _ENDS_OF_LINE or len(last.items) < 2:
        return False
    after_shaft = any(i.kind == "modifier" and i.end in (last_place.start, last_place.end) for i in last.items[:-1])
    return after_shaft and all(DIMENSIONS.get(item.meaning) in ("along", "beside") for item in places)


def _read_line(last: Clause, clause: Clause) -> None:
    """Read an end told after a shaft as the line of that shaft, where another end follows."""
    places = [item for item in _lead(clause) if item.kind == "place"]
    if any(DIMENSIONS.get(item.meaning) in ("along", "beside") for item in places) and _is_line(last, places):
        place = last.items[-1]
        last.items[-1] = Item("place", f"{place.meaning}_line", place.start, place.end)


def _is_place_of_next(last: Clause, clause: Clause) -> bool:
    """`rear shaft, middle: joint`: whether a clause is nothing but the place of the part that follows."""
    begun = _without_deed(last)
    if len(_lead(begun)) != len(begun.items) or not begun.of("place"):
        return False
    if len(begun.items) < len(last.items) and any(i.kind == "hint" and i.meaning in _BAD for i in clause.items):
        return False
    following = next((item for item in clause.items if not _is_placing(item, clause)), None)
    if following is None or following.kind not in _NAMING:
        return False
    ahead = [item for item in _lead(clause) if item.kind == "place"]
    told = {DIMENSIONS.get(item.meaning) for item in last.of("place")}
    return not any(DIMENSIONS.get(item.meaning) in told for item in ahead)


def _is_line_of_shaft(clause: Clause, number: int) -> bool:
    """`prop front transfer box end`: whether an end told after a shaft is its line, as another end follows."""
    place, following = clause.items[number], clause.items[number + 1 : number + 2]
    has_shaft = any(i.kind == "modifier" and i.end == place.start for i in clause.items[:number])
    return has_shaft and any(DIMENSIONS.get(i.meaning) == "beside" and i.start - place.end <= 1 for i in following)


def _without_deed(clause: Clause) -> Clause:
    """`scheduled replacement of rear shaft`: a clause without the deed it begins with, where a shaft follows."""
    begin = next((n for n, item in enumerate(clause.items) if item.kind not in ("deed", "hint")), 0)
    rest = clause.items[begin:]
    return Clause(clause.before, rest) if rest and rest[0].kind == "modifier" else clause


def _lines_within(clause: Clause) -> None:
    """`rear prop front prop joint` is the front joint of the rear shaft."""
    line, line_start = "", 0
    for number, item in enumerate(clause.items):
        if item.meaning in _ENDS_OF_LINE and _is_line_of_shaft(clause, number):
            item = clause.items[number] = Item("place", f"{item.meaning}_line", item.start, item.end)
        if item.kind in ("deed", "hint", "symptom", *_ELSEWHERE) or (item.kind == "mark" and item.meaning != "at"):
            line = line if item.kind in _NAMING else ""
        elif item.kind == "place" and item.meaning.endswith("_line"):
            if line and item.start > line_start:
                clause.items[number] = Item("place", item.meaning.removesuffix("_line"), item.start, item.end)
            else:
                line, line_start = item.meaning, item.start

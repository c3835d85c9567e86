"""The parts a clause names, each put together from its head and the words beside it."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from wearmodel.intake.words.line_clauses import Clause, Item
from wearmodel.intake.words.part_words import PART_FAMILIES
from wearmodel.intake.words.place_words import DIMENSIONS

__all__ = ["HALF_SHAFT", "Kind", "Mention", "complete_bare", "mentions"]

Kind = Literal["part", "shaft", "bare", "accessory", "foreign", "neighbour", "unknown"]
"""part: of a driveline; shaft: a whole one; bare: a joint, boot or bearing of who knows what; accessory: a small
thing that belongs to some part; foreign: something else; neighbour: something a driveline lies beside; unknown:
what nobody knows, where a part is expected.
"""

HALF_SHAFT = "half_shaft"
"""Among the parts a whole shaft brings with it: it can only be a half shaft."""

_SHAFTS = frozenset({"half", "axle", "axle_shaft", "drive", "prop", "shaft"})
_ENDS = frozenset({"outboard", "inboard"})
_ENDS_OF_BOOT = _ENDS | {"drive_end", "diff_end", "both_ends"}
_BREAKS = frozenset({"blame", "beside", "with", "except", "found", "or"})
_JOINTS = {"steer": "steering_joint", "cv": "cv_joint", "half": "cv_joint", "prop": "u_joint"}
_OF_BOOT = frozenset({"cv", "half", "axle", "drive", "shaft", "stub"})
_BEARERS = frozenset({"support", "carrier", "prop", "drive", "shaft"})
_OF_DRIVELINE = _SHAFTS | {"cv"}


@dataclass
class Mention:
    """One part named once.

    Parameters
    ----------
    kind : Kind
        What it is of.
    options : frozenset of str
        Components it could be.
    head : str
        `joint`, `boot`, `bearing`, `prop` of a propeller shaft, or empty.
    start, end : int
        Its first word, and the word after its last.
    runs : list of list of str
        Words of place that go with it, one run a clause.
    numbers : list of str
        Numbers that go with it, `all` among them.
    deed : str
        What was done to it.
    is_blamed : bool
        It is named as where something came from, not as what was worked on.
    beside : bool
        It is named as what something else was done after, or instead of.
    with_other : bool
        It is named as what something else was done together with.
    is_accessory : bool
        A small thing that belongs to it is named, not the part itself.
    is_either : bool
        It is this or another part.
    clause : int
        Number of its clause.
    fallback : str
        The deed it gave up because it is blamed or beside.
    is_aside : bool
        It is spoken of in a sentence of its own after the renewal, and was not renewed.
    """

    kind: Kind
    options: frozenset[str] = frozenset()
    head: str = ""
    start: int = 0
    end: int = 0
    runs: list[list[str]] = field(default_factory=list)
    numbers: list[str] = field(default_factory=list)
    deed: str = ""
    is_blamed: bool = False
    beside: bool = False
    with_other: bool = False
    is_accessory: bool = False
    is_either: bool = False
    clause: int = 0
    fallback: str = ""
    is_aside: bool = False

    def places(self, kind: str) -> set[str]:
        """Its words of place of one kind: `side`, `end`, `along`, `line`."""
        return {place for run in self.runs for place in run if DIMENSIONS.get(place) == kind}

    @property
    def is_driveline(self) -> bool:
        """Whether it is, or may be, of a driveline."""
        return self.kind in ("part", "shaft", "bare")


def _options(name: str) -> frozenset[str]:
    return frozenset(PART_FAMILIES.get(name, (name,)))


class _Builder:
    """Goes through a clause and collects the parts it names."""

    def __init__(self, clause: Clause) -> None:
        self.items = clause.items
        self.found: list[Mention] = []
        self.modifiers: list[Item] = []
        self.ends = {i.meaning for i in clause.items if i.kind == "place"} & _ENDS
        self.is_placed = any(i.kind == "place" and i.meaning in _ENDS_OF_BOOT for i in self.items)
        self.has_side = any(i.kind == "place" and DIMENSIONS.get(i.meaning) == "side" for i in self.items)
        self.is_open = any(i.kind == "symptom" and i.meaning == "boot_open" for i in self.items)
        self.at = False

    def build(self) -> list[Mention]:
        for number, item in enumerate(self.items):
            if item.kind in ("deed", "mark"):
                self._flush()
                self.at = item.kind == "mark" and item.meaning == "at"
                continue
            if item.kind == "modifier":
                self.modifiers.append(item)
            elif item.kind == "part":
                self._part(item)
            elif item.kind == "head":
                self._head(item)
            elif item.kind == "accessory":
                self._accessory(item)
            elif item.kind == "foreign":
                self._foreign(item)
            elif item.kind == "neighbour":
                self._add(Mention("neighbour"), item)
            elif item.kind == "unknown" and self._is_object(number):
                # `left axle clkn replaced`: the word may tell how the shaft was.
                self._add(Mention("shaft" if self._named() & _OF_DRIVELINE else "unknown"), item)
            if item.kind not in ("place", "number", "symptom", "hint"):
                self.at = self.at and item.kind == "modifier"
        self._flush()
        return self.found

    def _add(self, mention: Mention, item: Item) -> None:
        mention.start = min([item.start, *(m.start for m in self.modifiers)])
        mention.end = item.end
        self.modifiers.clear()
        self.found.append(mention)

    def _named(self) -> set[str]:
        return {modifier.meaning for modifier in self.modifiers}

    def _last(self) -> Mention | None:
        """The part named before, where a part after `on` or `of` only tells more of it."""
        return self.found[-1] if self.at and self.found and self.found[-1].kind != "unknown" else None

    def _part(self, item: Item) -> None:
        name = item.meaning
        if (last := self._last()) is not None:
            if last.kind == "bare" and last.head in ("boot", "bearing"):
                complete_bare(last, {"cv" if name.startswith("cv") else "prop"}, set())
            last.end = max(last.end, item.end)
            self.modifiers.clear()
            return
        if name == "u_joint" and "steer" in self._named():
            name = "steering_joint"
        last = self.found[-1] if self.found else None
        is_listed = last is not None and last.end == item.start and last.head == "boot"
        if last is not None and is_listed and (last.kind == "bare" or name.startswith("cv")):
            # `boot, CV joint` without a mark between: a boot of the joint.
            complete_bare(last, {"cv"}, set())
            return
        if last is not None and last.kind == "part" and last.end > item.start and last.options == _options(name):
            last.end = item.end  # `inner pot joint`: `inner pot` and `pot joint` are one
            return
        head = next((h for h in ("joint", "boot", "bearing") if h in name), "")
        self._add(Mention("part", _options(name), "joint" if name == "u_joint" else head), item)

    def _head(self, item: Item) -> None:
        last = self.found[-1] if self.found else None
        if last is not None and self._is_foreign(last, item):
            last.kind, last.end = "foreign", item.end  # a rack boot, a gearbox bearing
            return
        joined = last is not None and last.kind in ("part", "bare") and last.end == item.start and last.head == "joint"
        if joined and item.meaning == "boot" and last is not None:
            # A boot of that joint: the joint itself is not named.
            self.found.pop()
            is_cv = last.kind == "bare" or any(code.startswith("cv") for code in last.options)
            boot = _boot(is_cv or bool(self._named()), last.start)
            if len(last.options) == 1:
                # The boot of a tripod joint is an inboard one.
                boot.options &= {code.replace("joint", "boot") for code in last.options} or boot.options
            self._add(boot, item)
            return
        if item.meaning == "boot":
            named = self._named() & _OF_BOOT
            self._add(_boot(bool(named or self.is_placed or self.has_side or self.is_open)), item)
        else:
            mention = Mention("bare", head=item.meaning)
            complete_bare(mention, self._named(), self.ends)
            self._add(mention, item)

    def _is_foreign(self, last: Mention, head: Item) -> bool:
        """Whether a head belongs to something else that is named just before it."""
        between = [item for item in self.items if last.end <= item.start < head.start]
        if self.modifiers or any(item.kind != "place" for item in between):
            return False
        if last.kind == "neighbour":
            return head.meaning == "bearing"
        is_near = head.start - last.end <= (1 if not between or head.meaning == "bearing" else 0)
        return last.kind == "foreign" and is_near

    def _accessory(self, item: Item) -> None:
        last = self.found[-1] if self.found else None
        if last is not None and last.end == item.start and last.is_driveline and not self.modifiers:
            last.is_accessory, last.end = True, item.end
        elif not any(other.kind == "foreign" and other.start == item.start for other in self.items):
            self._add(Mention("accessory"), item)

    def _foreign(self, item: Item) -> None:
        last = self.found[-1] if self.found else None
        if last is None or last.end != item.end:  # an accessory counts once
            self._add(Mention("foreign"), item)

    def _flush(self) -> None:
        """Words of a shaft without a head: the whole shaft, or more of the part before."""
        named = self._named()
        if not self.modifiers:
            return
        first = self.modifiers[0]
        last = self.found[-1] if self.found else None
        if last is not None and "steer" in named and last.options == {"u_joint"}:
            last.options = frozenset({"steering_joint"})
        elif last is not None and last.kind == "bare" and last.head:
            complete_bare(last, named, self.ends)
            last.end = max(last.end, self.modifiers[-1].end)
        elif (self.at and self.found) or (last is not None and self._tells_more(last, first)):
            pass  # `joint on propshaft`: told above which joint
        elif "cv" in named:
            self._add(Mention("part", _options("cv_joint"), "joint"), first)
        elif named & _SHAFTS and self.at:
            self._add(Mention("shaft", head="prop" if "prop" in named else ""), first)  # `parts fitted to drive shaft`
        elif named & _SHAFTS:
            brought = _brought_with(named, has_side=self.has_side)
            self._add(Mention("shaft", brought, "prop" if "prop" in named else ""), first)
        elif "carrier" in named:
            # `carrier howling, new one`: the bearing, or that of a differential or a spare wheel.
            self._add(Mention("bare", frozenset({"support_bearing"}), "bearing"), first)
        elif "steer" in named:
            # `steering feels notchy`: what the driver felt, and nothing that was worked on.
            is_felt = any(i.kind == "hint" and i.meaning == "noticed" and i.start >= first.start for i in self.items)
            self._add(Mention("neighbour" if is_felt else "foreign"), first)
        self.modifiers.clear()

    def _tells_more(self, last: Mention, first: Item) -> bool:
        """Whether a shaft follows a part with nothing but words of place between: it tells which one."""
        between = [item for item in self.items if last.end <= item.start < first.start]
        if last.kind != "part":
            return False
        following = next((item for item in self.items if item.start > first.start and item.kind != "place"), None)
        if following is None and between and between[0].meaning == "renewed" and between[0].start == last.end:
            del between[0]  # `joint fitted front prop`
        return all(item.kind in ("place", "symptom", "number") for item in between)

    def _is_object(self, number: int) -> bool:
        """Whether an unknown word stands where the part that was renewed would."""
        item = self.items[number]
        before = self.items[number - 1] if number else None
        is_at = before is not None and (before.kind, before.meaning) == ("mark", "at") and item.start - before.end <= 1
        if is_at and any(m.kind == "part" for m in self.found):
            return False  # `bearing rough on hand spin, replaced`
        deeds = [i for i in self.items if i.kind == "deed" and i.meaning == "renewed"]
        if any(deed.start == item.end for deed in deeds):
            return True
        # `joint pressed in squint` tells how.
        named = [i for i in self.items[:number] if i.kind in ("part", "head")]
        return any(deed.end == item.start and not any(i.start < deed.start for i in named) for deed in deeds)


def _brought_with(named: set[str], *, has_side: bool) -> frozenset[str]:
    """The parts that come with a whole shaft; not certain of a propeller shaft, nor of an axle without a side."""
    is_axle = "axle" in named and has_side
    if "prop" in named or not (named & {"half", "axle_shaft", "drive", "shaft"} or is_axle):
        return frozenset()
    sure = frozenset({HALF_SHAFT}) if named & {"half", "axle_shaft"} else frozenset[str]()
    return _options("cv_joint") | _options("cv_boot") | sure


def _boot(is_cv: bool, start: int = 0) -> Mention:
    return Mention("part" if is_cv else "bare", _options("cv_boot"), "boot", start)


def complete_bare(mention: Mention, named: set[str], ends: set[str]) -> None:
    """Tell a bare joint, boot or bearing from the words beside it.

    Parameters
    ----------
    mention : Mention
        A bare one; changed in place.
    named : set of str
        Meanings of the modifiers beside it.
    ends : set of str
        `outboard` and `inboard`, where they are named.
    """
    if mention.head == "bearing":
        if named & _BEARERS:
            mention.kind, mention.options = "part", frozenset({"support_bearing"})
        elif named & {"half", "axle", "stub"}:
            mention.kind = "foreign"
        else:
            mention.options = frozenset({"support_bearing"})
    elif mention.head == "boot":
        mention.options = _options("cv_boot")
        if named & _OF_BOOT or ends:
            mention.kind = "part"
    else:
        name = next((_JOINTS[word] for word in _JOINTS if word in named), "")
        if not name and ends:
            name = "cv_joint"
        if not name and named & {"axle", "drive", "shaft", "stub"}:
            name = "shaft_joint"
        mention.options = _options(name or "any_joint")
        mention.kind = "part" if name else "bare"


def mentions(clause: Clause, *, number: int) -> list[Mention]:
    """The parts a clause names, with the words of place and number that go with each.

    Parameters
    ----------
    clause : Clause
        One of `wearmodel.intake.words.line_clauses.clauses`.
    number : int
        Its number in the line.

    Returns
    -------
    list of Mention
        In their order, nothing yet said of what was done.
    """
    found = _Builder(clause).build()
    for mention in found:
        mention.clause = number
    places = clause.of("place")
    _give(found, places, clause=clause, prefixed=_is_prefixed(found, places), elsewhere=_elsewhere(found, clause))
    _give_numbers(found, clause)
    _mark(found, clause)
    return found


def _is_prefixed(found: Sequence[Mention], places: Sequence[Item]) -> bool:
    """Whether places stand before their parts: `left boot, right boot`, not `boot left, boot right`."""
    return not found or not places or places[0].start < found[0].end or places[-1].start < found[-1].start


def _elsewhere(found: Sequence[Mention], clause: Clause) -> list[tuple[int, int]]:
    """Stretches of a clause after `from` or `same time as` that name no part: places in them are another's."""
    marks = [i for i in clause.items if i.kind == "mark" and i.meaning in ("blame", "beside", "with")]
    stops = sorted([i.start for i in clause.items if i.kind == "deed"] + [max(i.end for i in clause.items)])
    stretches = [(mark.start, next((stop for stop in stops if stop > mark.start), mark.end)) for mark in marks]
    return [(start, end) for start, end in stretches if not any(start < m.start < end for m in found)]


def _give(
    found: Sequence[Mention],
    places: Sequence[Item],
    *,
    clause: Clause,
    prefixed: bool,
    elsewhere: Sequence[tuple[int, int]],
) -> None:
    """Each word of place to its part."""
    breaks = [i for i in clause.items if i.kind == "deed" or (i.kind == "mark" and i.meaning in _BREAKS)]
    starts, ends = {m.start for m in found}, {place.end for place in places}
    # `left new shaft`: a word of its own between a place and its part is no work.
    breaks = [i for i in breaks if i.kind != "deed" or i.end - i.start > 1 or not (i.end in starts and i.start in ends)]
    for place in places:
        if any(start < place.start < end for start, end in elsewhere):
            continue
        after = [m for m in found if m.end > place.start and not any(place.start < i.start < m.start for i in breaks)]
        before = [m for m in found if m.start <= place.start]
        owner = (after or before)[:1] if prefixed or _is_ahead(place, before, after) else before[-1:] or after[:1]
        if prefixed and not after and before:
            owner = before[-1:]
        follows = bool(before) and before[-1].is_driveline and before[-1].end == place.start
        if follows and owner[0].kind == "accessory":
            owner = before[-1:]  # `joint rear cap spun`
        for mention in owner:
            if not mention.runs:
                mention.runs.append([])
            mention.runs[0].append(place.meaning)


def _is_ahead(place: Item, before: Sequence[Mention], after: Sequence[Mention]) -> bool:
    """`bearing anyway outer boot L`: a place that stands next to the part that follows, away from the one before."""
    return bool(before and after) and after[0].start == place.end and before[-1].end < place.start


def _give_numbers(found: Sequence[Mention], clause: Clause) -> None:
    """Each number to the part it counts: before it, or after it with a mark of counting."""
    for item in clause.of("number"):
        after = [m for m in found if m.start >= item.end]
        counted = [m for m in found if m.kind == "part" and 0 <= item.start - m.end <= 1]
        if after and after[0].kind == "shaft" and counted:
            counted[-1].numbers.append(item.meaning)  # `uj x4 both props`
        elif after:
            between = [i for i in clause.items if item.end <= i.start < after[0].start]
            if all(_may_be_counted_over(i) for i in between):
                after[0].numbers.append(item.meaning)
        elif found and item.meaning != "1":
            between = [i for i in clause.items if found[-1].end <= i.start < item.start]
            if all(_may_be_counted_over(i) for i in between):  # `uj x2`, but not `uj failed after 2 weeks`
                found[-1].numbers.append(item.meaning)


def _may_be_counted_over(item: Item) -> bool:
    """Whether a word may stand between a number and the part it counts: `3 off new rear`."""
    if item.kind in ("deed", "mark"):
        return item.meaning in ("renewed", "away", "all_parts")
    return item.kind in ("place", "modifier", "number")


def _is_done_together(mention: Mention, mark: Item, clause: Clause) -> bool:
    """`joint along with boot replaced`: whether the work on both is told once, after them."""
    told = [i for i in clause.items if i.kind in ("deed", "hint")]
    after = [i.meaning for i in told if i.start >= mention.end]
    return after[:1] == ["renewed"] and not any(i.start < mark.start for i in told)


def _mark(found: Sequence[Mention], clause: Clause) -> None:
    """Note the parts that are blamed, or named beside another."""
    for item in clause.of("mark"):
        following = [m for m in found if m.start >= item.end]
        if not following:
            continue
        mention = following[0]
        between = [i for i in clause.items if item.end <= i.start < mention.start]
        is_new = any(i.kind == "deed" and i.meaning == "renewed" for i in between)
        if item.meaning == "blame" and not any(i.kind == "deed" for i in between):
            mention.is_blamed = True
        if item.meaning in ("beside", "with") and not is_new and any(m.start < item.start for m in found):
            mention.with_other = item.meaning == "with" and not _is_done_together(mention, item, clause)
            stop = min((i.start for i in clause.items if i.kind == "deed" and i.start >= mention.end), default=None)
            for other in following if item.meaning == "beside" else ():
                other.beside = stop is None or other.start < stop
        mention.is_either |= item.meaning == "or"

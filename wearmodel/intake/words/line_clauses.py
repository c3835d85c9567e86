"""A repair line cut into clauses, each with the meanings of its phrases in their order."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from wearmodel.intake.words.clause_hints import settled
from wearmodel.intake.words.clause_items import Item
from wearmodel.intake.words.place_words import DIMENSIONS
from wearmodel.intake.words.repair_lexicon import Lexicon
from wearmodel.intake.words.word_tokens import SEPARATORS, UNKNOWN

__all__ = ["Clause", "Item", "clauses"]

_NOUNS = frozenset({"part", "head", "modifier", "foreign", "place"})
_PARTS = frozenset({"head"})
_WHOLE_PARTS = frozenset({"part", "head"})
_PLACED = frozenset({"part", "head", "modifier", "place"})
_SIDES = frozenset({"left", "right"})
_ENDS = frozenset({"inboard", "outboard"})
_SEATS = frozenset({"driver", "passenger"})
_TOLD = frozenset({"part", "head", "modifier", "symptom"})
_BY = frozenset({"as", "per"})
_TO_COME = frozenset({"later", "needed"})
_LABELS = frozenset({"complaint", "reported", "states"})
_BEGINNINGS = frozenset({"starting", "started", "beginning", "begun", "early"})
_STEERING = frozenset({"steer", "steering_joint"})
_STIFF = frozenset({"stiff", "notchy", "notch", "notched", "tight", "sticky", "sticking"})
_STATES = _BEGINNINGS | {"worse", "getting", "gets"}


@dataclass
class Clause:
    """What stands between two separators.

    Parameters
    ----------
    before : str
        The separator before it; `.` for the first.
    items : list of Item
        In their order.
    """

    before: str
    items: list[Item] = field(default_factory=list)

    def of(self, *kinds: str) -> list[Item]:
        """Its items of some kinds."""
        return [item for item in self.items if item.kind in kinds]

    def has_mark(self, *meanings: str) -> bool:
        """Whether it holds one of some marks."""
        return any(item.kind == "mark" and item.meaning in meanings for item in self.items)


def clauses(words: Sequence[str], *, lexicon: Lexicon) -> list[Clause]:
    """The clauses of a line, those without a meaning left out.

    Parameters
    ----------
    words : sequence of str
        In their one form, separators among them.
    lexicon : Lexicon
        Of phrases.

    Returns
    -------
    list of Clause
        A separator next to another counts as the stronger of both. Words of place that wait for their part stand in
        its clause: `front and rear uj`.
    """
    found = [Clause(".")]
    for item in _items(words, lexicon):
        if item.kind != "separator":
            if item.meaning == "also":
                _begin_further(found)
            found[-1].items.append(item)
        elif found[-1].items:
            found.append(Clause(item.meaning))
        elif "." in (item.meaning, found[-1].before):
            found[-1].before = "."
        elif item.meaning != ",":
            found[-1].before = item.meaning
    _settle_stiffness(found, words)
    _drop_labels(found, words)
    _drop_worsening(found, words)
    _settle_states(found, words)
    _settle_due(found, words)
    for clause in found:
        clause.items = settled(_whole_places(_told_apart(clause.items)))
    return _with_places_joined([clause for clause in found if clause.items])


def _settle_stiffness(found: Sequence[Clause], words: Sequence[str]) -> None:
    """`steering joint stiff`: a driver feels it in the wheel, a hand at a look; of other joints only the hand does."""
    items = [item for clause in found for item in clause.items]
    if all(item.meaning not in _STEERING for item in items):
        return
    for clause in found:
        clause.items = [
            Item("hint", "bad", i.start, i.end)
            if (i.kind, i.meaning) == ("hint", "worn") and _STIFF.intersection(words[i.start : i.end])
            else i
            for i in clause.items
        ]


def _begin_further(found: list[Clause]) -> None:
    """`uj renewed also boot`: the word joins as `and` does."""
    if found[-1].items:
        found.append(Clause("and"))
    elif found[-1].before == ",":
        found[-1].before = "and"


def _drop_labels(found: Sequence[Clause], words: Sequence[str]) -> None:
    """`Complaint:` and `Rectification:` are headings; what follows them tells."""
    has_deed = any(item.kind == "deed" and item.meaning != "mended" for clause in found for item in clause.items)
    for clause, following in pairwise(found):
        if following.before == ":" and len({item.start for item in clause.items}) == 1:
            only = clause.items[0]
            if only.meaning == "also":
                clause.items.clear()
                following.before = "."
                continue
            if only.kind == "deed" and only.meaning in ("needed", "later"):
                # `Recommended: replace joint`: what follows was not done.
                following.items = [
                    Item("deed", "later", i.start, i.end) if (i.kind, i.meaning) == ("deed", "renewed") else i
                    for i in following.items
                ]
            is_complaint = only.end - only.start == 1 and words[only.start] in _LABELS
            if is_complaint or (only.kind == "deed" and only.meaning == "mended" and has_deed):
                clause.items.clear()
                following.before = clause.before


def _drop_worsening(found: Sequence[Clause], words: Sequence[str]) -> None:
    """`driver states vibration, getting worse`: a noise that grows is no work put off."""
    for clause, following in pairwise(found):
        only = following.items[0] if len(following.items) == 1 else None
        if only is None or only.meaning != "later" or words[only.start : only.end] != ["worse"]:
            continue
        if clause.of("hint") and not clause.of("part", "head", "modifier"):
            following.items.clear()


def _settle_states(found: Sequence[Clause], words: Sequence[str]) -> None:
    """`boot starting to go. Replaced`, `getting worse, was the joint, replaced`: how it was before it was renewed."""
    is_done = False
    for clause in reversed(found):
        deeds = {item.meaning for item in clause.items if item.kind == "deed"}
        states = [item for item in clause.items if item.meaning == "later" and words[item.start] in _STATES]
        is_put_off = bool(deeds & {"later", "needed"}) and not states
        if states and (is_done or "renewed" in deeds) and "needed" not in deeds:
            kept = (item for item in clause.items if item not in states)
            told = (Item("hint", "worn", i.start, i.end) for i in states if words[i.start] in _BEGINNINGS)
            clause.items = sorted([*kept, *told], key=lambda item: item.start)
        is_done = not is_put_off and (is_done or "renewed" in deeds)


def _settle_due(found: Sequence[Clause], words: Sequence[str]) -> None:
    """`renewed as due`, `fitted before retest due`, `done as advised`: after work that is done, no work to come."""
    for clause in found:
        done = min((i.start for i in clause.items if (i.kind, i.meaning) == ("deed", "renewed")), default=len(words))
        to_come = [i for i in clause.items if i.kind == "deed" and i.meaning in _TO_COME and i.start > done]
        told = [i for i in to_come if _is_by_order(words, done, i.start)]
        clause.items = [i for i in clause.items if i not in told]


def _is_by_order(words: Sequence[str], done: int, start: int) -> bool:
    return words[start - 1] in _BY or (words[start] == "due" and "before" in words[done:start])


def _items(words: Sequence[str], lexicon: Lexicon) -> Iterator[Item]:
    """Meanings of all phrases but those that lie within a longer one, or begin within another part's name."""
    reach = shielded = named = 0
    for start, word in enumerate(words):
        if word == UNKNOWN:
            yield Item("unknown", "", start, start + 1)
            continue
        for length in range(min(lexicon.longest.get(word, 0), len(words) - start), 0, -1):
            meanings = lexicon.meanings.get(tuple(words[start : start + length]))
            if meanings is None:
                continue
            if start + length > reach and start >= shielded:
                # What begins within a phrase tells no new part: `support bearing 2` is one bearing, and
                # `cross bearing centre` a joint in the middle.
                hidden = _PARTS if start < reach else frozenset()
                is_part = all(kind == "part" for kind, _ in meanings)
                tail = lexicon.meanings.get(tuple(words[reach : start + length]), ()) if start < named else ()
                if is_part and any(kind == "place" for kind, _ in tail):
                    break
                reach = start + length
                named = reach if is_part else named
                if any(kind in ("foreign", "own") for kind, _ in meanings):
                    shielded = reach
                yield from (Item(kind, meaning, start, reach) for kind, meaning in meanings if kind not in hidden)
            break
        else:
            if word in SEPARATORS and start >= reach:
                yield Item("separator", word, start, start + 1)


def _whole_places(items: list[Item]) -> list[Item]:
    """Words that may be a place are one where a part or another place comes next."""
    whole: list[Item] = []
    for i, item in enumerate(items):
        if item.kind == "place" and (item.meaning == "nowhere" or _is_loose_ordinal(items, i)):
            continue
        if item.meaning == "left_behind":
            # `boot L/H as well` is on the left, `left as is` is not.
            if i and items[i - 1].end == item.start and items[i - 1].kind in _PLACED:
                whole.append(Item("place", "left", item.start, item.start + 1))
            continue
        if item.kind != "half_place":
            whole.append(item)
        elif item.meaning in _ENDS and i and items[i - 1].kind in _WHOLE_PARTS and items[i - 1].end == item.start:
            whole.append(Item("place", item.meaning, item.start, item.end))  # `joint outside worn`
        elif item.meaning in _SEATS and i and _stands_after(items[i - 1], item):
            whole.append(Item("place", item.meaning, item.start, item.end))  # `outer boot, driver's`
        elif i + 1 < len(items) and items[i + 1].kind in _NOUNS and items[i + 1].kind != "foreign":
            whole.append(Item("place", item.meaning, item.start, item.end))
        elif item.meaning in _SIDES and i and items[i - 1].end == item.start and items[i - 1].kind in _PLACED:
            # `outer boot L renewed`
            whole.append(Item("place", item.meaning, item.start, item.end))
    return whole


def _stands_after(before: Item, item: Item) -> bool:
    return before.end == item.start and before.kind in _PLACED


def _is_loose_ordinal(items: Sequence[Item], number: int) -> bool:
    """`past the second gate`: a first or second of something nobody knows is no joint."""
    item = items[number]
    if not item.meaning.isdigit() or item.end - item.start > 1 or number + 1 == len(items):
        return False
    following = items[number + 1]
    if following.start > item.end and not (number and items[number - 1].end == item.start):
        return True  # `past second gate, towed`: a word known for other phrases only
    return following.kind == "unknown" and following.start == item.end


def _told_apart(items: list[Item]) -> list[Item]:
    """`uj c/o` was changed out; `c/o noise` is a complaint."""
    apart: list[Item] = []
    for item in items:
        if item.meaning == "complained_or_changed":
            names_part = any(earlier.kind in ("part", "head", "modifier") for earlier in apart)
            following = next((later for later in items if later.start >= item.end and _is_told(later)), None)
            # `boot worn, C/O` is work as well; a complaint tells what it is about.
            is_work = names_part or (following.kind != "symptom" if following is not None else item is items[-1])
            kind, meaning = ("deed", "renewed") if is_work else ("hint", "in_use")
            item = Item(kind, meaning, item.start, item.end)
        elif (item.kind, item.meaning) == ("mark", "except") and not _names_next(items, item):
            if any(later.start == item.end - 1 for later in items):
                continue  # `worn, not passed`
            item = Item("mark", "not", item.start, item.end)  # `replaced, not bad`
        apart.append(item)
    return apart


def _is_told(item: Item) -> bool:
    """Whether an item tells what was changed or complained of: `C/O centre joint`, `C/O noise`."""
    return item.kind in _TOLD and item.meaning != "middle"


def _names_next(items: Sequence[Item], mark: Item) -> bool:
    """Whether a part, or where it is, comes right after a mark; `worn, not installed` denies the work."""
    is_denied = mark.end - mark.start > 1
    following = [item for item in items if item.start == mark.end]
    if is_denied and any((item.kind, item.meaning) == ("deed", "renewed") for item in following):
        return False
    return any(item.kind in (*_NOUNS, "deed", "half_place") for item in following)


def _with_places_joined(found: list[Clause]) -> list[Clause]:
    """`front and rear uj` is one clause: words of place that wait for their part are put to it."""
    joined: list[Clause] = []
    for clause in found:
        last = joined[-1] if joined else None
        if last is not None and last.items[-1].kind == "place" and last.items[-1].meaning.isdigit():
            # `joints 2 and 3`
            clause.items = [Item("place", i.meaning, i.start, i.end) if i.kind == "number" else i for i in clause.items]
        awaits = last is not None and clause.before in ("and", "/", ",") and _awaits(last, clause)
        if last is not None and awaits and not _is_told_after(joined, clause):
            place = _first_place(clause)
            first = clause.items[place]
            is_pair = clause.before in ("and", "/")
            if is_pair and first.meaning.endswith("_line") and DIMENSIONS.get(last.items[-1].meaning) == "along":
                # `front and rear drive shaft joint`: its two ends, or two shafts.
                clause.items[place] = Item("place", first.meaning.removesuffix("_line"), first.start, first.end)
            last.items += clause.items
        else:
            joined.append(clause)
    return joined


def _first_place(clause: Clause) -> int:
    """Number of the item that is the place a clause begins with; -1 where it begins with something else."""
    begin = clause.items[0].start
    found = (n for n, item in enumerate(clause.items) if item.kind == "place" and item.start == begin)
    return next(found, -1)


def _awaits(last: Clause, clause: Clause) -> bool:
    """Whether the places at the end of a clause go with those at the beginning of the next."""
    if _first_place(clause) < 0 or last.items[-1].kind not in ("place", "number"):
        return False
    if last.of("hint", "unknown") or last.has_mark("blame", "found"):
        return clause.before == "and" and _waits_for_part(last)
    names_here = bool(last.of("part", "head", "modifier", "foreign"))
    is_shaft = all(item.meaning != "cv" for item in last.of("modifier"))
    if names_here and is_shaft and not last.of("part", "head", "foreign") and clause.before == "and":
        # `shaft upper and lower joint`
        place = clause.items[_first_place(clause)]
        if DIMENSIONS.get(place.meaning) == DIMENSIONS.get(last.items[-1].meaning):
            return True
    if names_here:
        names_next = bool(clause.of("part", "head", "foreign"))
        return not names_next and clause.before != "," and not clause.of("hint")
    return True


def _is_told_after(joined: Sequence[Clause], clause: Clause) -> bool:
    """`joint, left and outer boot`: a place after a comma is of the part before it, the next part has its own."""
    if len(joined) < 2 or joined[-1].before not in (",", "-") or not clause.of("part", "head"):
        return False
    last = joined[-1].items
    before = next((c for c in reversed(joined[:-1]) if c.of("part", "head", "modifier", "deed", "hint")), joined[0])
    if any(item.kind not in ("place", "number") for item in last) or not before.of("part", "head", "modifier"):
        return False
    own = clause.items[_first_place(clause)].meaning
    is_other = own == last[-1].meaning or DIMENSIONS.get(last[-1].meaning) != DIMENSIONS.get(own)
    # Nobody says `driver side and right` of two sides.
    is_other |= (own in _SIDES) != (last[-1].meaning in _SIDES)
    return is_other and before.items[-1].kind in ("part", "head", "modifier", "place")


def _waits_for_part(clause: Clause) -> bool:
    """Whether a clause ends with places that no part of it has: `found front and rear joints worn`."""
    if clause.of("part", "head", "modifier", "foreign"):
        return False
    others = [item for item in clause.items if item.kind not in ("place", "number")]
    return not others or others[-1].kind in ("hint", "deed", "unknown") or others[-1].meaning in ("found", "at", "with")

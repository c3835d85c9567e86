"""A repair line cut into clauses, each with the meanings of its phrases in their order."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from wearmodel.intake.place_words import DIMENSIONS
from wearmodel.intake.repair_lexicon import Lexicon
from wearmodel.intake.word_tokens import SEPARATORS, UNKNOWN

__all__ = ["Clause", "Item", "clauses"]

_HOPED_AWAY = frozenset({"failed", "noticed", "worn"})
_NOUNS = frozenset({"part", "head", "modifier", "foreign", "place"})
_PARTS = frozenset({"head"})
_REACH_OF_NOT = 3


@dataclass(frozen=True)
class Item:
    """One meaning of one phrase.

    Parameters
    ----------
    kind, meaning : str
        As in the lexicon; `unknown` for a word nobody knows.
    start, end : int
        First word of the phrase, and the word after its last.
    """

    kind: str
    meaning: str
    start: int
    end: int


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
            found[-1].items.append(item)
        elif found[-1].items:
            found.append(Clause(item.meaning))
        elif "." in (item.meaning, found[-1].before):
            found[-1].before = "."
        elif item.meaning != ",":
            found[-1].before = item.meaning
    for clause in found:
        clause.items = _with_occasion(_without_hopes(_whole_places(_told_apart(clause.items))))
    return _with_places_joined([clause for clause in found if clause.items])


def _items(words: Sequence[str], lexicon: Lexicon) -> Iterator[Item]:
    """Meanings of all phrases but those that lie within a longer one, or begin within another part's name."""
    reach = shielded = 0
    for start, word in enumerate(words):
        if word == UNKNOWN:
            yield Item("unknown", "", start, start + 1)
            continue
        for length in range(min(lexicon.longest.get(word, 0), len(words) - start), 0, -1):
            meanings = lexicon.meanings.get(tuple(words[start : start + length]))
            if meanings is None:
                continue
            if start + length > reach and start >= shielded:
                # What begins within a phrase tells no new part: `support bearing 2` is one bearing.
                hidden = _PARTS if start < reach else frozenset()
                reach = start + length
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
        if item.kind == "place" and item.meaning == "nowhere":
            continue
        if item.kind != "half_place":
            whole.append(item)
        elif i + 1 < len(items) and items[i + 1].kind in _NOUNS and items[i + 1].kind != "foreign":
            whole.append(Item("place", item.meaning, item.start, item.end))
    return whole


def _told_apart(items: list[Item]) -> list[Item]:
    """`uj c/o` was changed out; `c/o noise` is a complaint."""
    apart: list[Item] = []
    for item in items:
        if item.meaning == "complained_or_changed":
            names_part = any(earlier.kind in ("part", "head", "modifier") for earlier in apart)
            kind, meaning = ("deed", "renewed") if names_part else ("hint", "in_use")
            item = Item(kind, meaning, item.start, item.end)
        apart.append(item)
    return apart


def _with_occasion(items: list[Item]) -> list[Item]:
    """`while the gearbox was out` tells that the part was renewed for the occasion."""
    marks = [item for item in items if item.kind == "mark"]
    begun = next((item.start for item in marks if item.meaning in ("beside", "with")), None)
    if begun is None or not any(item.meaning == "away" and item.start > begun for item in marks):
        return items
    return [*items, Item("hint", "collateral", items[-1].end, items[-1].end)]


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


def _with_places_joined(found: list[Clause]) -> list[Clause]:
    """`front and rear uj` is one clause: words of place that wait for their part are put to it."""
    joined: list[Clause] = []
    for clause in found:
        last = joined[-1] if joined else None
        if last is not None and last.items[-1].kind == "place" and last.items[-1].meaning.isdigit():
            # `joints 2 and 3`
            clause.items = [Item("place", i.meaning, i.start, i.end) if i.kind == "number" else i for i in clause.items]
        if last is not None and clause.before in ("and", "/", ",") and _awaits(last, clause):
            place = _first_place(clause)
            first = clause.items[place]
            if first.meaning.endswith("_line") and DIMENSIONS.get(last.items[-1].meaning) == "along":
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
        return False
    names_here = bool(last.of("part", "head", "modifier", "foreign"))
    if names_here:
        names_next = bool(clause.of("part", "head", "foreign"))
        return not names_next and clause.before != "," and not clause.of("hint")
    return True

"""Every word and phrase of repair lines with its meanings, shipped ones and the fleet's own, ready for look-up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.fleet_toml.settings_lexicon import OwnWords
from wearmodel.intake.words.part_words import ACCESSORIES, FOREIGN_PARTS, HEADS, MODIFIERS, NEIGHBOURS, PARTS
from wearmodel.intake.words.place_words import DIMENSIONS, HALF_PLACES, PLACES
from wearmodel.intake.words.reason_words import REASON_HINTS
from wearmodel.intake.words.symptom_words import SYMPTOMS
from wearmodel.intake.words.word_forms import WORD_FORMS
from wearmodel.intake.words.word_tokens import WordReader
from wearmodel.intake.words.work_words import DEEDS, MARKS, NUMBER_WORDS

if TYPE_CHECKING:
    from wearmodel.intake.words.wordings import Wording

__all__ = ["Lexicon", "Meaning", "build_lexicon"]

Meaning = tuple[str, str]
"""Kind of a phrase and what it means: `("place", "left")`."""

_Phrases = Mapping[str, Iterable[str]]
_ENDS = ("outboard", "inboard", "upper", "lower")
_RENEWED = frozenset({"replaced", "renewed", "changed", "exchanged", "swapped", "installed", "fitted"})
_PLANNED, _COLLATERAL, _COMEBACK = ("hint", "planned"), ("hint", "collateral"), ("hint", "comeback")
_OF_WORK = frozenset({_PLANNED, _COLLATERAL, _COMEBACK})
_NAMING = frozenset({"part", "modifier", "place"})
_REPEATED = frozenset({"again", "re", "twice", "free"})
_BESIDE = frozenset({*_ENDS, "upper", "lower"}) | {p for p, kind in DIMENSIONS.items() if kind == "beside"}
_BEYOND = frozenset({"behind", "before", "ahead", "just", "nearest", "next", "by"})


@dataclass(frozen=True)
class Lexicon:
    """Phrases and their meanings, and the words they are made of.

    Parameters
    ----------
    meanings : mapping
        Words of a phrase -> its meanings; kinds are `part`, `head`, `modifier`, `accessory`, `foreign`, `neighbour`,
        `place`, `half_place`, `hint`, `symptom`, `deed`, `mark` and `number`.
    longest : mapping of str to int
        First word -> number of words of the longest phrase that begins with it.
    words : WordReader
        Brings texts to words in their one form.
    readings : dict
        Words in their one form -> what they were found to mean; filled as texts are read.
    texts : dict
        Texts as written, long numbers aside -> what they mean; filled likewise.
    steering_side : str
        Side the driver sits on, `left` or `right`; empty where it is not known.
    """

    meanings: Mapping[tuple[str, ...], tuple[Meaning, ...]]
    longest: Mapping[str, int]
    words: WordReader = field(compare=False, repr=False)
    readings: dict[str, "Wording"] = field(compare=False, repr=False)
    texts: dict[str, "Wording"] = field(compare=False, repr=False)
    steering_side: str = ""


def build_lexicon(
    labels: Mapping[str, str], *, own_words: OwnWords | None = None, steering_side: str = ""
) -> Lexicon:
    """Phrases of the shipped lexicon, the names of the fleet's own components and its own words.

    Parameters
    ----------
    labels : mapping of str to str
        Component code -> label, shipped and own.
    own_words : OwnWords, optional
        Phrases of the fleet's own; they beat shipped ones.
    steering_side : str
        Side the driver sits on, `left` or `right`; empty where it is not known.

    Returns
    -------
    Lexicon
        With every phrase in one form.
    """
    own = own_words or OwnWords()
    key = tuple(tuple(sorted(getattr(own, column.name).items())) for column in fields(own))
    return replace(_built(tuple(sorted(labels.items())), key, steering_side), readings={}, texts={})


@lru_cache(maxsize=4)
def _built(
    labels: tuple[tuple[str, str], ...], own_words: tuple[tuple[tuple[str, str], ...], ...], steering_side: str
) -> Lexicon:
    """The lexicon of some labels and own words: tens of thousands of phrases, so the last few are kept."""
    own = OwnWords(*(dict(words) for words in own_words))
    shipped = _shipped()
    names = {
        name: ("part", code)
        for code, label in labels
        if code not in COMPONENTS
        for name in (code.replace("_", " "), label)
    }
    own_phrases = {**names, **_own_phrases(own)}
    reader = WordReader({**WORD_FORMS, **own.words}, phrases=[*shipped, *own_phrases])
    meanings: dict[tuple[str, ...], list[Meaning]] = {}
    for phrase, found in shipped.items():
        if words := reader.phrase(phrase):
            meanings.setdefault(words, []).extend(found)
    for phrase, meaning in own_phrases.items():
        if words := reader.phrase(phrase):
            meanings[words] = [meaning, ("own", "")]
    longest: dict[str, int] = {}
    for words in meanings:
        longest[words[0]] = max(longest.get(words[0], 0), len(words))
    unique = {w: tuple(dict.fromkeys(f) if len(f) > 1 else f) for w, f in meanings.items()}
    return Lexicon(MappingProxyType(unique), MappingProxyType(longest), reader, {}, {}, steering_side)


@lru_cache(maxsize=1)
def _shipped() -> dict[str, list[Meaning]]:
    """Phrases of the shipped lexicon with their meanings."""
    tables: tuple[tuple[str, _Phrases], ...] = (
        ("part", PARTS),
        ("head", HEADS),
        ("modifier", MODIFIERS),
        ("accessory", {"": ACCESSORIES}),
        ("foreign", {"": FOREIGN_PARTS}),
        ("neighbour", NEIGHBOURS),
        ("place", PLACES),
        *(("half_place", {place: (word,)}) for word, place in HALF_PLACES.items()),
        ("hint", REASON_HINTS),
        ("symptom", SYMPTOMS),
        ("deed", DEEDS),
        ("mark", MARKS),
        *(("number", {str(number): (word,)}) for word, number in NUMBER_WORDS.items()),
        ("number", {"all": ("all",), **{str(n): (str(n),) for n in range(1, 9)}}),
    )
    meanings: dict[str, list[Meaning]] = {}
    telling: set[str] = set()
    for kind, table in tables:
        for told, phrases in table.items():
            meaning = (kind, told)
            for phrase in phrases:
                meanings.setdefault(phrase, []).append(meaning)
            if kind in _NAMING or meaning in _OF_WORK:
                telling.update(phrases)
    # Few phrases tell anything by the way; the order is kept, as what is found first counts.
    for phrase in filter(telling.__contains__, meanings):
        found = meanings[phrase]
        if _tells_work(phrase, found):
            found.append(("deed", "renewed"))
        kinds = {kind for kind, _ in found}
        if kinds & {"part", "modifier"}:
            found += [("place", end) for end in _ENDS if end in phrase.split()]
            if "modifier" in kinds and phrase.startswith("centre "):
                found.append(("place", "centre"))
        elif "place" in kinds and ("place", "nowhere") not in found:
            found[:0] = _part_within(phrase, meanings, beside=any(m in _BESIDE for k, m in found if k == "place"))
    return meanings


def _tells_work(phrase: str, found: list[Meaning]) -> bool:
    """Whether a phrase that tells why also tells that a part was renewed: `replaced at interval`, `renewed again`."""
    words = phrase.split()
    if _RENEWED.isdisjoint(words) or any(kind == "deed" for kind, _ in found):
        return False
    is_reason = _PLANNED in found or _COLLATERAL in found
    return is_reason or (_COMEBACK in found and not _REPEATED.isdisjoint(words))


def _part_within(phrase: str, meanings: Mapping[str, list[Meaning]], *, beside: bool) -> list[Meaning]:
    """The part or shaft that a phrase of place names by the way: `rear prop shaft`.

    What the place lies beside is no part of it: `carrier bearing end`. What is at a part may be that part: `at carrier
    bearing`.
    """
    words = phrase.split()
    is_joint = words[-1] == "joint"  # `axle shaft joint` names a joint, `rear prop shaft` a shaft
    kinds = ("part", "head") if beside or is_joint else ("part", "head", "modifier")
    if (beside and words[-1] in ("end", "side")) or words[0] in _BEYOND or "knuckle" in words[-2:]:
        return []
    for length in range(len(words) - 1, 0, -1):
        for start in range(len(words) - length, -1, -1):
            inner = meanings.get(" ".join(words[start : start + length]), [])
            if named := [m for m in inner if m[0] in kinds]:
                return named
    return []


def _own_phrases(own: OwnWords) -> dict[str, Meaning]:
    """The fleet's own phrases with their meanings."""
    works = {"renewed": "renewed", "not renewed": "tended", "later": "later"}
    return {
        **{p: ("part", code) if code != "other" else ("foreign", "") for p, code in own.parts.items()},
        **{phrase: ("place", place) for phrase, place in own.places.items()},
        **{phrase: ("hint", reason) for phrase, reason in own.reasons.items()},
        **{phrase: ("deed", works[work]) for phrase, work in own.work.items()},
    }

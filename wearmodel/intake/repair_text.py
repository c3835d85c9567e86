"""What the wording of a repair line says: which part, where, why, and whether a part was renewed at all.

Nothing here decides: it reports every meaning the words have, and `wearmodel.intake.repair_lines` puts it
beside the part number and the vehicle's layout.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.repair_words import DEEDS, PARTS, PLACES, REASON_WORDS, WORD_FORMS

__all__ = ["Lexicon", "Wording", "build_lexicon", "named_position", "wording"]

_FAMILIES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "cv_joint": ("cv_joint_outboard", "cv_joint_inboard"),
        "cv_boot": ("cv_boot_outboard", "cv_boot_inboard"),
    }
)
# A reason stands beside those it is known to go with; any other pair leaves the reason open.
_PREVAILS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "comeback": frozenset({"failed", "worn", "planned", "collateral", "damage"}),
        "damage": frozenset({"failed", "worn"}),
        "failed": frozenset({"worn"}),
        "worn": frozenset({"planned"}),
        "collateral": frozenset({"planned"}),
    }
)
_WORD = re.compile(r"[a-z]+|\d+")
_LONGEST_TEXT = 2_000


@dataclass(frozen=True)
class Lexicon:
    """Phrases and their meanings, ready for look-up.

    Parameters
    ----------
    meanings : mapping
        Words of a phrase -> its meanings as (kind, meaning); kinds are `part`, `place`, `reason`, `deed`.
    longest : mapping of str to int
        First word -> number of words of the longest phrase that begins with it.
    """

    meanings: Mapping[tuple[str, ...], tuple[tuple[str, str], ...]]
    longest: Mapping[str, int]


@dataclass(frozen=True)
class Wording:
    """What the words of one repair line mean.

    Parameters
    ----------
    parts : tuple of frozenset of str
        For each part named, the components it could be.
    places : frozenset of str
        Words of place.
    reason : str
        The reason the words give; empty where they give none or contradict each other.
    reasons : tuple of str
        Every reason the words hint at.
    deed : str
        `renewed`; `tended` when it was greased, found in order or left for later, and nothing was renewed;
        `unclear` when it was looked at and found bad, without a word on what came of it; else empty.
    is_whole_shaft : bool
        A complete shaft is named and no part of one.
    """

    parts: tuple[frozenset[str], ...]
    places: frozenset[str]
    reason: str
    reasons: tuple[str, ...]
    deed: str
    is_whole_shaft: bool


def build_lexicon(labels: Mapping[str, str]) -> Lexicon:
    """Phrases of the shipped lexicon and the names of the fleet's own components.

    Parameters
    ----------
    labels : mapping of str to str
        Component code -> label, shipped and own.

    Returns
    -------
    Lexicon
        With every phrase in one form.
    """
    meanings: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for kind, table in (("part", PARTS), ("place", PLACES), ("reason", REASON_WORDS), ("deed", DEEDS)):
        for meaning, phrases in table.items():
            for phrase in phrases:
                meanings.setdefault(_words(phrase), []).append((kind, meaning))
    for code, label in labels.items():
        if code not in COMPONENTS:
            for name in (code.replace("_", " "), label):
                if words := _words(name):
                    meanings[words] = [("part", code)]
    longest: dict[str, int] = {}
    for words in meanings:
        longest[words[0]] = max(longest.get(words[0], 0), len(words))
    unique = {words: tuple(dict.fromkeys(found)) for words, found in meanings.items()}
    return Lexicon(MappingProxyType(unique), MappingProxyType(longest))


def wording(text: str, *, lexicon: Lexicon) -> Wording:
    """What the words of a repair line mean.

    Parameters
    ----------
    text : str
        As written; the first 2,000 characters are looked at.
    lexicon : Lexicon
        As built by `build_lexicon`.

    Returns
    -------
    Wording
        Every meaning, decided nowhere but where the words leave no choice.

    Examples
    --------
    >>> found = wording("Replaced L/H outer CV boot, split", lexicon=build_lexicon(COMPONENTS))
    >>> sorted(found.parts[0]), sorted(found.places), found.reason, found.deed
    (['cv_boot_outboard'], ['left', 'outboard'], 'worn', 'renewed')
    """
    found: dict[str, set[str]] = {"part": set(), "place": set(), "reason": set(), "deed": set()}
    for kind, meaning in _meanings(_words(text[:_LONGEST_TEXT]), lexicon):
        found[kind].add(meaning)
    places = frozenset(found["place"] - {"nowhere"})
    reasons = tuple(sorted(found["reason"]))
    return Wording(
        parts=_parts(found["part"], places),
        places=places,
        reason=_reason(found["reason"]),
        reasons=reasons,
        deed=_deed(found["deed"], bool(reasons)),
        is_whole_shaft="whole_shaft" in found["part"] and not _parts(found["part"], places),
    )


def named_position(places: frozenset[str], *, candidates: Iterable[str]) -> str:
    """The only one of some positions that words of place leave.

    Parameters
    ----------
    places : frozenset of str
        As in `Wording.places`.
    candidates : iterable of str
        Positions the part could be in.

    Returns
    -------
    str
        A position; empty where several are left or the words contradict each other. A word that fits no
        candidate at all is passed over.

    Examples
    --------
    >>> named_position(frozenset({"rear"}), candidates=["rear.joint_front", "rear.joint_rear"])
    'rear.joint_rear'
    """
    every = {position: _place_words(position) for position in candidates}
    left = dict(every)
    # The shaft line first: `front shaft, rear joint` is the rear joint of the front line.
    for place in sorted(places, key=lambda word: not word.endswith("_line")):
        fits = {p: w for p, w in every.items() if _is_at(place, p, w)}
        if fits and not left.keys() & fits.keys():
            return ""
        left = {p: w for p, w in left.items() if p in fits} or left
    return next(iter(left)) if len(left) == 1 else ""


def _is_at(place: str, position: str, words: frozenset[str]) -> bool:
    """Whether a word of place fits a position."""
    if place.endswith("_line"):
        return position.partition(".")[0] == place.removesuffix("_line")
    return place in words


def _place_words(position: str) -> frozenset[str]:
    """Words of place in a position's name; the shaft line counts only where nothing else is named."""
    line, _, rest = position.partition(".")
    inner = set(rest.split("_")) & set(PLACES)
    outer = set(line.split("_")) & set(PLACES)
    return frozenset(inner | (outer - {"front", "rear"} if inner else outer))


def _words(text: str) -> tuple[str, ...]:
    """The words in lower case, each in its one form."""
    found = (WORD_FORMS.get(word, word) for word in _WORD.findall(text.casefold()))
    return tuple(part for word in found for part in word.split(" "))


def _meanings(words: tuple[str, ...], lexicon: Lexicon) -> Iterable[tuple[str, str]]:
    """Meanings of all phrases in the text but those that lie within a longer one."""
    reach = 0
    for start, word in enumerate(words):
        for length in range(lexicon.longest.get(word, 0), 0, -1):
            phrase = words[start : start + length]
            if len(phrase) == length and phrase in lexicon.meanings:
                if start + length > reach:
                    reach = start + length
                    yield from lexicon.meanings[phrase]
                break


def _parts(named: set[str], places: frozenset[str]) -> tuple[frozenset[str], ...]:
    """The components each part named could be, narrowed by inboard and outboard, the narrower of two kept."""
    ends = places & {"inboard", "outboard"}
    if "bare_boot" in named and (ends or any(name.startswith("cv_") for name in named)):
        named = named | {"cv_boot"}
    sets = set()
    for name in named - {"whole_shaft", "bare_boot", "other"}:
        family = _FAMILIES.get(name, (name,))
        if len(family) > 1 and len(ends) == 1:
            family = tuple(code for code in family if code.endswith(next(iter(ends))))
        sets.add(frozenset(family))
    return tuple(sorted((s for s in sets if not any(other < s for other in sets)), key=sorted))


def _reason(reasons: set[str]) -> str:
    """The reason that stands when all others go with it."""
    if len(reasons) == 1:
        return next(iter(reasons))
    for reason in reasons:
        if reasons - {reason} <= _PREVAILS.get(reason, frozenset()):
            return reason
    return ""


def _deed(deeds: set[str], has_reason: bool) -> str:
    if "renewed" in deeds:
        return "renewed"
    if deeds & {"tended", "later"}:
        return "tended"
    if "looked" in deeds:
        return "unclear" if has_reason else "tended"
    return ""

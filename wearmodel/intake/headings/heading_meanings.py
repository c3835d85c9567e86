"""What one heading may mean: the canonical columns it could stand for, and how surely."""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from wearmodel.intake.headings.header_words import (
    FILLERS,
    FOREIGN_WORDS,
    HEADER_VARIANTS,
    NEVER_WITH,
    OTHER_LANGUAGES,
    OTHER_VARIANTS,
    OWN_WORDS,
    TABLE_WORDS,
    WORD_FORMS,
)
from wearmodel.intake.tables.schema import SCHEMA

__all__ = [
    "CANONICAL",
    "COMPOUND",
    "HINT",
    "SURE",
    "VARIANT",
    "heading_key",
    "heading_meanings",
    "heading_unit",
    "heading_words",
]

CANONICAL = 1.0
"""Strength of the canonical name itself."""

VARIANT = 0.9
"""Strength of a known variant."""

COMPOUND = 0.8
"""Strength of known words of that column in an order nobody has foreseen."""

SURE = 0.75
"""Headings of at least this strength are candidates on an equal footing."""

_LESSER = 0.6
HINT = 0.5
"""Strength of known words beside unknown ones: worth a proposal, never used unasked."""

_UNIT_WORDS = {
    "km": "km", "kms": "km", "kilometres": "km", "kilometers": "km", "kilometre": "km", "kilometer": "km",
    "mi": "mi", "mile": "mi", "miles": "mi",
    "kmh": "km", "kph": "km", "mph": "mi",
    "mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in",
}  # fmt: skip
# A unit no column is kept in: a lead time in weeks is not one in days.
_OTHER_UNITS = frozenset({"weeks", "week", "wks", "wk", "months", "minutes", "minute", "mins", "min", "thousands"})
# A meter goes by these words only where it counts distance.
_DISTANCE_WORDS = frozenset({"odometer", "odo", "odom", "mileage", "speedo", "hubo", "hubometer"}) | {
    word for word, unit in _UNIT_WORDS.items() if unit in ("km", "mi")
}
_FORMS = {**OTHER_LANGUAGES, **WORD_FORMS}
_NO_WORD = frozenset({"number"})
_LONGEST_HEADING = 100
_MOST_WORDS = 8
_BRACKETED = re.compile(r"[(\[{].*?[)\]}]")
_AN_HOUR = re.compile(r"km/h", re.IGNORECASE)
# An amount of money is the cost of what the other words say: `Parts £`.
_CURRENCY = re.compile("[£€$]")
_WORD = re.compile(r"[^\W\d_]+|\d+")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])")


def heading_key(heading: str) -> str:
    """The heading without case, spaces and punctuation.

    Parameters
    ----------
    heading : str
        As read; the first 100 characters are looked at.
    """
    return "".join(c for c in heading[:_LONGEST_HEADING].casefold() if c.isalnum())


@lru_cache(maxsize=4096)
def heading_words(heading: str) -> tuple[str, ...]:
    """The words of a heading, each in the form it is compared in.

    Parameters
    ----------
    heading : str
        As read.

    Returns
    -------
    tuple of str
        In lower case; short forms and words run together are taken apart.

    Examples
    --------
    >>> heading_words("WODateClsd"), heading_words("VEHNO")
    (('order', 'date', 'closed'), ('unit', 'number'))
    """
    bare = _CAMEL.sub(" ", _BRACKETED.sub(" ", heading[:_LONGEST_HEADING]))
    return _in_one_form(_WORD.findall(bare.casefold()))


def heading_unit(heading: str) -> str:
    """The unit in a heading's bracket or last word; empty where there is none.

    Parameters
    ----------
    heading : str
        As read.
    """
    heading = heading[:_LONGEST_HEADING]
    bracket = _BRACKETED.search(heading)
    told = bracket.group() if bracket is not None else heading
    words = re.findall(r"[^\W_]+", _AN_HOUR.sub("kmh", told).casefold())
    units = [_UNIT_WORDS[word] for word in words if word in _UNIT_WORDS]
    if {"km", "mi"} <= set(units):
        return ""  # `Miles/Km` leaves it open
    if bracket is not None:
        return units[0] if units else ""
    return _UNIT_WORDS.get(words[-1], "") if words else ""


def heading_meanings(headings: Sequence[str], table: str) -> list[dict[str, float]]:
    """Canonical columns each heading of a row could stand for.

    Parameters
    ----------
    headings : sequence of str
        The row as read.
    table : str
        Canonical table name.

    Returns
    -------
    list of dict of str to float
        For each heading canonical name -> strength, 0.5 to 1. Words are compared only in a row that reads like
        headings: one of figures and dates is not one.
    """
    found = [_known(heading, table) if heading else () for heading in headings]
    if any(not f for f in found) and _reads_like_headings(headings):
        found = [f or _worded(heading, table) for f, heading in zip(found, headings, strict=True)]
    return [_without_mixed_meter(dict(pairs), heading) for pairs, heading in zip(found, headings, strict=True)]


def _without_mixed_meter(meanings: dict[str, float], heading: str) -> dict[str, float]:
    """Meanings of a heading, without engine hours where it names distance too: `Odometer/Hours` is the odometer."""
    words = _WORD.findall(_CAMEL.sub(" ", heading[:_LONGEST_HEADING]).casefold())
    if "engine_hours" in meanings and not _DISTANCE_WORDS.isdisjoint(words):
        return {name: strength for name, strength in meanings.items() if name != "engine_hours"}
    return meanings


def _reads_like_headings(headings: Sequence[str]) -> bool:
    filled = [heading for heading in headings if heading and not heading.isspace()]
    figures = sum(1 for heading in filled if heading.lstrip()[0].isdigit() or len(heading) > _LONGEST_HEADING)
    return 4 * figures < len(filled)


@lru_cache(maxsize=16_384)
def _known(heading: str, table: str) -> tuple[tuple[str, float], ...]:
    """Columns for which the heading is the canonical name or a variant."""
    keys = _KEYS[table]
    key = heading_key(heading)
    if _CURRENCY.search(heading):
        return ()
    if key in keys:
        return keys[key]
    if not key or key.isdigit():
        return ()
    bare = _without_unit(heading)
    return keys.get(heading_key(bare), ()) if bare and not _has_other_unit(heading) else ()


@lru_cache(maxsize=4096)
def _worded(heading: str, table: str) -> tuple[tuple[str, float], ...]:
    """Columns whose words the heading holds, the strongest alone."""
    if _has_other_unit(heading):
        return ()
    words = heading_words(_CURRENCY.sub(" cost ", _without_unit(heading)))
    if not 0 < len(words) <= _MOST_WORDS:
        return ()
    exact = _PHRASES[table].get(words)
    if exact:
        return exact
    strengths: dict[str, float] = {}
    lengths: dict[str, int] = {}
    for name, variant, is_likely in _VARIANT_WORDS[table]:
        strength = _compound_strength(set(words), variant, name, table, is_likely=is_likely)
        if strength > strengths.get(name, 0.0) or (strength and len(variant) > lengths.get(name, 0)):
            strengths[name] = max(strength, strengths.get(name, 0.0))
            lengths[name] = max(len(variant), lengths.get(name, 0))
    if not strengths:
        return ()
    best = max((strengths[name], lengths[name]) for name in strengths)
    return tuple((name, s) for name, s in strengths.items() if (s, lengths[name]) == best)


def _compound_strength(words: set[str], variant: frozenset[str], name: str, table: str, *, is_likely: bool) -> float:
    """How surely a heading with all words of a variant and some more is that column; 0 when it is not."""
    if not variant <= words or variant == _NO_WORD:
        return 0.0
    more = words - variant - OWN_WORDS.get(name, frozenset()) - _VOCABULARY[name]
    if (words - variant) & NEVER_WITH.get(name, frozenset()):
        return 0.0
    more -= FILLERS | TABLE_WORDS[table]
    if more & FOREIGN_WORDS or len(more) > 2:
        return 0.0
    if more:
        return HINT
    return COMPOUND if is_likely else _LESSER


def _in_one_form(words: Sequence[str]) -> tuple[str, ...]:
    parts = [part for word in words for part in _split(word)]
    return tuple(form for part in parts for form in _FORMS.get(part, part).split())


@lru_cache(maxsize=4096)
def _split(word: str) -> tuple[str, ...]:
    """The known words a longer one is run together of; the word itself where it is not."""
    if word in _EVERY_WORD or not 5 <= len(word) <= 30:
        return (word,)
    # Fewest known words that make up each beginning of the word.
    best: list[tuple[str, ...] | None] = [()] + [None] * len(word)
    for end in range(2, len(word) + 1):
        for start in range(max(0, end - 15), end - 1):
            before = best[start]
            piece = word[start:end]
            if before is None or piece not in _EVERY_WORD:
                continue
            so_far = best[end]
            if so_far is None or len(before) + 1 < len(so_far):
                best[end] = (*before, piece)
    return best[-1] or (word,)


def _without_unit(heading: str) -> str:
    """The heading without a bracket and without a unit as its last word."""
    bare = _BRACKETED.sub(" ", heading[:_LONGEST_HEADING])
    words = re.findall(r"[^\W_]+|[£€$]", _AN_HOUR.sub("kmh", bare))
    if len(words) > 1 and words[-1].casefold() in _UNIT_WORDS and words[-1].casefold() != "in":
        words = words[:-1]
    return " ".join(words)


def _has_other_unit(heading: str) -> bool:
    bracket = _BRACKETED.search(heading[:_LONGEST_HEADING])
    words = re.findall(r"[^\W_]+", (bracket.group() if bracket else heading[-12:]).casefold())
    return bool(words) and (words[-1] in _OTHER_UNITS or (bracket is not None and not _OTHER_UNITS.isdisjoint(words)))


def _variants(name: str) -> Iterator[tuple[str, float]]:
    yield name.replace("_", " "), CANONICAL
    for variant in HEADER_VARIANTS[name]:
        yield variant, VARIANT
    for variant in OTHER_VARIANTS.get(name, ()):
        yield variant, _LESSER


def _every_word() -> frozenset[str]:
    phrases = [variant for name in HEADER_VARIANTS for variant, _ in _variants(name)]
    words = {word for phrase in phrases for word in phrase.split()}
    return frozenset(words | set(_FORMS) | FILLERS | FOREIGN_WORDS) - {"a"}


def _keys_of(table: str) -> dict[str, tuple[tuple[str, float], ...]]:
    """Variants of a table's columns without spaces -> their columns."""
    keys: dict[str, dict[str, float]] = {}
    for name in SCHEMA[table].names:
        for variant, strength in _variants(name):
            entry = keys.setdefault(heading_key(variant), {})
            entry[name] = max(strength, entry.get(name, 0.0))
    return {key: tuple(entry.items()) for key, entry in keys.items()}


def _phrases_of(table: str) -> dict[tuple[str, ...], tuple[tuple[str, float], ...]]:
    """Variants of a table's columns, their words in one form -> their columns."""
    phrases: dict[tuple[str, ...], dict[str, float]] = {}
    for name in SCHEMA[table].names:
        for variant, strength in _variants(name):
            entry = phrases.setdefault(_in_one_form(variant.split()), {})
            entry[name] = max(min(strength, VARIANT), entry.get(name, 0.0))
    return {words: tuple(entry.items()) for words, entry in phrases.items()}


def _variant_words_of(table: str) -> tuple[tuple[str, frozenset[str], bool], ...]:
    """Column, words and whether it is a likely one, of every variant of a table's columns."""
    return tuple(
        dict.fromkeys(
            (name, frozenset(_in_one_form(variant.split())), strength > _LESSER)
            for name in SCHEMA[table].names
            for variant, strength in _variants(name)
        )
    )


def _vocabulary_of(name: str) -> frozenset[str]:
    """Words of a column's likely variants: beside one of them the others change nothing."""
    likely = [variant for variant, strength in _variants(name) if strength > _LESSER]
    return frozenset(word for variant in likely for word in _in_one_form(variant.split()))


_EVERY_WORD = _every_word()
_KEYS = {table: _keys_of(table) for table in SCHEMA}
_PHRASES = {table: _phrases_of(table) for table in SCHEMA}
_VARIANT_WORDS = {table: _variant_words_of(table) for table in SCHEMA}
_VOCABULARY: Mapping[str, frozenset[str]] = {name: _vocabulary_of(name) for name in HEADER_VARIANTS}

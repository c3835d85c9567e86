"""Section `[lexicon]` of `fleet.toml`: the fleet's own words for parts, places, reasons and work."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from wearmodel.intake.fleet_toml.toml_section import TomlSection, nearest_to
from wearmodel.intake.tables.schema import REASONS
from wearmodel.intake.words.place_words import PLACES

__all__ = ["OWN_PLACES", "OWN_WORK", "OwnWords", "own_words_of"]

OWN_WORK = ("renewed", "not renewed", "later")
"""What own words can say of the work."""

OWN_PLACES = tuple(place for place in PLACES if place not in ("nowhere", "fr", "both_sides"))
"""Places own words can mean."""

_MOST_PHRASES = 2_000
_LONGEST_PHRASE = 80
_PHRASE = re.compile(r"[a-z0-9]+(?:[ '/&.\-]+[a-z0-9]+)*")
_SPELLING = re.compile(r"[a-z]+(?:['/&.\-][a-z]+)*")


@dataclass(frozen=True)
class OwnWords:
    """A fleet's own words; they beat the shipped ones.

    Parameters
    ----------
    parts : mapping of str to str
        Phrase -> component code, `other` for what is no part of a driveline.
    places : mapping of str to str
        Phrase -> place, one of `OWN_PLACES`.
    reasons : mapping of str to str
        Phrase -> reason.
    work : mapping of str to str
        Phrase -> `renewed`, `not renewed` or `later`.
    words : mapping of str to str
        Spelling -> the word it stands for.
    """

    parts: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)
    reasons: Mapping[str, str] = field(default_factory=dict)
    work: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)


def own_words_of(section: TomlSection, *, components: Collection[str]) -> OwnWords:
    """Own words of `[lexicon]`.

    Parameters
    ----------
    section : TomlSection
        `[lexicon]`: sections `parts`, `places`, `reasons` and `work` list phrases by what they mean, section `words`
        gives the word each spelling stands for.
    components : collection of str
        Known component codes.

    Returns
    -------
    OwnWords
        Phrases in lower case.
    """
    section.check_keys(("parts", "places", "reasons", "work", "words"))
    return OwnWords(
        parts=_phrases(section.section("parts"), (*components, "other"), "add it under [components]"),
        places=_phrases(section.section("places"), OWN_PLACES, "use one of them"),
        reasons=_phrases(section.section("reasons"), REASONS, "use " + ", ".join(REASONS)),
        work=_phrases(section.section("work"), OWN_WORK, "use " + ", ".join(OWN_WORK)),
        words=_words(section.section("words")),
    )


def _phrases(section: TomlSection, known: Iterable[str], remedy: str) -> Mapping[str, str]:
    """Phrase -> meaning, from lists of phrases by meaning."""
    meanings = tuple(known)
    phrases: dict[str, str] = {}
    for meaning, listed in section.values.items():
        if meaning not in meanings:
            section.complain(meaning, f"not a known key{nearest_to(meaning, meanings)}", remedy)
            continue
        for phrase in listed if isinstance(listed, list) else [listed]:
            folded = " ".join(phrase.casefold().split()) if isinstance(phrase, str) else ""
            if not _PHRASE.fullmatch(folded) or len(folded) > _LONGEST_PHRASE:
                section.complain(
                    meaning, "holds something that is no phrase", f"list plain words, {_LONGEST_PHRASE} letters at most"
                )
            elif phrases.setdefault(folded, meaning) != meaning:
                section.complain(meaning, f"{folded!r} stands under {phrases[folded]!r} too", "keep it in one place")
    if len(phrases) > _MOST_PHRASES:
        section.problems.append(f"fleet.toml, {section.name}: more than {_MOST_PHRASES:,} phrases; keep the usual.")
    return MappingProxyType(phrases)


def _words(section: TomlSection) -> Mapping[str, str]:
    """Spelling -> word it stands for."""
    words: dict[str, str] = {}
    for spelling in section.values:
        form = " ".join(section.text(spelling, "").casefold().split())
        folded = spelling.casefold().strip()
        if not _SPELLING.fullmatch(folded) or len(folded) > _LONGEST_PHRASE:
            section.complain(spelling, "not one word", "write a single word on the left")
        elif form and not _PHRASE.fullmatch(form):
            section.complain(spelling, f"{form[:60]!r} is not plain words", "write plain words on the right")
        elif form:
            words[folded] = form
    return MappingProxyType(words)

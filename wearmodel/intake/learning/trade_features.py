"""What the classifier of trade lines sees of a line: its words, pairs, pieces, and what the lexicon made of them."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

from wearmodel.intake.learning.wording_features import NUMBER, normalised_texts
from wearmodel.intake.words.wordings import Wording

__all__ = ["line_words", "rule_features", "word_features"]

_PIECES = (3, 4, 5)
_EDGE = "^"
_MOST_PARTS = 3


def line_words(text: str) -> list[str]:
    """The words of a line in lower case; every number is the same word.

    Parameters
    ----------
    text : str
        As written; the first 2,000 characters are looked at.
    """
    return str(normalised_texts([text])[0]).split()


@lru_cache(maxsize=65_536)
def word_features(word: str) -> tuple[str, ...]:
    """A word and its pieces of three to five letters; a number has none.

    Parameters
    ----------
    word : str
        As of `line_words`.
    """
    if word == NUMBER:
        return (f"w:{word}",)
    padded = f" {word} "
    pieces = (f"c:{padded[at : at + size]}" for size in _PIECES for at in range(len(padded) - size + 1))
    return (f"w:{word}", *pieces)


def rule_features(words: list[str], wording: Wording) -> list[str]:
    """Pairs of words, and what the lexicon read: each once.

    Parameters
    ----------
    words : list of str
        As of `line_words`.
    wording : Wording
        Of the same line.
    """
    pairs = (f"p:{one} {two}" for one, two in pairwise([_EDGE, *words, _EDGE]))
    return list(dict.fromkeys((*pairs, *(f"r:{name}" for name in _read(wording)))))


def _read(wording: Wording) -> Iterator[str]:
    deed, reason = wording.deed or "none", wording.reason or "none"
    yield from (f"deed_{deed}", f"reason_{reason}", f"both_{deed}_{reason}")
    yield from (f"whole_{wording.is_whole_shaft}", f"doubt_{wording.is_doubtful}", f"greasing_{wording.is_greasing}")
    yield from (f"shaft_{wording.names_shaft}", f"other_{wording.names_other}")
    yield f"named_{min(len(wording.named), _MOST_PARTS)}"
    for name, values in (("hint", wording.reasons), ("evidence", wording.evidence), ("place", wording.places)):
        yield from (f"{name}_{value}" for value in values)
    for part in wording.named:
        yield from (f"part_deed_{part.deed or 'none'}", f"part_reason_{part.reason or 'none'}")
        yield from (f"condemned_{part.is_condemned}", f"sure_{part.is_sure}")
        yield from (f"option_{option}" for option in part.options)

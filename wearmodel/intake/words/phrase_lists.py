"""Lists of phrases as they are written in the lexicon."""

from collections.abc import Mapping
from itertools import product
from types import MappingProxyType

__all__ = ["joined", "phrase_table", "phrases", "words_of"]


def phrases(text: str) -> tuple[str, ...]:
    """The phrases of a text that divides them by semicolons.

    Parameters
    ----------
    text : str
        Line breaks and spaces do not matter.

    Examples
    --------
    >>> phrases("hanger bearing; pillow block")
    ('hanger bearing', 'pillow block')
    """
    return tuple(dict.fromkeys(" ".join(phrase.split()) for phrase in text.split(";") if phrase.strip()))


def joined(*texts: str) -> tuple[str, ...]:
    """Every choice of one phrase from each of some texts, in their order.

    Parameters
    ----------
    *texts : str
        As for `phrases`; `-` among them stands for none.

    Examples
    --------
    >>> joined("cut; torn", "by", "wire; -")
    ('cut by wire', 'cut by', 'torn by wire', 'torn by')
    """
    choices = product(*(("" if phrase == "-" else phrase for phrase in phrases(text)) for text in texts))
    return tuple(dict.fromkeys(" ".join(filter(None, choice)) for choice in choices))


def phrase_table(texts: Mapping[str, str]) -> Mapping[str, tuple[str, ...]]:
    """Meaning -> phrases, from texts that divide them by semicolons.

    Parameters
    ----------
    texts : mapping of str to str
        Meaning -> text.
    """
    return MappingProxyType({meaning: phrases(text) for meaning, text in texts.items()})


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text that divides them by spaces.

    Parameters
    ----------
    text : str
        Line breaks do not matter.
    """
    return tuple(text.split())

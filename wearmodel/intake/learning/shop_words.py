"""A shop's own words for a renewal and for its reason, learnt from the lines it has coded itself.

A line coded with a component and a reason renewed a part, whatever its words. A word that tells the lexicon nothing, or
only that something was mended, and that stands on many such lines which else do not tell what was done, but on hardly
any line of work that renewed nothing, is the shop's word for it. In the same way a word or a pair of words that stands
with one reason again and again, where the lexicon reads another or none, is the shop's way to say that reason.
"""

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from scipy.special import bdtrc

from wearmodel.intake.words.repair_text import Lexicon, wording
from wearmodel.intake.words.word_tokens import UNKNOWN

__all__ = ["CodedLines", "ReasonCheck", "ShopWords", "coded_lines", "reason_check", "reason_words", "renewal_words"]

_TOKEN = re.compile(r"[a-z]+(?:['’/&.\-][a-z]+)*")
_FEWEST = 8
_FEWEST_COMPONENTS = 2
_LEAST_SHARE = 0.05
#: On lines of other work a word for a renewal is at most this many times as common as on the coded ones.
_MOST_ELSEWHERE = 0.1
#: Chance that a word without meaning would do as well.
_CHANCE = 0.001
_LEAST_PURE, _MOST_AGREED = 0.9, 0.7
_LEAST_NEW = 4
_MOST_CODED, _MOST_OTHERS, _MOST_REASON_WORDS = 4_000, 8_000, 40
_TELL_NOTHING = frozenset({("deed", "mended")})
_NAMES = frozenset(
    {"part", "head", "modifier", "accessory", "foreign", "neighbour", "place", "half_place", "number", "deed", "mark"}
)

_Texts = npt.NDArray[np.object_]
_Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class CodedLines:
    """Different wordings of lines the shop has coded, and of others beside them.

    Parameters
    ----------
    components, reasons : mapping of str to str
        Text -> code.
    others : tuple of str
        Texts of lines without codes.
    """

    components: Mapping[str, str]
    reasons: Mapping[str, str]
    others: tuple[str, ...]


@dataclass(frozen=True)
class ShopWords:
    """What coded lines taught.

    Parameters
    ----------
    renewal : mapping of str to int
        Word that means a renewal -> number of coded wordings it stands on.
    reasons : mapping of str to str
        Word or pair of words -> reason.
    """

    renewal: Mapping[str, int] = field(default_factory=dict)
    reasons: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class ReasonCheck:
    """Shares of coded wordings, 0 to 1.

    Parameters
    ----------
    right : float
        Their words give the coded reason.
    wrong : float
        Their words give another one; words that give none are neither.
    """

    right: float
    wrong: float


def coded_lines(texts: _Texts, components: _Texts, reasons: _Texts, *, coded: _Mask) -> CodedLines:
    """Wordings to learn from; of very many the first few thousand.

    Parameters
    ----------
    texts, components, reasons : numpy.ndarray of object, shape (n_rows,)
        Text and codes of every row.
    coded : numpy.ndarray of bool, shape (n_rows,)
        Rows whose component and reason the shop filled in itself.

    Returns
    -------
    CodedLines
        Each wording once; one with several codes goes by its first.
    """
    own_components: dict[str, str] = {}
    own_reasons: dict[str, str] = {}
    for text, component, reason in zip(texts[coded], components[coded], reasons[coded], strict=True):
        if text and len(own_reasons) < _MOST_CODED:
            own_components.setdefault(text, component)
            own_reasons.setdefault(text, reason)
    others = dict.fromkeys(text for text in texts[~coded] if text)
    return CodedLines(own_components, own_reasons, tuple(others)[:_MOST_OTHERS])


def renewal_words(lines: CodedLines, *, lexicon: Lexicon) -> dict[str, int]:
    """Words that mean a renewal in this shop.

    Parameters
    ----------
    lines : CodedLines
        To learn from.
    lexicon : Lexicon
        Words of the trade and of the fleet.

    Returns
    -------
    dict of str to int
        Word in lower case -> number of different coded wordings it stands on; empty where too few are coded, or where
        no line of other work is there to tell it from.
    """
    untold = [text for text in lines.components if wording(text, lexicon=lexicon).deed in ("", "unclear")]
    if len(untold) < _FEWEST:
        return {}
    deeds = [wording(text, lexicon=lexicon).deed for text in lines.others]
    tended = [text for text, deed in zip(lines.others, deeds, strict=True) if deed == "tended"]
    share = len(tended) / max(len(tended) + deeds.count("renewed"), 1)
    if not 0.0 < share < 1.0:
        return {}
    fewest = max(_FEWEST, math.ceil(math.log(_CHANCE) / math.log1p(-share)), math.ceil(_LEAST_SHARE * len(untold)))
    stands_on = _texts_by_word(untold, lambda text: _blank_words(text, lexicon))
    elsewhere = Counter(word for text in tended for word in _blank_words(text, lexicon))
    found: dict[str, int] = {}
    for word, texts in stands_on.items():
        is_rare = elsewhere[word] / len(tended) <= _MOST_ELSEWHERE * len(texts) / len(untold)
        if len(texts) >= fewest and is_rare and len({lines.components[t] for t in texts}) >= _FEWEST_COMPONENTS:
            found[word] = len(texts)
    return found


def reason_words(lines: CodedLines, *, lexicon: Lexicon) -> dict[str, str]:
    """Words, and pairs of words, that stand for a reason in this shop.

    Parameters
    ----------
    lines : CodedLines
        To learn from.
    lexicon : Lexicon
        Words of the trade and of the fleet.

    Returns
    -------
    dict of str to str
        Word or pair in lower case -> reason; those first that right most coded wordings.
    """
    wrong = {t for t, code in lines.reasons.items() if wording(t, lexicon=lexicon).reason != code}
    base = Counter(lines.reasons.values())
    candidates: list[tuple[int, str, str, set[str]]] = []
    for word, texts in _texts_by_word(lines.reasons, lambda text: _telling_words(text, lexicon)).items():
        count = len(texts)
        if count < _FEWEST or len(texts & wrong) < (1.0 - _MOST_AGREED) * count:
            continue
        reason, right = Counter(lines.reasons[text] for text in texts).most_common(1)[0]
        by_chance = bdtrc(right - 1, count, base[reason] / len(lines.reasons))
        if right >= _LEAST_PURE * count and by_chance < _CHANCE:
            candidates.append((len(texts & wrong), word, reason, texts))
    found: dict[str, str] = {}
    for _, word, reason, texts in sorted(candidates, key=lambda c: (-c[0], -len(c[1].split()), c[1])):
        if len(texts & wrong) >= _LEAST_NEW and len(found) < _MOST_REASON_WORDS:
            found[word] = reason
            wrong -= texts
    return found


def reason_check(lines: CodedLines, *, lexicon: Lexicon) -> ReasonCheck:
    """How the reasons that words give go with the coded ones.

    Parameters
    ----------
    lines : CodedLines
        Coded wordings.
    lexicon : Lexicon
        To read them with.

    Returns
    -------
    ReasonCheck
        Shares of the coded wordings; 0 without any.
    """
    read = [(wording(text, lexicon=lexicon).reason, code) for text, code in lines.reasons.items()]
    count = max(len(read), 1)
    right = sum(reason == code for reason, code in read) / count
    return ReasonCheck(right, sum(reason not in ("", code) for reason, code in read) / count)


def _texts_by_word(texts: Mapping[str, str] | list[str], words: Callable[[str], Set[str]]) -> dict[str, set[str]]:
    """Texts each word stands on."""
    found: defaultdict[str, set[str]] = defaultdict(set)
    for text in texts:
        for word in words(text):
            found[word].add(text)
    return found


def _blank_words(text: str, lexicon: Lexicon) -> set[str]:
    """Words of a text that tell nothing, or only that something was mended."""
    return {
        token
        for token in _TOKEN.findall(text.casefold())
        if lexicon.words[token] == UNKNOWN or set(_meanings(token, lexicon)) & _TELL_NOTHING
    }


def _telling_words(text: str, lexicon: Lexicon) -> set[str]:
    """Words and pairs of words of a text without those that name parts or places."""
    tokens = _TOKEN.findall(text.casefold())
    free = [not any(kind in _NAMES for kind, _ in _meanings(token, lexicon)) for token in tokens]
    single = {token for token, is_free in zip(tokens, free, strict=True) if is_free and lexicon.words[token]}
    marked = list(zip(tokens, free, strict=True))
    return single | {f"{a} {b}" for (a, first), (b, second) in pairwise(marked) if first and second}


def _meanings(token: str, lexicon: Lexicon) -> tuple[tuple[str, str], ...]:
    read = lexicon.words[token].split()
    whole = lexicon.meanings.get(tuple(read), ())
    return tuple(whole) + tuple(m for word in read for m in lexicon.meanings.get((word,), ()))

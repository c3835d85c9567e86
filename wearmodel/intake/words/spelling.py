"""Slips of the pen: the known word a misspelt one is meant to be, where only one can be meant."""

from collections.abc import Mapping

from wearmodel.intake.words.slip_words import GUARDED_WORDS, MENDED_WORDS

__all__ = ["Speller"]

_SHORTEST = 5
_LONG = 8
_LONGEST = 20
_FEWEST_LETTERS_JOINED = 2


class Speller:
    """Corrects words towards a vocabulary.

    Parameters
    ----------
    forms : mapping of str to str
        Every known word -> the form it is read as. Words of one form count as one meaning; only those of
        `MENDED_WORDS` are mended towards.

    Notes
    -----
    A word of 5 to 7 letters may be one slip away from a known word, a longer one two: a letter left out, put in or
    taken for another, or two changed about; the first letter stands, or changes place with the second. Shorter
    words, and ordinary English words that happen to be near, are left alone. Every known word is listed under all
    its spellings with that many letters left out, so that a look-up never compares with the whole vocabulary.
    """

    def __init__(self, forms: Mapping[str, str]) -> None:
        self._forms = forms
        self._near: dict[str, list[str]] = {}
        for word in forms:
            if word in MENDED_WORDS:
                for shorter in _with_letters_out(word, 2 if len(word) >= _LONG - 1 else 1):
                    self._near.setdefault(shorter, []).append(word)

    def form(self, word: str) -> str:
        """The form of the only known word this one can be meant to be; empty where there is none or are several.

        Examples
        --------
        >>> speller = Speller({"bearing": "bearing", "replaced": "replaced", "shaft": "shaft", "boot": "boot"})
        >>> speller.form("bearign"), speller.form("replcaed"), speller.form("shift"), speller.form("boat")
        ('bearing', 'replaced', '', '')
        """
        if not _SHORTEST <= len(word) <= _LONGEST or not word.isalpha() or word in GUARDED_WORDS:
            return ""
        most = 2 if len(word) >= _LONG else 1
        found: dict[int, set[str]] = {}
        for shorter in _with_letters_out(word, most):
            for known in self._near.get(shorter, ()):
                begins_alike = word[0] == known[0] or word[:2] == known[1::-1]
                slips = _slips(word, known, most) if begins_alike else most + 1
                if slips <= most:
                    found.setdefault(slips, set()).add(self._forms[known])
        meant = found[min(found)] if found else set()
        return next(iter(meant)) if len(meant) == 1 else ""

    def parts(self, word: str, strong: frozenset[str]) -> tuple[str, str] | None:
        """The two words that were run together here; None where there are none or several pairs.

        Parameters
        ----------
        word : str
            Not known as it is.
        strong : frozenset of str
            Words that may be run together.

        Examples
        --------
        >>> Speller({}).parts("outercv", frozenset({"outer", "cv"}))
        ('outer', 'cv')
        """
        if word in GUARDED_WORDS or len(word) > 2 * _LONGEST:
            return None
        cuts = range(_FEWEST_LETTERS_JOINED, len(word) - _FEWEST_LETTERS_JOINED + 1)
        pairs = [(word[:i], word[i:]) for i in cuts if word[:i] in strong and word[i:] in strong]
        return pairs[0] if len(pairs) == 1 else None


def _with_letters_out(word: str, most: int) -> set[str]:
    """The word, and the word with up to so many letters left out."""
    every = {word}
    latest = every
    for _ in range(most):
        latest = {w[:i] + w[i + 1 :] for w in latest for i in range(len(w))}
        every = every | latest
    return every


def _slips(word: str, known: str, most: int) -> int:
    """Least number of slips between two words; more than `most` where there are more."""
    if abs(len(word) - len(known)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(known) + 1))
    for i, letter in enumerate(word, start=1):
        two_before, before, row = before, row, [i]
        for j, other in enumerate(known, start=1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other))
            if i > 1 and j > 1 and letter == known[j - 2] and word[i - 2] == other:
                cost = min(cost, two_before[j - 2] + 1)
            row.append(cost)
    return row[-1]


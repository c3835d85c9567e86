"""What of a repair line's wording a classifier sees: words, pairs of words and pieces of words."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

__all__ = ["NUMBER", "TextFeatures", "Texts", "Vocabulary", "fit_vocabulary", "normalised_texts"]

FloatArray = npt.NDArray[np.float64]
Texts = Sequence[str] | npt.NDArray[np.object_]

NUMBER = "#"
"""The word that stands for every number."""

_LONGEST_TEXT = 2_000
_WORD = re.compile(r"[^\W\d_]{1,30}|\d+")
# A word met in one wording only tells nothing of others.
_FEWEST_WORDINGS = 2
# Brings a text of ordinary length to about length 1, which the usual penalty of a regression is meant for.
_SCALE = np.float32(0.05)


@dataclass(frozen=True, eq=False)
class TextFeatures:
    """Features of some texts.

    Parameters
    ----------
    held : sparse matrix, shape (n_texts, n_features)
        1 where a text holds a feature of the vocabulary.
    words : ndarray, shape (n_texts,)
        Number of different words of each text, known or not; numbers do not count.
    is_word : ndarray of bool, shape (n_features,)
        Whether a feature is a single word.
    """

    held: Any
    words: FloatArray
    is_word: npt.NDArray[np.bool_]

    def part(self, rows: npt.NDArray[np.bool_]) -> "TextFeatures":
        """Features of some of the texts.

        Parameters
        ----------
        rows : ndarray of bool, shape (n_texts,)
            Which.
        """
        return TextFeatures(self.held[rows], self.words[rows], self.is_word)

    def rarity(self) -> FloatArray:
        """Weight of each feature: the more, the fewer texts hold it; 0 where fewer than two do."""
        holders = np.asarray(self.held.sum(axis=0), dtype=np.float64).ravel()
        inverse = np.log((1.0 + self.held.shape[0]) / (1.0 + holders)) + 1.0
        return np.where(holders >= _FEWEST_WORDINGS, inverse, 0.0)

    def weighted(self, weights: FloatArray) -> Any:
        """Features times their weights, as a sparse matrix.

        Parameters
        ----------
        weights : ndarray, shape (n_features,)
            From `rarity` of the texts learnt from.

        Notes
        -----
        Texts are not brought to one length: a lone word would then speak as loud as a whole sentence.
        """
        from scipy import sparse

        matrix = self.held @ sparse.diags(weights.astype(np.float32), format="csr")
        matrix.eliminate_zeros()
        return matrix * _SCALE

    def known_share(self, weights: FloatArray) -> FloatArray:
        """Share of each text's words that were met in learning, 0 for a text without words.

        Parameters
        ----------
        weights : ndarray, shape (n_features,)
            From `rarity` of the texts learnt from.
        """
        known = self.held @ ((weights > 0.0) & self.is_word).astype(np.float64)
        return np.asarray(known / np.maximum(self.words, 1.0))


@dataclass(frozen=True, eq=False)
class Vocabulary:
    """What is looked for in texts, as found by `fit_vocabulary`.

    Parameters
    ----------
    terms, pieces : CountVectorizer
        Words and pairs of words; pieces of three and four letters.
    """

    terms: Any
    pieces: Any

    def features(self, texts: Sequence[str]) -> TextFeatures:
        """Features of normalised texts.

        Parameters
        ----------
        texts : sequence of str
            As of `normalised_texts`.
        """
        from scipy import sparse

        words, holds = _distinct_words(texts)
        # Pieces are looked for once in each different word, not in each text.
        among = holds @ self.pieces.transform(words)
        among.data[:] = 1.0
        held = sparse.hstack([self.terms.transform(texts), among], format="csr", dtype=np.float32)
        is_word = np.zeros(held.shape[1], dtype=bool)
        is_word[[at for term, at in self.terms.vocabulary_.items() if " " not in term and term != NUMBER]] = True
        return TextFeatures(held, np.diff(holds.indptr).astype(np.float64), is_word)


def normalised_texts(texts: Texts) -> npt.NDArray[np.object_]:
    """Words in lower case with single spaces between them; every number is the same word.

    Parameters
    ----------
    texts : sequence of str
        As written; the first 2,000 characters of each are looked at.

    Returns
    -------
    ndarray of str
        Empty where there is neither a word nor a number.

    Examples
    --------
    >>> normalised_texts(["REPL. U/J, order 4711"]).tolist()
    ['repl u j order #']
    """
    out = np.empty(len(texts), dtype=object)
    for row, text in enumerate(texts):
        words = _WORD.findall(unicodedata.normalize("NFKC", str(text)[:_LONGEST_TEXT]).casefold())
        out[row] = " ".join(NUMBER if word[0].isdigit() else word for word in words)
    return out


def fit_vocabulary(texts: Sequence[str]) -> Vocabulary:
    """The vocabulary of some texts: words and pairs that two of them hold, pieces of any word.

    Parameters
    ----------
    texts : sequence of str
        As of `normalised_texts`, with words that occur more than once.
    """
    from sklearn.feature_extraction.text import CountVectorizer

    terms = CountVectorizer(
        tokenizer=str.split,
        token_pattern=None,
        lowercase=False,
        ngram_range=(1, 2),
        min_df=_FEWEST_WORDINGS,
        binary=True,
    )
    pieces = CountVectorizer(analyzer="char_wb", ngram_range=(3, 4), lowercase=False, binary=True)
    return Vocabulary(terms.fit(texts), pieces.fit(_distinct_words(texts)[0]))


def _distinct_words(texts: Sequence[str]) -> tuple[list[str], Any]:
    """The different words of texts but numbers, and a sparse matrix of which text holds which."""
    from scipy import sparse

    numbers: dict[str, int] = {}
    columns: list[int] = []
    ends = [0]
    for text in texts:
        words = dict.fromkeys(text.split())
        words.pop(NUMBER, None)
        columns += [numbers.setdefault(word, len(numbers)) for word in words]
        ends.append(len(columns))
    shape = (len(texts), len(numbers))
    return list(numbers), sparse.csr_matrix((np.ones(len(columns)), columns, ends), shape=shape)

"""One meaning of one phrase of a repair line."""

from dataclasses import dataclass

__all__ = ["Item"]


@dataclass(frozen=True, slots=True)
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

"""Turns of phrase that are put in other words: tables of patterns, each looked for only where its marks stand."""

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

__all__ = ["Turn", "as_list", "in_turn", "turn"]

_Step = tuple["re.Pattern[str]", str | Callable[["re.Match[str]"], str]]


class Turn(NamedTuple):
    """A turn of phrase and what is put instead.

    Parameters
    ----------
    marks : tuple of str
        A text that holds none of them is left alone: looking for a few letters is much faster than a pattern.
    steps : tuple
        Patterns and what is put instead of what they find, one after the other.
    beside : tuple of str
        A text must hold one of these too; empty where the marks are enough.
    """

    marks: tuple[str, ...]
    steps: tuple[_Step, ...]
    beside: tuple[str, ...] = ()

    def put(self, text: str) -> str:
        """The text in other words; marks are not looked for."""
        for pattern, instead in self.steps:
            text = pattern.sub(instead, text)
        return text


def turn(*marks: str, steps: Iterable[_Step], beside: tuple[str, ...] = ()) -> Turn:
    """A turn of phrase.

    Parameters
    ----------
    *marks, steps, beside
        As of `Turn`.
    """
    return Turn(marks, tuple(steps), beside)


def in_turn(words: str, turns: Iterable[Turn]) -> str:
    """The words after all turns of a table, in its order.

    Parameters
    ----------
    words : str
        In their one form, with a space between them; marks are words of their own.
    turns : iterable of Turn
        Each is given the words the one before it left.

    Examples
    --------
    >>> in_turn("bolts nipped up", [turn(" up", steps=[(re.compile("nipped up"), "tightened")])])
    'bolts tightened'
    """
    for marks, steps, beside in turns:
        for mark in marks:
            if mark in words:
                break
        else:
            continue
        if not beside or any(other in words for other in beside):
            for pattern, instead in steps:
                words = pattern.sub(instead, words)
    return words


def as_list(named: "re.Pattern[str]", renewed: "re.Pattern[str]") -> Callable[["re.Match[str]"], str]:
    """What joins two parts, as `and` where the work on both is told after them.

    Parameters
    ----------
    named, renewed : re.Pattern
        Find the name of a part, and the work that renews one.

    Returns
    -------
    callable
        For a step of a turn.
    """

    def joined(found: "re.Match[str]") -> str:
        before = found.string[: found.start()].rpartition(" . ")[2]
        after = found.string[found.end() :]
        is_list = named.search(before) and not renewed.search(before) and renewed.search(after)
        return "and " if is_list else found[0]

    return joined

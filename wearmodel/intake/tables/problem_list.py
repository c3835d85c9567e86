"""The sentences that stop a run, few enough to be read."""

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["MOST_LINES", "ProblemGroup", "problem_lines"]

MOST_LINES = 20
"""Most sentences shown at once."""


@dataclass(frozen=True)
class ProblemGroup:
    """Problems of one table.

    Parameters
    ----------
    lines : tuple of str
        The first sentences, as many as may be shown.
    count : int
        Number of problems in all.
    closing : str
        A sentence that must not be cut off; empty for none.
    """

    lines: tuple[str, ...]
    count: int
    closing: str = ""


def problem_lines(groups: Sequence[ProblemGroup]) -> list[str]:
    """Sentences of all groups, shared fairly between them where there are too many.

    Parameters
    ----------
    groups : sequence of ProblemGroup
        In the order they are to be read.

    Returns
    -------
    list of str
        At most 20 sentences of problems, one for the rest of each group, and every closing sentence.
    """
    share = MOST_LINES
    if sum(group.count for group in groups) > MOST_LINES:
        share = max(2, MOST_LINES // max(len(groups), 1))
    lines: list[str] = []
    for group in groups:
        shown = group.lines[:share]
        lines += shown
        if group.count > len(shown):
            lines.append(f"... and {group.count - len(shown):,} more")
        if group.closing:
            lines.append(group.closing)
    return lines

"""Part numbers that stand for one another: superseded ones and interchangeable ones."""

from collections import Counter
from collections.abc import Iterable, Mapping

import pandas as pd

__all__ = ["circular_numbers", "joined_groups", "part_groups"]


def part_groups(parts: pd.DataFrame) -> Mapping[str, str]:
    """The leading number of the group each part number belongs to.

    Parameters
    ----------
    parts : pandas.DataFrame
        Clean parts table: columns `part_number`, `superseded_by`, `interchangeable_with`; no circles.

    Returns
    -------
    mapping of str to str
        Every part number of the table to the one that demand for the group is counted under: of those that are
        not superseded, the one at the end of the longest line of successors, and of several the first in the
        table. A part that stands alone leads itself.

    Examples
    --------
    >>> dict(part_groups(pd.DataFrame({
    ...     "part_number": ["A", "B", "C"], "superseded_by": ["B", "", ""], "interchangeable_with": ["", "", "A"],
    ... })))
    {'A': 'B', 'B': 'B', 'C': 'B'}
    """
    numbers = [str(number) for number in parts["part_number"]]
    follows = {number: str(other) for number, other in zip(numbers, parts["superseded_by"], strict=True) if other}
    pairs = list(follows.items())
    for number, others in zip(numbers, parts["interchangeable_with"], strict=True):
        pairs += [(number, other) for other in str(others).split(";") if other]
    lengths = _line_lengths(follows)
    leaders: dict[str, str] = {}
    for group in joined_groups(numbers, pairs):
        open_ends = [number for number in group if number not in follows] or list(group)
        leader = max(open_ends, key=lambda number: lengths.get(number, 0))
        leaders.update(dict.fromkeys(group, leader))
    return {number: leaders[number] for number in numbers}


def joined_groups(names: Iterable[str], pairs: Iterable[tuple[str, str]]) -> list[tuple[str, ...]]:
    """Names in groups that are joined by pairs, directly or through others.

    Parameters
    ----------
    names : iterable of str
        All names.
    pairs : iterable of tuple of str
        Names that belong together; pairs with a name that is not there are passed over.

    Returns
    -------
    list of tuple of str
        Groups and their members in the order of the names.

    Examples
    --------
    >>> joined_groups(["A", "B", "C", "D"], [("D", "B"), ("B", "A")])
    [('A', 'B', 'D'), ('C',)]
    """
    order = list(dict.fromkeys(names))
    beside: dict[str, list[str]] = {name: [] for name in order}
    for one, other in pairs:
        if one in beside and other in beside:
            beside[one].append(other)
            beside[other].append(one)
    place = {name: i for i, name in enumerate(order)}
    seen: set[str] = set()
    groups: list[tuple[str, ...]] = []
    for name in order:
        members: list[str] = []
        waiting = [name]
        while waiting:
            current = waiting.pop()
            if current not in seen:
                seen.add(current)
                members.append(current)
                waiting += beside[current]
        if members:
            groups.append(tuple(sorted(members, key=lambda member: place[member])))
    return groups


def circular_numbers(follows: Mapping[str, str]) -> frozenset[str]:
    """Part numbers that lead back to themselves.

    Parameters
    ----------
    follows : mapping of str to str
        Part number -> the one that supersedes it.

    Returns
    -------
    frozenset of str
        Members of circles; numbers that only lead into one are not among them.

    Examples
    --------
    >>> sorted(circular_numbers({"A": "B", "B": "C", "C": "B"}))
    ['B', 'C']
    """
    return frozenset(set(follows) - set(_line_lengths(follows)))


def _line_lengths(follows: Mapping[str, str]) -> dict[str, int]:
    """The most predecessors, one after another, that lead to each number; none for members of circles."""
    before = Counter(follows.values())
    lengths = {number: 0 for number in {**follows, **dict.fromkeys(before, "")} if not before[number]}
    ready = list(lengths)
    reached: dict[str, int] = {}
    while ready:
        number = ready.pop()
        if number in follows:
            after = follows[number]
            reached[after] = max(reached.get(after, 0), lengths[number] + 1)
            before[after] -= 1
            # A number is settled once every line that leads to it has arrived.
            if not before[after]:
                lengths[after] = reached[after]
                ready.append(after)
    return lengths

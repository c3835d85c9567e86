"""Names as one table writes them, found again as another table writes them."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

__all__ = ["NameIndex", "build_name_index", "name_key"]

_FIRST_ZEROS = re.compile(r"(\D*)0+(?=\d)")


@dataclass(frozen=True)
class NameIndex:
    """Known names and their keys.

    Parameters
    ----------
    names : frozenset of str
        As their own table writes them.
    by_key : mapping of str to str
        Key -> name, for keys only one name has.
    shared : mapping of str to tuple of str
        Key -> names, for keys that several names have.
    """

    names: frozenset[str]
    by_key: Mapping[str, str]
    shared: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def known(self, text: str) -> str:
        """The known name a text stands for; empty when there is none.

        Examples
        --------
        >>> build_name_index(["T-012", "000123"]).known("t 012")
        'T-012'
        """
        return text if text in self.names else self.by_key.get(name_key(text), "")

    def alike(self, text: str) -> tuple[str, ...]:
        """The names between which a text leaves the choice; none where it is known or like no name.

        Examples
        --------
        >>> build_name_index(["QD-0104", "QD-104"]).alike("qd 104")
        ('QD-0104', 'QD-104')
        """
        return () if text in self.names else self.shared.get(name_key(text), ())


def name_key(text: str) -> str:
    """The text without case, spaces, punctuation and leading zeros of its first number.

    Parameters
    ----------
    text : str
        A name or code.

    Examples
    --------
    >>> name_key("000123"), name_key("U-Joint"), name_key("QD/0104")
    ('123', 'ujoint', 'qd104')
    """
    key = "".join(filter(str.isalnum, text.casefold()))
    # Zeros within a number that follows another, as in 20-005, may tell two names apart.
    zeros = _FIRST_ZEROS.match(key) if "0" in key else None
    return zeros[1] + key[zeros.end() :] if zeros else key


def build_name_index(names: Iterable[str]) -> NameIndex:
    """Index some names.

    Parameters
    ----------
    names : iterable of str
        As their own table writes them.

    Returns
    -------
    NameIndex
        A key that two names share finds neither.
    """
    known = frozenset(names)
    by_key: dict[str, list[str]] = {}
    for name in sorted(known):
        by_key.setdefault(name_key(name), []).append(name)
    unmistakable = {key: alike[0] for key, alike in by_key.items() if key and len(alike) == 1}
    return NameIndex(known, unmistakable, {key: tuple(alike) for key, alike in by_key.items() if len(alike) > 1})

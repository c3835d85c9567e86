"""Names as one table writes them, found again as another table writes them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

__all__ = ["NameIndex", "build_name_index", "name_key"]


@dataclass(frozen=True)
class NameIndex:
    """Known names and their keys.

    Parameters
    ----------
    names : frozenset of str
        As their own table writes them.
    by_key : mapping of str to str
        Key -> name, for keys only one name has.
    """

    names: frozenset[str]
    by_key: Mapping[str, str]

    def known(self, text: str) -> str:
        """The known name a text stands for; empty when there is none.

        Examples
        --------
        >>> build_name_index(["T-012", "000123"]).known("t 012")
        'T-012'
        """
        return text if text in self.names else self.by_key.get(name_key(text), "")


def name_key(text: str) -> str:
    """The text without case, spaces, punctuation and leading zeros of a number.

    Parameters
    ----------
    text : str
        A name or code.

    Examples
    --------
    >>> name_key("000123"), name_key("U-Joint")
    ('123', 'ujoint')
    """
    key = "".join(c for c in text.casefold() if c.isalnum())
    return key.lstrip("0") if key.isdigit() else key


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
    by_key: dict[str, str] = {}
    shared: set[str] = set()
    for name in known:
        key = name_key(name)
        if not key or key in by_key:
            shared.add(key)
        by_key[key] = name
    return NameIndex(known, {key: name for key, name in by_key.items() if key not in shared})

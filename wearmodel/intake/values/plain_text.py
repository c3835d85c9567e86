"""Text from a hostile file made fit for a sentence: short, one line, no control characters."""

import re

__all__ = ["CONTROL_CHARACTERS", "plain"]

CONTROL_CHARACTERS = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\ufffe\uffff"
    "\ud800-\udfff]"
)
"""What no cell needs: control characters but tab and line ends, invisible and direction-turning ones."""

_SPACES = re.compile(r"\s+")


def plain(text: str, *, limit: int = 200) -> str:
    r"""The text on one line, without control characters, cut with an ellipsis at the limit.

    Parameters
    ----------
    text : str
        As read.
    limit : int
        Longest result [characters].

    Examples
    --------
    >>> plain("two\nlines\x00 and more", limit=12)
    'two lines...'
    """
    # A cut well past the limit first: the rest of a huge cell need not be looked at.
    one_line = text[: 4 * limit].strip(" ")
    # What is printable holds no control character and no space but the plain one: most cells are.
    if not one_line.isprintable() or "  " in one_line:
        one_line = _SPACES.sub(" ", CONTROL_CHARACTERS.sub("", one_line)).strip()
    if not one_line.isprintable():
        one_line = "".join(c for c in one_line if c.isprintable())
    return one_line if len(one_line) <= limit else one_line[: limit - 3] + "..."

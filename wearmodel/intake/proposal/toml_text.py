"""Texts from a shop's tables as they may stand in `fleet.toml`, whatever characters they hold."""

from wearmodel.intake.values.plain_text import CONTROL_CHARACTERS

__all__ = ["toml_text"]

_SHORT = {"\\": "\\\\", '"': '\\"', "\t": "\\t", "\n": "\\n", "\r": "\\r"}


def toml_text(text: str) -> str:
    r"""The text in quotation marks, so that reading the file gives it back.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        A basic string of TOML on one line; control, invisible and direction-turning characters are escaped.

    Examples
    --------
    >>> print(toml_text('the "3/4" shaft\n'))
    "the \"3/4\" shaft\n"
    """
    return f'"{"".join(_escaped(c) for c in text)}"'


def _escaped(character: str) -> str:
    if character in _SHORT:
        return _SHORT[character]
    if "\ud800" <= character <= "\udfff":
        return "\\uFFFD"  # half of a character, which no file can hold
    if character.isprintable() and not CONTROL_CHARACTERS.match(character):
        return character
    code = ord(character)
    return f"\\u{code:04X}" if code <= 0xFFFF else f"\\U{code:08X}"

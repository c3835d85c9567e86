"""Codes as a shop writes them: components and reasons that are recognised, and those of other systems."""

from collections import Counter
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from wearmodel.intake.repairs.repair_lines import NOT_A_PART, UNRECOGNISED, LineKnowledge
from wearmodel.intake.tables.schema import REASONS
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.name_index import name_key
from wearmodel.intake.values.plain_text import plain
from wearmodel.intake.words.repair_text import Lexicon, wording

__all__ = ["component_codes", "foreign_notes", "names_parts", "reason_codes", "recognised_notes"]

_LONGEST_CODE = 40
_SHORTEST_REASON = 4
_SHOWN_CODES = 5
_Texts = npt.NDArray[np.object_]


def component_codes(texts: _Texts, *, labels: Mapping[str, str], lexicon: Lexicon) -> dict[str, str]:
    """Components as a shop writes them, where they are known by code, label or a word of the trade.

    Parameters
    ----------
    texts : numpy.ndarray of object
        A column `component`.
    labels : mapping of str to str
        Component code -> label.
    lexicon : Lexicon
        Words of the trade.

    Returns
    -------
    dict of str to str
        Text -> code; texts that are not known have no entry.
    """
    by_key = {name_key(label): code for code, label in labels.items()} | {name_key(code): code for code in labels}
    codes: dict[str, str] = {}
    for text in set(texts) - {""}:
        code = by_key.get(name_key(text), "")
        # A slip in a code is a fault to mend: only what is written as words is read as words.
        if not code and len(text) <= _LONGEST_CODE and "_" not in text:
            parts = wording(text, lexicon=lexicon).parts
            code = next(iter(parts[0])) if len(parts) == 1 and len(parts[0]) == 1 else ""
        if code or text.casefold() == NOT_A_PART:
            codes[text] = code or NOT_A_PART
    return codes


def names_parts(text: str, codes: Mapping[str, str], known: LineKnowledge) -> bool:
    """Whether a component as written is no code but names a part of a driveline, or several it could be.

    Parameters
    ----------
    text : str
        As written.
    codes : mapping of str to str
        As of `component_codes`.
    known : LineKnowledge
        Words of the trade.
    """
    if not text or text in codes or len(text) > _LONGEST_CODE or "_" in text:
        return False
    return len(wording(text, lexicon=known.lexicon).parts) == 1


def reason_codes(texts: _Texts, lexicon: Lexicon) -> dict[str, str]:
    """Reasons as a shop writes them, where they are known.

    Parameters
    ----------
    texts : numpy.ndarray of object
        A column `reason`.
    lexicon : Lexicon
        Words of the trade.

    Returns
    -------
    dict of str to str
        Text -> code; texts that are not known have no entry.
    """
    codes: dict[str, str] = {}
    for text in set(texts) - {""}:
        code = text.casefold() if text.casefold() in REASONS else ""
        # `BRK` may stand for anything: short codes are read only where they are words of the trade.
        is_short = len(text) < _SHORTEST_REASON and lexicon.words[text.casefold()] != text.casefold()
        if not code and len(text) <= _LONGEST_CODE and not is_short:
            code = wording(text, lexicon=lexicon).reason
        if code:
            codes[text] = code
    return codes


def recognised_notes(repairs: TypedTable, column: str, codes: Mapping[str, str]) -> list[str]:
    """A sentence on codes that were not written in canonical form.

    Parameters
    ----------
    repairs : TypedTable
        The table, for its name.
    column : str
        `component` or `reason`.
    codes : mapping of str to str
        Text -> code.
    """
    read = [f"{plain(text)!r} as {code}" for text, code in sorted(codes.items()) if text != code]
    if not read:
        return []
    more = f" and {len(read) - _SHOWN_CODES} more" if len(read) > _SHOWN_CODES else ""
    where = f"{repairs.raw.label}, column {repairs.raw.heading(column)}"
    return [f"{where}: read {', '.join(read[:_SHOWN_CODES])}{more}; map them with values.{column} if that is wrong."]


def foreign_notes(repairs: TypedTable, readings: _Texts) -> list[str]:
    """A sentence on component codes that were taken for another system's.

    Parameters
    ----------
    repairs : TypedTable
        The table.
    readings : numpy.ndarray of LineReading
        One a row.
    """
    is_foreign = np.array([r.problem == UNRECOGNISED for r in readings], dtype=bool)
    written = repairs.texts("component")[is_foreign] if len(readings) else np.empty(0, dtype=object)
    counts = Counter(text for text in written if text not in ("", NOT_A_PART))
    if not counts:
        return []
    shown = ", ".join(f"{plain(text)!r} ({n:,} rows)" for text, n in counts.most_common(_SHOWN_CODES))
    where = f"{repairs.raw.label}, column {repairs.raw.heading('component')}"
    return [f"{where}: {shown} were taken for no part of a driveline; map them with values.component if they are."]

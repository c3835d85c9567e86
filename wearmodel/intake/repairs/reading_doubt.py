"""How likely a reading of a line is wrong as a whole, learnt on lines of workshops kept back.

A reading is held against what lines of the trade say, and judged by what it rests on: words that contradict each other
or that nobody knows, parts without a deed, a reason that is told by one of both only.
"""

from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from io import BytesIO
from math import log

import numpy as np
import numpy.typing as npt

from wearmodel.intake.learning.boosted_trees import BoostedTrees
from wearmodel.intake.learning.trade_reader import SEVERAL, UNSAID, View
from wearmodel.intake.repairs.line_readings import UNRECOGNISED, LineReading
from wearmodel.intake.repairs.repair_lines import LineKnowledge, RepairLine, line_reading
from wearmodel.intake.tables.schema import REASONS
from wearmodel.intake.words.repair_text import Wording

__all__ = ["FEATURES", "ReadingDoubt", "features_of", "helped_reading", "load_reading_doubt"]

FloatArray = npt.NDArray[np.float64]

_NO_CODES = (SEVERAL, UNSAID)
_LEAST = 0.001
_MOST_COUNTED = 4
_REASON_STATES = ("agrees", "other", *_NO_CODES)
_PART_STATES = ("same", "first", "both several", "another too", UNSAID, "among", "other")
_DEEDS = ("renewed", "unclear", "tended", "looked", "")
_LEARNT = ("component", "reason", "work")
FEATURES: tuple[str, ...] = (
    "deed", "other", "several reasons", "further", "names other", "whole shaft", "evidence", "evidence against",
    "idle parts", "unsure part", "unknown words", "unknown share", "words", "left out", "unrecognised",
    *(f"reason {state}" for state in _REASON_STATES), *(f"parts {state}" for state in _PART_STATES),
    *(f"reads {reason}" for reason in REASONS), *(f"hints {reason}" for reason in REASONS),
    *(f"deed {deed}" for deed in _DEEDS), *(f"learnt {name}" for name in _LEARNT), "reason against words",
)  # fmt: skip
"""What a reading is judged by, in the order of the columns."""


def features_of(reading: LineReading, wording: Wording, view: View, *, first: LineReading) -> list[float]:
    """What a reading is judged by.

    Parameters
    ----------
    reading : LineReading
        The reading.
    wording : Wording
        Of the line.
    view : View
        What lines of the trade say of it.
    first : LineReading
        As its words alone were read; the same where nothing was taken from elsewhere.

    Returns
    -------
    list of float
        One for each of `FEATURES`.
    """
    parts = {reading.component, *(part.component for part in reading.further)}
    renewed = view.deed_chance if view.deed == "renewed" else 1.0 - view.deed_chance
    found: dict[str, float] = {
        "deed": _odds(renewed),
        "other": float(view.deed == "other"),
        "several reasons": min(len(wording.reasons), 3),
        "further": min(len(reading.further), 3),
        "names other": wording.names_other,
        "whole shaft": wording.is_whole_shaft,
        "evidence": bool(wording.evidence),
        "evidence against": bool(wording.evidence) and parts.isdisjoint(wording.evidence),
        "idle parts": min(sum(part.deed != "renewed" for part in wording.named), 3),
        "unsure part": not all(part.is_sure for part in wording.named),
        "unknown words": min(view.unknown_words, _MOST_COUNTED),
        "unknown share": view.unknown_words / max(view.words, 1),
        "words": log(view.words + 1.0),
        "left out": first.verdict == "left_out",
        "unrecognised": first.problem == UNRECOGNISED,
        f"reason {_reason_state(reading, view)}": _odds(view.reason_chance),
        f"parts {_part_state(reading, parts, view)}": _odds(view.component_chance),
        f"reads {reading.reason}": 1.0,
        f"deed {wording.deed}": 1.0,
        "reason against words": first.verdict == "kept" and first.reason != reading.reason,
        **{f"hints {reason}": 1.0 for reason in wording.reasons},
        **{f"learnt {name}": 1.0 for name in reading.learnt},
    }
    return [float(found.get(name, 0.0)) for name in FEATURES]


def _odds(chance: float) -> float:
    chance = min(max(chance, _LEAST), 1.0 - _LEAST)
    return log(chance / (1.0 - chance))


def _reason_state(reading: LineReading, view: View) -> str:
    if view.reason == reading.reason:
        return "agrees"
    return view.reason if view.reason in _NO_CODES else "other"


def _part_state(reading: LineReading, parts: set[str], view: View) -> str:
    """How the component a view tells stands to those of a reading."""
    if view.component == UNSAID:
        return UNSAID
    if view.component == SEVERAL:
        return "both several" if len(parts) > 1 else "another too"
    if view.component == reading.component:
        return "same" if len(parts) == 1 else "first"
    return "among" if view.component in parts else "other"


def helped_reading(line: RepairLine, first: LineReading, view: View, *, known: LineKnowledge) -> LineReading | None:
    """A line read once more with what lines of the trade say, where its words leave something open or say otherwise.

    Parameters
    ----------
    line : RepairLine
        A line without codes.
    first : LineReading
        As its words alone were read.
    view : View
        What lines of the trade say of it.
    known : LineKnowledge
        What it is read against.

    Returns
    -------
    LineReading or None
        Of a line that is used so; None where nothing else comes of it.
    """
    if view.deed != "renewed":
        return None
    if first.verdict == "kept":
        if first.further or view.reason in (*_NO_CODES, first.reason):
            return None
        told = tuple(f"reason {view.reason}" if text.startswith("reason ") else text for text in first.from_text)
        return replace(first, reason=view.reason, from_text=told, learnt=first.learnt | {"reason"})
    # Which end of a shaft is a matter of what was written, not of what is mostly written.
    is_end = len(first.options) > 1 and len({code.rpartition("_")[0] for code in first.options}) == 1
    component = "" if is_end or view.component in _NO_CODES else view.component
    # Nor is what is mostly written a judge of words that contradict each other.
    reason = "" if view.reason in _NO_CODES or len(first.hints) > 1 else view.reason
    helped = replace(
        line, learnt_component=component, learnt_reason=reason, is_learnt_renewal=True,
        is_renewal_after_all=first.verdict == "left_out" and first.problem != UNRECOGNISED,
    )  # fmt: skip
    second = line_reading(helped, known=known)
    return second if second.verdict == "kept" else None


@dataclass(frozen=True, eq=False)
class ReadingDoubt:
    """What doubts readings.

    Parameters
    ----------
    used : BoostedTrees
        Chance that a reading that is used is wrong.
    dropped : BoostedTrees
        Chance that a line that is left out renewed a part of a driveline.
    """

    used: BoostedTrees
    dropped: BoostedTrees


@cache
def load_reading_doubt() -> ReadingDoubt:
    """The doubt that ships with the program.

    Returns
    -------
    ReadingDoubt
        Learnt by `data/trade_lines/learn_doubt.py`.
    """
    raw = files("wearmodel.intake.learning").joinpath("doubt_weights.npz").read_bytes()
    with np.load(BytesIO(raw)) as stored:
        return ReadingDoubt(BoostedTrees.of(stored, "used_"), BoostedTrees.of(stored, "dropped_"))

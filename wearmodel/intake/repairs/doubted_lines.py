"""Lines without codes settled by how likely their reading is wrong: used, helped by other lines, or asked about."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wearmodel.intake.learning.boosted_trees import BoostedTrees
from wearmodel.intake.learning.trade_reader import SEVERAL, UNSAID, View
from wearmodel.intake.repairs.line_readings import FOR_REVIEW, LineReading
from wearmodel.intake.repairs.reading_doubt import features_of, helped_reading, load_reading_doubt
from wearmodel.intake.repairs.repair_lines import LineKnowledge, RepairLine
from wearmodel.questions import Answer

__all__ = ["DoubtedLine", "SettledLine", "settled_lines"]

_NO_CODES = (SEVERAL, UNSAID)
#: From this chance of being wrong on a reading of words alone is asked about.
_ASKED = 0.4
#: The same where a line tells nothing but how its part was: there is little to judge it by.
_ASKED_BARE = 0.6
#: From this chance on that something was renewed a line that would be left out is asked about.
_WORTH_ASKING = 0.35
#: From this chance on a view of the trade's lines speaks against a reading, however sure that is.
_SPEAKS_UP = 0.9
#: From this chance on a component is worth suggesting.
_CLEAR = 0.9


@dataclass(frozen=True)
class DoubtedLine:
    """A line without codes.

    Parameters
    ----------
    line : RepairLine
        The line.
    reading : LineReading
        As its words alone were read.
    view : View
        What lines of the trade say of it.
    """

    line: RepairLine
    reading: LineReading
    view: View


@dataclass(frozen=True)
class SettledLine:
    """What becomes of a line.

    Parameters
    ----------
    reading : LineReading
        As it was; read with what other lines say; or waiting, with the best suggestion.
    chance : float
        Chance that a reading helped by other lines is right, 0 for any other.
    """

    reading: LineReading
    chance: float = 0.0


def settled_lines(lines: Sequence[DoubtedLine], *, known: LineKnowledge, threshold: float) -> list[SettledLine]:
    """What becomes of lines without codes.

    Parameters
    ----------
    lines : sequence of DoubtedLine
        Any number.
    known : LineKnowledge
        What they are read against.
    threshold : float
        Chance from which on what other lines say is used without asking.

    Returns
    -------
    list of SettledLine
        One a line.
    """
    doubt = load_reading_doubt()
    helped = [helped_reading(one.line, one.reading, one.view, known=known) for one in lines]
    of_words = _chances(doubt.used, lines, [one.reading if one.reading.verdict == "kept" else None for one in lines])
    of_helped = _chances(doubt.used, lines, helped)
    of_dropped = _chances(
        doubt.dropped, lines, [one.reading if one.reading.verdict == "left_out" else None for one in lines]
    )
    return [
        _settled(one, second, words=p, helped=q, dropped=r, threshold=threshold)
        for one, second, p, q, r in zip(lines, helped, of_words, of_helped, of_dropped, strict=True)
    ]


def _chances(
    trees: BoostedTrees, lines: Sequence[DoubtedLine], readings: Sequence[LineReading | None]
) -> list[float]:
    """Chance of each reading; 0 where there is none."""
    places = [n for n, reading in enumerate(readings) if reading is not None]
    chances = np.zeros(len(lines))
    if places:
        rows = [
            features_of(reading, one.line.words, one.view, first=one.reading)
            for one, reading in zip(lines, readings, strict=True)
            if reading is not None
        ]
        chances[places] = trees.chances(np.array(rows))
    return [float(chance) for chance in chances]


def _settled(
    one: DoubtedLine, second: LineReading | None, *, words: float, helped: float, dropped: float, threshold: float
) -> SettledLine:
    first, view = one.reading, one.view
    is_sure = second is not None and 1.0 - helped >= threshold
    if second is not None and is_sure and (first.verdict != "kept" or helped < words):
        return SettledLine(second, 1.0 - helped)
    limit = _ASKED if one.line.words.deed else _ASKED_BARE
    if first.verdict == "kept" and (words >= limit or _speaks_against(one)):
        return SettledLine(_asked(first, one, words))
    if first.verdict == "left_out" and dropped >= _WORTH_ASKING:
        return SettledLine(_asked_after_all(first, view))
    return SettledLine(first)


def _speaks_against(one: DoubtedLine) -> bool:
    """Whether lines of the trade are sure that nothing was renewed, or a part the words do not speak of."""
    view, parts = one.view, {one.reading.component, *(part.component for part in one.reading.further)}
    if view.deed != "renewed":
        return view.deed_chance >= _SPEAKS_UP
    spoken_of = {option for part in one.line.words.named for option in part.options}
    return view.component not in (*_NO_CODES, *parts, *spoken_of) and view.component_chance >= _SPEAKS_UP


def _asked(reading: LineReading, one: DoubtedLine, chance: float) -> LineReading:
    """A used line that waits, with what speaks against it."""
    view = one.view
    parts = {reading.component, *(part.component for part in reading.further)}
    spoken_of = {option for part in one.line.words.named for option in part.options}
    answer = Answer(work="renewed", component=reading.component, position=reading.position, reason=reading.reason)
    if view.deed != "renewed":
        work = "not renewed" if view.deed == "idle" else "other"
        return _waiting(reading, "reads as a renewal, while lines so worded mostly renew nothing", Answer(work=work))
    if view.component not in (*_NO_CODES, *parts, *spoken_of):
        problem = f"reads as {reading.component}, while lines so worded are mostly about a {view.component}"
        return _waiting(reading, problem, replace(answer, component=view.component, position=""))
    if not reading.further and view.reason not in (*_NO_CODES, reading.reason):
        problem = f"reads as {reading.reason}, while lines so worded mostly say {view.reason}"
        return _waiting(reading, problem, replace(answer, reason=view.reason))
    problem = f"reads as {reading.component}, {reading.reason}, but {chance:.0%} of lines so worded turn out otherwise"
    return _waiting(reading, problem, answer)


def _asked_after_all(reading: LineReading, view: View) -> LineReading:
    """A line left out that may have renewed something."""
    is_clear = view.component not in _NO_CODES and view.component_chance >= _CLEAR
    reason = "" if view.reason in _NO_CODES else view.reason
    part = f"a {view.component}" if is_clear else "a part"
    answer = Answer(work="renewed", component=view.component if is_clear else "", reason=reason)
    return _waiting(reading, f"is worded like lines that renew {part}", answer)


def _waiting(reading: LineReading, problem: str, suggestion: Answer) -> LineReading:
    return replace(
        reading, verdict="waiting", column="text", problem=problem, action=FOR_REVIEW, suggestion=suggestion,
        from_text=(), candidates=(), further=(),
    )  # fmt: skip

"""Lines settled by a person's answers: every part of a line that names several."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isfinite

from wearmodel.intake.repairs.line_readings import FurtherPart, LineReading
from wearmodel.intake.repairs.repair_lines import LineKnowledge, RepairLine, line_reading
from wearmodel.intake.repairs.repair_questions import line_parts_of, part_key
from wearmodel.questions import Answer, several

__all__ = ["answered_columns", "with_answered_parts", "with_positions"]


def answered_columns(answer: Answer, *, component: str, positions: Mapping[str, str]) -> tuple[Answer, ...]:
    """The parts an answer names, the line's own first.

    Parameters
    ----------
    answer : Answer
        On what a wording means.
    component : str
        As the line has it; empty where it is blank.
    positions : mapping of str to str
        Of the vehicle: position -> component.

    Returns
    -------
    tuple of Answer
        One a part, with the reason of its own or that of all, and the position among those given that holds such a
        part; at least one.
    """
    components = several(answer.component) or (component,)
    reasons = several(answer.reason) or ("",)
    left = list(several(answer.position))
    parts: list[Answer] = []
    for number, code in enumerate(components):
        position = next((place for place in left if positions.get(place) == code), "")
        if position:
            left.remove(position)
        reason = reasons[number] if len(reasons) == len(components) else reasons[0]
        parts.append(replace(answer, component=code, position=position, reason=reason))
    return tuple(parts)


def with_answered_parts(
    reading: LineReading, others: Sequence[Answer], *, line: RepairLine, known: LineKnowledge
) -> LineReading:
    """A line with the other parts that an answer names.

    Parameters
    ----------
    reading : LineReading
        Of the line's own part.
    others : sequence of Answer
        One a part, as of `answered_columns`.
    line : RepairLine
        The line without its codes: its vehicle and its words.
    known : LineKnowledge
        What it is read against.

    Returns
    -------
    LineReading
        As it was with further parts; or why one of them cannot be used, which holds for the whole line.
    """
    if reading.verdict != "kept":
        return reading
    further: list[FurtherPart] = []
    for part in others:
        other = replace(line, component=part.component, position=part.position, reason=part.reason)
        read = line_reading(other, known=known)
        if read.verdict != "kept":
            return read
        further += [replace(p, quantity=p.quantity if isfinite(p.quantity) else 1.0) for p in line_parts_of(read)]
    told = [f"also {part.component} {part.position}".strip() for part in further]
    return replace(reading, further=(*reading.further, *further), from_text=(*reading.from_text, *told))


def with_positions(
    reading: LineReading, *, row: Mapping[str, str], corrections: Mapping[str, Answer]
) -> tuple[LineReading, tuple[str, ...]]:
    """A line with the positions a person gave for those of its parts that left them open.

    Parameters
    ----------
    reading : LineReading
        A used line.
    row : mapping of str to str
        As for `wearmodel.intake.repairs.repair_questions.position_key`.
    corrections : mapping of str to Answer
        By key of the question.

    Returns
    -------
    LineReading, tuple of str
        The line, and the positions that were given. Two parts counted together may be given two positions; an answer
        with a position that is not possible, or more of them than parts, settles nothing.
    """
    parts = line_parts_of(reading)
    settled: list[FurtherPart] = []
    told: list[str] = []
    for part in parts:
        answer = corrections.get(part_key(row, part, parts)) if part.candidates else None
        places = several(answer.position) if answer is not None else ()
        is_possible = set(places) <= set(part.candidates) - set(told) and len(set(places)) == len(places)
        if not places or not is_possible or len(places) > max(1.0, part.quantity if isfinite(part.quantity) else 1.0):
            settled.append(part)
            continue
        told += places
        count = part.quantity / len(places)
        settled += [replace(part, position=place, quantity=count, candidates=()) for place in places]
    own, *further = settled
    reading = replace(
        reading, position=own.position, candidates=own.candidates, quantity=own.quantity, further=tuple(further)
    )
    return reading, tuple(told)

"""The repairs table: every line read against layout, catalogue and its own text."""

from collections import Counter
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from wearmodel.intake.distinct_rows import map_distinct
from wearmodel.intake.event_checks import check_repeats
from wearmodel.intake.fleet_vehicles import Vehicles
from wearmodel.intake.name_index import build_name_index, name_key
from wearmodel.intake.plain_text import plain
from wearmodel.intake.repair_lines import NOT_A_PART, UNRECOGNISED, LineKnowledge, LineReading, RepairLine, line_reading
from wearmodel.intake.repair_text import Lexicon, Wording, wording
from wearmodel.intake.schema import REASONS, SCHEMA
from wearmodel.intake.typed_tables import TypedTable

__all__ = ["check_repairs", "component_codes"]

_LONGEST_CODE = 40
_SHOWN_CODES = 5


def component_codes(texts: npt.NDArray[np.object_], *, labels: Mapping[str, str], lexicon: Lexicon) -> dict[str, str]:
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
        if not code and len(text) <= _LONGEST_CODE:
            parts = wording(text, lexicon=lexicon).parts
            code = next(iter(parts[0])) if len(parts) == 1 and len(parts[0]) == 1 else ""
        if code or text.casefold() == NOT_A_PART:
            codes[text] = code or NOT_A_PART
    return codes


def check_repairs(repairs: TypedTable, *, vehicles: Vehicles, known: LineKnowledge) -> tuple[str, ...]:
    """Read every repair line; faulty lines and lines without a part in the answer are noted.

    Parameters
    ----------
    repairs : TypedTable
        Repairs, units checked. Its frame is completed: component, position, reason and quantity.
    vehicles : Vehicles
        With their drivelines.
    known : LineKnowledge
        Layouts, components, catalogue and words.

    Returns
    -------
    tuple of str
        Sentences on codes that were recognised, or that name no part of a driveline.
    """
    frame, log = repairs.frame, repairs.log
    check_repeats(repairs, columns=SCHEMA["repairs"].names)
    given = {name: repairs.texts(name) for name in ("component", "position", "part_number", "reason")}
    codes = component_codes(given["component"], labels=known.components, lexicon=known.lexicon)
    reasons = _reason_codes(given["reason"], known.lexicon)
    notes = [*_recognised(repairs, "component", codes), *_recognised(repairs, "reason", reasons)]
    components = map_distinct(lambda text: codes.get(str(text), str(text)), given["component"])
    numbers = given["part_number"]
    if known.catalogue is not None:
        index = build_name_index(known.catalogue)
        numbers = map_distinct(lambda text: index.known(str(text)) or str(text), numbers)
    drivelines = map_distinct(lambda unit: vehicles.drivelines.get(str(unit), ""), repairs.texts("unit"))
    word_ids, wordings = _wordings(repairs.texts("text"), known.lexicon)

    def reading(driveline: str, component: str, position: str, number: str, reason: str, words: int) -> LineReading:
        line = RepairLine(driveline, component, position, number, reason, wordings[words])
        return line_reading(line, known=known)

    canonical_reasons = map_distinct(lambda text: reasons.get(str(text), str(text)), given["reason"])
    readings = map_distinct(reading, drivelines, components, given["position"], numbers, canonical_reasons, word_ids)
    _note_verdicts(repairs, readings)
    for name in ("component", "position", "reason"):
        frame[name] = np.array([getattr(r, name) for r in readings], dtype=object)
    frame["part_number"] = numbers
    frame["quantity"] = frame["quantity"].fillna(1.0)
    returned = ((frame["quantity"] <= 0.0) | (frame["parts_cost"] < 0.0)).to_numpy()
    log.leave_out(returned, column="quantity", problem="is a return or credit, no part renewed", action="left out")
    return (*notes, *_foreign_codes(repairs, readings))


def _reason_codes(texts: npt.NDArray[np.object_], lexicon: Lexicon) -> dict[str, str]:
    """Reasons as a shop writes them, where they are known."""
    codes: dict[str, str] = {}
    for text in set(texts) - {""}:
        code = text.casefold() if text.casefold() in REASONS else ""
        if not code and len(text) <= _LONGEST_CODE:
            code = wording(text, lexicon=lexicon).reason
        if code:
            codes[text] = code
    return codes


def _recognised(repairs: TypedTable, column: str, codes: Mapping[str, str]) -> list[str]:
    """A sentence on codes that were not written in canonical form."""
    read = [f"{plain(text)!r} as {code}" for text, code in sorted(codes.items()) if text != code]
    if not read:
        return []
    more = f" and {len(read) - _SHOWN_CODES} more" if len(read) > _SHOWN_CODES else ""
    where = f"{repairs.raw.label}, column {repairs.raw.heading(column)}"
    return [f"{where}: read {', '.join(read[:_SHOWN_CODES])}{more}; map them with values.{column} if that is wrong."]


def _wordings(
    texts: npt.NDArray[np.object_], lexicon: Lexicon
) -> tuple[npt.NDArray[np.object_], dict[int, Wording]]:
    """The number of each row's wording, and the wordings by number: many texts say the same."""
    numbers: dict[Wording, int] = {}

    def number(text: object) -> int:
        return numbers.setdefault(wording(str(text), lexicon=lexicon), len(numbers))

    ids = map_distinct(number, texts)
    return ids, {i: words for words, i in numbers.items()}


def _note_verdicts(repairs: TypedTable, readings: npt.NDArray[np.object_]) -> None:
    """Note what each reading says against its row, or what it took from the text."""
    verdicts = np.array([reading.verdict for reading in readings], dtype=object)
    columns = np.array([reading.column for reading in readings], dtype=object)
    problems = np.array([reading.problem for reading in readings], dtype=object)
    actions = np.array([reading.action for reading in readings], dtype=object)
    foreign = problems == UNRECOGNISED
    repairs.log.leave_out(foreign, column="text", problem=problems, action=actions, whatever_faults=True)
    for column in sorted(set(columns) - {""}):
        here = columns == column
        repairs.log.fault(here & (verdicts == "faulty"), column=column, problem=problems, action=actions)
        repairs.log.leave_out(here & (verdicts == "left_out"), column=column, problem=problems, action=actions)
    filled = np.array([", ".join(reading.from_text) for reading in readings], dtype=object)
    action = map_distinct(lambda text: f"read from the words as {text}", filled)
    repairs.log.repair(
        filled != "", column="text", problem="stands where a column is blank or in words", action=action
    )


def _foreign_codes(repairs: TypedTable, readings: npt.NDArray[np.object_]) -> list[str]:
    """A sentence on component codes that were taken for another system's."""
    is_foreign = np.array([r.problem == UNRECOGNISED for r in readings], dtype=bool)
    written = repairs.texts("component")[is_foreign] if len(readings) else np.empty(0, dtype=object)
    counts = Counter(text for text in written if text not in ("", NOT_A_PART))
    if not counts:
        return []
    shown = ", ".join(f"{plain(text)!r} ({n:,} rows)" for text, n in counts.most_common(_SHOWN_CODES))
    where = f"{repairs.raw.label}, column {repairs.raw.heading('component')}"
    return [f"{where}: {shown} were taken for no part of a driveline; map them with values.component if they are."]

"""One repair line beside the vehicle's layout and the parts catalogue: what was renewed, where and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from wearmodel.intake.name_index import build_name_index
from wearmodel.intake.repair_text import Lexicon, Wording, named_position, wording
from wearmodel.intake.row_log import SET_ASIDE
from wearmodel.intake.schema import REASONS
from wearmodel.intake.toml_section import nearest_to

__all__ = ["NOT_A_PART", "UNRECOGNISED", "CatalogueEntry", "LineKnowledge", "LineReading", "RepairLine", "line_reading"]

NOT_A_PART = "other"
"""Code a shop's components can be mapped to when they are none of a driveline."""

UNRECOGNISED = "no driveline part recognised"
"""Problem of a line that is about something else."""

_FOR_REVIEW = "set aside for review; fill it in to use the row"


@dataclass(frozen=True)
class CatalogueEntry:
    """What the parts table says of one part number.

    Parameters
    ----------
    component : str
        Its component.
    position : str
        The only position it fits; empty where it fits several.
    renews : tuple of str
        Positions or components a kit renews together; empty for a single part.
    """

    component: str
    position: str = ""
    renews: tuple[str, ...] = ()


@dataclass(frozen=True)
class LineKnowledge:
    """What repair lines are read against.

    Parameters
    ----------
    positions : mapping
        Driveline -> {position: component}, of every driveline in the fleet.
    all_positions : mapping of str to str
        Every known position -> component, of all layouts.
    components : mapping of str to str
        Component code -> label.
    catalogue : mapping of str to CatalogueEntry, or None
        By part number; None without a parts table.
    lexicon : Lexicon
        Words of the trade.
    """

    positions: Mapping[str, Mapping[str, str]]
    all_positions: Mapping[str, str]
    components: Mapping[str, str]
    catalogue: Mapping[str, CatalogueEntry] | None
    lexicon: Lexicon


@dataclass(frozen=True)
class RepairLine:
    """A repair line as given, codes already in canonical form where they are known.

    Parameters
    ----------
    driveline : str
        Of the vehicle; empty where the vehicle is unknown.
    component, position, part_number, reason : str
        As given; empty where blank.
    words : Wording
        Of the text.
    """

    driveline: str
    component: str
    position: str
    part_number: str
    reason: str
    words: Wording


@dataclass(frozen=True)
class LineReading:
    """A repair line as it is used, or why it is not.

    Parameters
    ----------
    component, position, reason : str
        Canonical; empty component: the kit of the part number tells; empty position: several are possible.
    verdict : str
        `kept`, `faulty` or `left_out`.
    column, problem, action : str
        What stands against a line that is not kept.
    from_text : tuple of str
        What was read from the text: `component u_joint`.
    """

    component: str
    position: str
    reason: str
    verdict: Literal["kept", "faulty", "left_out"] = "kept"
    column: str = ""
    problem: str = ""
    action: str = ""
    from_text: tuple[str, ...] = ()


def line_reading(line: RepairLine, *, known: LineKnowledge) -> LineReading:
    """What one repair line says, or why it cannot be used.

    Parameters
    ----------
    line : RepairLine
        As given.
    known : LineKnowledge
        Layouts, components and catalogue.

    Returns
    -------
    LineReading
        Blank component, position and reason filled from the part number, the layout and the text, in that
        order; never from a guess between two.
    """
    if not _is_driveline(line, known):
        return _left_out(line, "text", UNRECOGNISED, "left out; name its component if it is one")
    if not line.driveline:
        return LineReading(line.component, line.position, line.reason)
    positions = known.positions[line.driveline]
    position = _position(line, known, positions)
    refusal = _unknown_code(line, position, known) or _nothing_renewed(line)
    if refusal is not None:
        return refusal
    component = _component(line, position, known, positions)
    if isinstance(component, LineReading):
        return component
    refusal = _contradiction(line, component, position, known, positions)
    if refusal is not None:
        return refusal
    entry = _entry(line, known)
    is_told = bool(line.component or position or not component or (entry is not None and not entry.renews))
    from_text = [] if is_told else [f"component {component}"]
    if position != line.position:
        from_text.append(f"position {position}")
    if not position and component:
        position = _only_position(line, component, known, positions)
        if not position and (position := _position_in_text(line, component, positions)):
            from_text.append(f"position {position}")
    reason = line.reason
    if not reason:
        if not line.words.reason:
            hints = " and ".join(line.words.reasons)
            problem = f"its words hint at {hints}" if hints else "no word of it tells one"
            return _left_out(line, "text", f"does not settle the blank reason: {problem}", _FOR_REVIEW)
        reason = line.words.reason
        from_text.append(f"reason {reason}")
    return LineReading(component, position, reason, from_text=tuple(from_text))


def _faulty(line: RepairLine, column: str, problem: str, action: str = SET_ASIDE) -> LineReading:
    return LineReading(line.component, line.position, line.reason, "faulty", column, problem, action)


def _left_out(line: RepairLine, column: str, problem: str, action: str) -> LineReading:
    return LineReading(line.component, line.position, line.reason, "left_out", column, problem, action)


def _entry(line: RepairLine, known: LineKnowledge) -> CatalogueEntry | None:
    return known.catalogue.get(line.part_number) if known.catalogue else None


def _is_driveline(line: RepairLine, known: LineKnowledge) -> bool:
    """Whether anything on the line names a part of a driveline."""
    if line.component == NOT_A_PART:
        return False
    if line.component in known.components or _entry(line, known) or line.words.parts:
        return True
    if line.words.is_whole_shaft and line.words.deed == "renewed":
        return True
    if line.position in known.all_positions and not line.component:
        return True
    # A slip of the pen in a component code is a fault to mend, another system's code is not.
    return bool(get_close_matches(line.component[:60], known.components, n=1, cutoff=0.75)) and bool(line.component)


def _position(line: RepairLine, known: LineKnowledge, positions: Mapping[str, str]) -> str:
    """The vehicle's position the line names, in code or in words; empty when it names none."""
    if not line.position:
        return ""
    position = build_name_index(positions).known(line.position)
    # A code with a slip in it is not read as words: `rear.joint_fornt` is not the rear joint.
    if position or "." in line.position or "_" in line.position:
        return position
    fits = [p for p, c in positions.items() if not line.component or c == line.component]
    places = wording(line.position, lexicon=known.lexicon).places
    return named_position(places, candidates=fits) if places else ""


def _unknown_code(line: RepairLine, position: str, known: LineKnowledge) -> LineReading | None:
    """The refusal of a line that holds a code nobody knows."""
    if line.component and line.component not in known.components:
        near = nearest_to(line.component, known.components)
        return _faulty(line, "component", f"is not a known component{near}", f"{SET_ASIDE}; correct or map the code")
    if line.position and not position:
        near = nearest_to(line.position, known.positions[line.driveline])
        return _faulty(line, "position", f"is not a position of {line.driveline}{near}")
    if line.part_number and known.catalogue is not None and _entry(line, known) is None:
        return _faulty(line, "part_number", "is not in the parts table", f"{SET_ASIDE}; add the part to the table")
    if line.reason and line.reason not in REASONS:
        near = nearest_to(line.reason, REASONS)
        remedy = f"{SET_ASIDE}; map the code with values.reason in fleet.toml"
        return _faulty(line, "reason", f"is not a known reason{near}", remedy)
    return None


def _nothing_renewed(line: RepairLine) -> LineReading | None:
    """The refusal of a line on greasing, looking or work still to do."""
    if line.part_number or line.reason not in ("", "planned"):
        return None
    if line.words.deed == "tended":
        return _left_out(line, "text", "no part renewed", "left out")
    if line.words.deed == "unclear" and not line.reason:
        return _left_out(line, "text", "does not tell whether a part was renewed", _FOR_REVIEW)
    return None


def _component(
    line: RepairLine, position: str, known: LineKnowledge, positions: Mapping[str, str]
) -> str | LineReading:
    """The component renewed; empty when the part number's kit tells; or the refusal of the line."""
    if line.component or position:
        return line.component or positions[position]
    entry = _entry(line, known)
    if entry is not None and not entry.renews:
        return entry.component
    if entry is not None:
        return _named_in_kit(line, entry, known, positions)
    if len(line.words.parts) > 1:
        named = ", ".join(sorted("/".join(sorted(part)) for part in line.words.parts))
        return _left_out(line, "text", f"names several parts ({named})", _FOR_REVIEW)
    if not line.words.parts:
        return _left_out(line, "text", "names a whole shaft, not which of its parts", _FOR_REVIEW)
    part = line.words.parts[0]
    options = sorted(part & set(positions.values())) or sorted(part)
    if len(options) > 1:
        return _left_out(line, "text", f"could mean {' or '.join(options)}", _FOR_REVIEW)
    if options[0] not in positions.values():
        problem = f"names a {options[0]}, which {line.driveline} does not have"
        return _left_out(line, "text", problem, _FOR_REVIEW)
    return options[0]


def _named_in_kit(
    line: RepairLine, entry: CatalogueEntry, known: LineKnowledge, positions: Mapping[str, str]
) -> str:
    """The one component of a kit that the text names; empty when it names none or several."""
    renewed = {known.all_positions.get(name, name) for name in entry.renews} | {entry.component}
    named = [part & renewed & set(positions.values()) for part in line.words.parts]
    return next(iter(named[0])) if len(named) == 1 and len(named[0]) == 1 else ""


def _contradiction(
    line: RepairLine, component: str, position: str, known: LineKnowledge, positions: Mapping[str, str]
) -> LineReading | None:
    """The refusal of a line whose columns do not go together."""
    if position and component and positions[position] != component:
        return _faulty(line, "position", f"holds a {positions[position]}, the line says {component}")
    if component and component not in positions.values():
        return _faulty(line, "component", f"a {component} is no part of {line.driveline}, the vehicle's driveline")
    entry = _entry(line, known)
    if entry is None or not component:
        return None
    renewed = {known.all_positions.get(name, name) for name in entry.renews} | {entry.component}
    if component not in renewed:
        problem = f"is a {entry.component} in the parts table, the line says {component}"
        return _left_out(line, "part_number", problem, "set aside for review; correct the line or the parts table")
    return None


def _only_position(line: RepairLine, component: str, known: LineKnowledge, positions: Mapping[str, str]) -> str:
    """The position where layout or catalogue leave no choice."""
    fits = [place for place, part in positions.items() if part == component]
    if len(fits) == 1:
        return fits[0]
    entry = _entry(line, known)
    return entry.position if entry is not None and entry.position in fits else ""


def _position_in_text(line: RepairLine, component: str, positions: Mapping[str, str]) -> str:
    """The position the words of place leave."""
    fits = [place for place, part in positions.items() if part == component]
    return named_position(line.words.places, candidates=fits) if line.words.places else ""

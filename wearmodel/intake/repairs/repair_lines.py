"""One repair line beside the vehicle's layout and the parts catalogue: what was renewed, where and why."""

from dataclasses import replace
from difflib import get_close_matches
from math import isfinite, nan

from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.repairs.line_knowledge import CatalogueEntry, LineKnowledge, RepairLine
from wearmodel.intake.repairs.line_readings import (
    NOT_A_PART,
    UNRECOGNISED,
    FurtherPart,
    LineReading,
    faulty,
    left_out,
    waiting,
)
from wearmodel.intake.repairs.part_resolution import Resolution, Spot, resolved, shaft_parts, spots, surely_named
from wearmodel.intake.tables.row_log import SET_ASIDE
from wearmodel.intake.tables.schema import REASONS
from wearmodel.intake.values.name_index import build_name_index
from wearmodel.intake.words.part_places import fitting_positions
from wearmodel.intake.words.repair_text import NamedPart, wording

__all__ = ["NOT_A_PART", "UNRECOGNISED", "CatalogueEntry", "LineKnowledge", "RepairLine", "line_reading"]

_BY_THE_WAY = frozenset({"collateral", "planned"})


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
        return left_out(line, "text", UNRECOGNISED, "left out; name its component if it is one")
    if not line.driveline:
        return LineReading(line.component, line.position, line.reason)
    return _Line(line, known).reading()


def _entry(line: RepairLine, known: LineKnowledge) -> CatalogueEntry | None:
    return known.catalogue.get(line.part_number) if known.catalogue else None


def _is_driveline(line: RepairLine, known: LineKnowledge) -> bool:
    """Whether anything on the line names a part of a driveline."""
    words = line.words
    if line.component == NOT_A_PART:
        return False
    if line.component in known.components or _entry(line, known) or words.parts or line.code_words.named:
        return True
    has_work = words.deed in ("renewed", "unclear")
    tells_shaft = has_work or (not words.deed and not _BY_THE_WAY.issuperset(words.reasons))
    is_ours = not words.names_other and has_work and bool(words.named or words.evidence)
    # `its boot replaced while the shaft was out`: asked, though other work is named
    if (words.is_whole_shaft and tells_shaft) or words.has_told_renewal or is_ours:
        return True
    if line.position in known.all_positions and not line.component:
        return True
    # A slip of the pen in a component code is a fault to mend, another system's code is not.
    return bool(get_close_matches(line.component[:60], known.components, n=1, cutoff=0.75)) and bool(line.component)


class _Line:
    """Reads one line of a known vehicle."""

    def __init__(self, line: RepairLine, known: LineKnowledge) -> None:
        self.line = line
        self.known = known
        self.words = line.words
        self.positions = known.positions[line.driveline]
        self.entry = _entry(line, known)
        self.places = wording(line.position, lexicon=known.lexicon).place_sets if line.position else ()
        self.position = self._stated_position()
        self.from_text: list[str] = []
        self.learnt: set[str] = set()

    def reading(self) -> LineReading:
        """The line as it is used, or why it is not."""
        line = self.line
        refusal = self._unknown_code() or (None if line.is_answered else self._nothing_renewed())
        if refusal is not None:
            return refusal
        if line.component or self.position or self.entry is not None:
            named = self._coded_component()
            refusal = self._contradiction(named)
            if refusal is not None:
                return refusal
            part = self._part_of(named)
            return self._finished([(named, part)], is_told=True)
        found = self._components_in_words()
        return found if isinstance(found, LineReading) else self._finished(found, is_told=False)

    # --- what the columns say

    def _stated_position(self) -> str:
        """The vehicle's position the line names, in code or in words; empty when it names none."""
        written = self.line.position
        if not written:
            return ""
        position = build_name_index(self.positions).known(written)
        # A code with a slip in it is not read as words: `rear.joint_fornt` is not the rear joint.
        if position or self._is_code(written):
            return position
        if not self.places:
            return ""
        fits = [p for p, c in self.positions.items() if not self.line.component or c == self.line.component]
        if len(self.places) > 1:
            return ""
        left = fitting_positions(self.places[0], candidates=fits)
        return left[0] if len(left) == 1 and len(fits) > 1 else ""

    @staticmethod
    def _is_code(written: str) -> bool:
        return "." in written or "_" in written

    def _unknown_code(self) -> LineReading | None:
        """The refusal of a line that holds a code nobody knows."""
        line, known = self.line, self.known
        if line.component and line.component not in known.components:
            near = nearest_to(line.component, known.components)
            return faulty(line, "component", f"is not a known component{near}", f"{SET_ASIDE}; correct or map the code")
        if line.position and not self.position and (self._is_code(line.position) or not self.places):
            near = nearest_to(line.position, self.positions)
            return faulty(line, "position", f"is not a position of {line.driveline}{near}")
        if line.part_number and known.catalogue is not None and self.entry is None:
            return faulty(line, "part_number", "is not in the parts table", f"{SET_ASIDE}; add the part to the table")
        if line.reason and line.reason not in REASONS:
            near = nearest_to(line.reason, REASONS)
            remedy = f"{SET_ASIDE}; map the code with values.reason in fleet.toml"
            return faulty(line, "reason", f"is not a known reason{near}", remedy)
        return None

    def _nothing_renewed(self) -> LineReading | None:
        """The refusal of a line on greasing, looking or work still to do."""
        line = self.line
        if line.part_number or line.reason not in ("", "planned"):
            return None
        part = self._part_of(line.component) if line.component else None
        deed = part.deed if part is not None and part.deed else self.words.deed
        deed = {"looked": "unclear" if self.words.reasons else "tended"}.get(deed, deed)
        if deed == "tended" and line.is_renewal_after_all:
            self.learnt.add("work")
            return None
        if deed == "tended":
            return left_out(line, "text", "no part renewed", "left out")
        is_noise_only = not deed and not line.component and self._is_noise_only()
        if (deed == "unclear" or is_noise_only) and not line.reason:
            if not line.is_learnt_renewal:
                return replace(self._wait("does not tell whether a part was renewed"), open_deed=True)
            self.learnt.add("work")
        return None

    def _is_noise_only(self) -> bool:
        """Whether the text names a part and a noise, and neither work nor a part that is done for."""
        named = self.words.named
        return bool(named) and bool(self.words.reason) and not any(part.is_condemned for part in named)

    def _coded_component(self) -> str:
        """The component that columns or catalogue give; empty when the part number's kit tells."""
        line, entry = self.line, self.entry
        if line.component or self.position:
            return line.component or self.positions[self.position]
        if entry is None or not entry.renews:
            return entry.component if entry is not None else ""
        renewed = self._renewed_by(entry)
        named = [part.options & renewed & set(self.positions.values()) for part in self._parts_in_words()]
        named = [options for options in named if options]
        code = next(iter(named[0])) if len(named) == 1 and len(named[0]) == 1 else ""
        if code:
            self.from_text.append(f"component {code}")
        return code

    def _renewed_by(self, entry: CatalogueEntry) -> set[str]:
        return {self.known.all_positions.get(name, name) for name in entry.renews} | {entry.component}

    def _contradiction(self, component: str) -> LineReading | None:
        """The refusal of a line whose columns do not go together."""
        line, position = self.line, self.position
        if position and component and self.positions[position] != component:
            return faulty(line, "position", f"holds a {self.positions[position]}, the line says {component}")
        if component and component not in self.positions.values():
            problem = f"a {component} is no part of {line.driveline}, the vehicle's driveline"
            return faulty(line, "component", problem)
        if self.entry is not None and component and component not in self._renewed_by(self.entry):
            problem = f"is a {self.entry.component} in the parts table, the line says {component}"
            return waiting(line, "part_number", problem, component=component)
        return None

    # --- what the words say

    def _parts_in_words(self) -> tuple[NamedPart, ...]:
        """The parts that words say were renewed; where no deed is told, those that are surely named."""
        words = self.words
        told = words.renewed or tuple(part for part in words.named if not part.deed)
        if "work" in self.learnt and not told:
            told = tuple(part for part in words.named if part.deed != "tended")
            told = told or (words.named if self.line.is_renewal_after_all else ())
        if not self.line.code_words.named:
            return told
        # The column names a family, as `CV boot`: the text may tell which of it.
        code = self.line.code_words.named[0]
        alike = [
            replace(part, options=part.options & code.options, is_sure=True, places=part.places or code.places)
            for part in told
            if part.options & code.options
        ]
        bare = replace(code, places=code.places or words.place_sets, reason=words.reason, hints=words.reasons)
        return tuple(alike) or (bare,)

    def _part_of(self, component: str) -> NamedPart | None:
        """The part of that component in the text, the renewed one where there are several."""
        return next((part for part in self.words.named if component in part.options), None)

    def _components_in_words(self) -> list[tuple[str, NamedPart | None]] | LineReading:
        """Components the words name; or why they cannot be told."""
        parts = [self._with_column_places(part) for part in self._parts_in_words()]
        if self.words.is_doubtful:
            return self._open(parts, "does not tell which of the parts it names was renewed")
        if self.words.is_whole_shaft and (shaft := self._shaft_parts()):
            return list(shaft)
        if not parts or self.words.is_whole_shaft:
            problem = "names a whole shaft, not which of its parts" if self.words.is_whole_shaft else "names no part"
            return self._open([], problem)
        found: list[tuple[str, NamedPart | None]] = []
        for part in parts:
            resolution = resolved(part, positions=self.positions, evidence=self.words.evidence)
            if not resolution.components:
                if len(parts) == 1:
                    return self._learnt_component(part, resolution)
                return self._open(parts, resolution.could_mean(part, driveline=self.line.driveline))
            if not part.is_sure and not self._is_told_apart(part):
                codes = " or ".join(code for code, _ in resolution.components)
                return self._open(parts, f"could mean {codes} or another part")
            for code, places in resolution.components:
                found.append((code, replace(part, places=places, quantity=resolution.quantity)))
        return found

    def _shaft_parts(self) -> tuple[tuple[str, NamedPart], ...]:
        return shaft_parts(self.words, positions=self.positions, is_half=self.known.has_half_drive_shafts)

    def _with_column_places(self, part: NamedPart) -> NamedPart:
        """The part with the places of the columns, where the text names none."""
        return part if part.places or not self.places else replace(part, places=self.places)

    def _is_told_apart(self, part: NamedPart) -> bool:
        """Whether a bare joint can only be one of this vehicle: one kind fits the place, and nothing else is named."""
        words = self.words
        return bool(part.places or words.names_shaft) and not words.names_other and words.deed == "renewed"

    def _learnt_component(
        self, part: NamedPart, resolution: Resolution
    ) -> list[tuple[str, NamedPart | None]] | LineReading:
        """The component the fleet's coded lines suggest, where the words leave it among several."""
        learnt = self.line.learnt_component
        if part.is_sure and learnt in resolution.options:
            self.learnt.add("component")
            return [(learnt, part)]
        return self._open([part], resolution.could_mean(part, driveline=self.line.driveline))

    def _open(self, parts: list[NamedPart], problem: str) -> LineReading:
        """A line whose component a person must tell."""
        learnt = self.line.learnt_component
        options = {code for part in parts for code in part.options} & set(self.positions.values())
        if not parts and learnt in self.positions.values() and not self.words.is_doubtful:
            self.learnt.add("component")
            return self._finished([(learnt, None)], is_told=False)
        return replace(self._wait(problem), open_component=True, options=frozenset(options))

    def _several(self) -> str:
        """The components of a line that surely names several."""
        parts = () if self.line.component else self._parts_in_words()
        return "; ".join(surely_named(parts, positions=self.positions, evidence=self.words.evidence))

    def _wait(self, problem: str) -> LineReading:
        """A line that waits for a person, with the best suggestion."""
        if several := self._several():
            return waiting(self.line, "text", problem, component=several, reason=self.line.reason or self.words.reason)
        codes = {code for part in self._parts_in_words() for code in part.options} & set(self.positions.values())
        codes = codes & self.words.evidence or codes
        if not codes:
            codes = set(self.words.evidence) & set(self.positions.values())
        component = self.line.component or (next(iter(codes)) if len(codes) == 1 else "")
        return waiting(self.line, "text", problem, component=component, reason=self.line.reason or self.words.reason)

    # --- the line put together

    def _finished(self, found: list[tuple[str, NamedPart | None]], *, is_told: bool) -> LineReading:
        """Position and reason of every part found; the first is the line's own."""
        placed: list[tuple[str, Spot, str]] = []
        for code, part in found:
            reason = self.line.reason or (part.reason if part is not None else self.words.reason)
            reason = reason or self._learnt_reason(part)
            if not reason:
                return self._no_reason(code, part)
            placed += [(code, spot, reason) for spot in self._spots(code, part, is_told=is_told)]
        code, spot, reason = placed[0]
        if not is_told:
            self.from_text.insert(0, f"component {code}")
        if (self.position and self.position != self.line.position) or (spot.position and self._is_from_text(code)):
            self.from_text.append(f"position {spot.position}")
        if not self.line.reason:
            self.from_text.append(f"reason {reason}")
        if "work" in self.learnt:
            self.from_text.append("work renewed")
        further = tuple(FurtherPart(c, s.position, r, s.quantity, s.candidates) for c, s, r in placed[1:])
        self.from_text += [f"also {part.component} {part.position}".strip() for part in further]
        return LineReading(
            code, spot.position, reason, quantity=spot.quantity if self._counts(code, spot, further) else nan,
            candidates=spot.candidates, further=further, from_text=tuple(self.from_text),
            learnt=frozenset(self.learnt),
        )  # fmt: skip

    def _learnt_reason(self, part: NamedPart | None) -> str:
        """The reason coded lines suggest, where the words do not speak against it."""
        hints = part.hints if part is not None else self.words.reasons
        learnt = self.line.learnt_reason
        if not learnt or (hints and learnt not in hints):
            return ""
        self.learnt.add("reason")
        return learnt

    def _counts(self, code: str, spot: Spot, further: tuple[FurtherPart, ...]) -> bool:
        """Whether the words tell how many: the column does where it is filled, unless its parts are told apart."""
        given = self.line.quantity
        return given != given or spot.quantity > given or any(part.component == code for part in further)

    def _is_from_text(self, code: str) -> bool:
        """Whether a position was read from words: layout and catalogue leave a choice."""
        fits = [place for place, part in self.positions.items() if part == code]
        by_catalogue = self.entry is not None and self.entry.position in fits
        return not self.position and len(fits) > 1 and not by_catalogue

    def _spots(self, code: str, part: NamedPart | None, *, is_told: bool) -> tuple[Spot, ...]:
        """Where the parts of one component went."""
        line = self.line
        if self.position:
            return (Spot(self.position, quantity=line.quantity if line.quantity == line.quantity else 1.0),)
        if not code:
            return (Spot(""),)
        fits = [place for place, component in self.positions.items() if component == code]
        if self.entry is not None and self.entry.position in fits:
            return (Spot(self.entry.position, quantity=line.quantity if line.quantity == line.quantity else 1.0),)
        places = self.places or (part.places if part is not None else self.words.place_sets)
        said = part.quantity if part is not None else nan
        is_given = line.quantity == line.quantity
        quantity = line.quantity if is_given and (is_told or said != said) else said
        found = spots(places, component=code, positions=self.positions, quantity=quantity)
        if len(found) == 1 and found[0].position and isfinite(said) and said > 1.0 and len(fits) > 1:
            # `both joints of the rear section`: more than the one place the words seem to name.
            return (Spot("", tuple(fits), said),)
        if is_told and is_given and len(found) > max(line.quantity, 1.0):
            # One row a part, each with the words of the whole order: which of them this is stays open.
            return (Spot("", tuple(spot.position for spot in found), line.quantity),)
        return found

    def _no_reason(self, code: str, part: NamedPart | None) -> LineReading:
        """A line whose reason a person must tell."""
        told = part.hints if part is not None else self.words.reasons
        problem = f"its words hint at {' and '.join(told)}" if told else "no word of it tells one"
        several = "" if part is None else self._several()
        reading = waiting(self.line, "text", f"does not settle the blank reason: {problem}", component=several or code)
        return replace(reading, open_reason=True, hints=frozenset(told))

"""A `fleet.toml` proposed for a folder of raw exports: ready to edit, with questions where only a person knows."""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from wearmodel.intake.proposal.proposed_codes import known_positions
from wearmodel.intake.proposal.proposed_section import Section, proposed_section
from wearmodel.intake.proposal.proposed_units import distance_unit_lines
from wearmodel.intake.proposal.table_recognition import RecognisedTables, recognise_tables
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.values.plain_text import plain
from wearmodel.output_files import whole_file

__all__ = ["MappingProposal", "propose_mapping", "write_proposal"]

_BEGINNING = (
    "# Proposed from the headings and contents of the tables in this folder. Read it through and correct what is",
    "# wrong: it is yours from now on. What stands behind # is not read. QUESTION marks what only you can answer:",
    "# take the # off the line that is right.",
    "",
)


@dataclass(frozen=True)
class MappingProposal:
    """A proposed `fleet.toml`.

    Parameters
    ----------
    text : str
        Of the file; valid TOML.
    questions : tuple of str
        Sentences on everything that is left open.
    undecided : tuple of str
        Those of them that must be answered before the folder can be read.
    tables : mapping of str to tuple of str
        Canonical name -> labels of the sheets proposed for it.
    notes : tuple of str
        Sheets that are no table, and files passed over.
    """

    text: str
    questions: tuple[str, ...]
    undecided: tuple[str, ...]
    tables: Mapping[str, tuple[str, ...]]
    notes: tuple[str, ...] = ()


def propose_mapping(folder: Path) -> MappingProposal:
    """Propose what each sheet, column and code of a folder means.

    Parameters
    ----------
    folder : pathlib.Path
        Raw exports of a shop system, in files and sheets of any name.

    Returns
    -------
    MappingProposal
        Nothing is written.

    Raises
    ------
    InputError
        The folder is missing, empty or cannot be listed.
    """
    found = recognise_tables(folder)
    questions: list[str] = []
    undecided: list[str] = []
    vehicles = found.tables.get("vehicles")
    positions = known_positions(vehicles[0] if vehicles else None)
    units = distance_unit_lines([fit for fits in found.tables.values() for fit in fits])
    lines = [*_BEGINNING, *units.lines, ""]
    questions += [units.question] if units.question else []
    for table in SCHEMA:
        sections = [proposed_section(fit, unit=units.unit, positions=positions) for fit in found.tables.get(table, ())]
        if table in found.rivals:
            block = _between_rivals(table, found, sections, units.unit, positions)
        elif sections:
            block = _settled(table, sections)
        elif SCHEMA[table].is_required:
            block = _nowhere(table, found)
        else:
            block = [f"# No sheet looks like the table {table}: {SCHEMA[table].without}.", ""]
        lines += block
        for section in sections if table not in found.rivals else []:
            questions += section.questions
            undecided += section.undecided
        if table in found.rivals or (not sections and SCHEMA[table].is_required):
            question = _which_sheet(table, found)
            questions.append(question)
            undecided += [question] if SCHEMA[table].is_required else []
    notes = _notes(found)
    lines += [f"# {note}" for note in notes]
    return MappingProposal(
        text="\n".join(lines).rstrip("\n") + "\n",
        questions=tuple(questions),
        undecided=tuple(undecided),
        tables=MappingProxyType({t: tuple(f.view.place.label for f in fits) for t, fits in found.tables.items()}),
        notes=notes,
    )


def write_proposal(folder: Path, proposal: MappingProposal) -> Path | None:
    """Write a proposal as `fleet.toml` of the folder, where there is none yet.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    proposal : MappingProposal
        From `propose_mapping`.

    Returns
    -------
    pathlib.Path or None
        The file; None where one exists already, which is never touched.

    Raises
    ------
    OutputError
        The folder cannot be written to.
    """
    path = folder / "fleet.toml"
    if os.path.lexists(path):
        return None
    with whole_file(path) as temporary:
        temporary.write_text(proposal.text, encoding="utf-8", newline="\n")
    return path


def _settled(table: str, sections: Sequence[Section]) -> list[str]:
    """The section or sections of a table; behind # where an optional table cannot be read as it stands."""
    lines: list[str] = []
    for section in sections:
        own = [f"[[tables.{table}]]" if len(sections) > 1 else f"[tables.{table}]", *section.lines]
        if section.is_held_back:
            own = [f"# The table {table} is left out until the question on it is answered.", *map(_commented, own)]
        lines += [*own, ""]
    return lines


def _between_rivals(
    table: str, found: RecognisedTables, sections: Sequence[Section], unit: str, positions: tuple[str, ...]
) -> list[str]:
    """Every sheet that could be a table, all behind #."""
    lines = [
        f"# QUESTION {table}: several sheets could be this table. Take the # off the section that is right, or off",
        "# several to read them all.",
    ]
    rivals = [proposed_section(fit, unit=unit, positions=positions) for fit in found.rivals[table]]
    for section in [*sections, *rivals]:
        lines += [f"# [[tables.{table}]]", *map(_commented, section.lines), ""]
    return lines


def _nowhere(table: str, found: RecognisedTables) -> list[str]:
    names = ", ".join(found.tables[t][0].view.place.label for t in found.tables) or "nothing"
    return [
        f"# QUESTION {table}: no sheet looks like this table, and there is no answer without it (recognised: {names}).",
        f"# [tables.{table}]",
        '# file = "?"',
        *(f"# columns.{column.name} = \"?\"" for column in SCHEMA[table].columns if column.required),
        "",
    ]


def _which_sheet(table: str, found: RecognisedTables) -> str:
    if table not in found.tables:
        needed = ", ".join(c.name for c in SCHEMA[table].columns if c.required)
        return f"{table}: no sheet looks like this table, which needs {needed}; which one is it?"
    labels = [fit.view.place.label for fit in (*found.tables[table], *found.rivals[table])]
    return f"{table}: which sheet is this table, {', '.join(labels[:-1])} or {labels[-1]}, or all of them?"


def _notes(found: RecognisedTables) -> tuple[str, ...]:
    notes = [f"Not used, it looks like no table: {label}." for label in found.unused]
    notes += [f"Not used, another sheet fits better: {label}." for label in found.lookalikes]
    return tuple(plain(note, limit=300) for note in (*notes, *found.notes))


def _commented(line: str) -> str:
    return line if line.startswith("#") or not line else f"# {line}"

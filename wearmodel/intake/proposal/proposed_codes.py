"""Codes of a shop's tables and what each is taken to mean, as lines of `fleet.toml`."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from textwrap import wrap

import numpy as np

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS
from wearmodel.intake.proposal.table_fits import TableFit
from wearmodel.intake.proposal.toml_text import toml_text
from wearmodel.intake.repairs.recognised_codes import component_codes
from wearmodel.intake.repairs.repair_lines import NOT_A_PART
from wearmodel.intake.tables.schema import FINDINGS, REASONS
from wearmodel.intake.values.name_index import build_name_index
from wearmodel.intake.values.number_parsing import BLANK_MARKS
from wearmodel.intake.values.plain_text import plain
from wearmodel.intake.words.repair_text import Lexicon, build_lexicon, named_position, wording

__all__ = ["CodeLines", "code_lines", "driveline_lines", "known_positions", "layouts_named"]

_MOST_CODES = 300
_MOST_CODES_OF_AN_EVENT = 60
_LONGEST_CODE = 60
_FOUND_WELL = frozenset({"ok", "good", "pass", "passed", "okay", "fine", "none", "no defect", "no fault"})
_WORD = re.compile(r"\d+x\d+|\dwd|[a-z]+|\d+")
_NUMBER_WORDS = {"one": "1", "single": "1", "two": "2", "three": "3", "pce": "piece", "pc": "piece", "pcs": "piece"}


@dataclass(frozen=True)
class CodeLines:
    """Lines on the codes of one column.

    Parameters
    ----------
    lines : tuple of str
        Lines of the table's section; those that need an answer stand behind `#`.
    question : str
        A sentence on the codes that need an answer; empty where none does.
    open_codes : int
        Number of codes that need an answer.
    """

    lines: tuple[str, ...] = field(default=())
    question: str = ""
    open_codes: int = 0


def code_lines(fit: TableFit, name: str, *, positions: Iterable[str]) -> CodeLines:
    """What the codes of a column mean, where the words of the trade tell.

    Parameters
    ----------
    fit : TableFit
        The table.
    name : str
        `reason`, `finding`, `component` or `position`.
    positions : iterable of str
        Positions the fleet's vehicles have.

    Returns
    -------
    CodeLines
        Nothing for a column that is missing, holds wording instead of codes, or holds canonical words alone.
    """
    texts = _codes(fit, name)
    is_event = fit.table in ("repairs", "inspections")
    if not texts or len(texts) > (_MOST_CODES_OF_AN_EVENT if is_event else _MOST_CODES):
        return CodeLines()
    if name == "position":
        meanings = _positions(texts, positions)
    elif name == "component":
        meanings = _components(texts, is_list=fit.table == "parts")
    else:
        meanings = _words(texts, REASONS if name == "reason" else FINDINGS)
    lines = [_line(name, text, meaning) for text, meaning in meanings.items() if meaning != text]
    unknown = [text for text, meaning in meanings.items() if not meaning]
    question = ""
    if unknown:
        question = (
            f"{fit.table} ({fit.view.place.label}): what do these codes of {name} mean: {_listed(unknown)}? Write a "
            f"canonical word for each."
        )
        lines.insert(0, f"# QUESTION {name}: replace each ? by {_choices(name)}, and take the # off.")
    return CodeLines(tuple(lines), question, len(unknown))


def driveline_lines(fit: TableFit, place: int) -> CodeLines:
    """Every distinct value of the column drivelines are told from, with the layout to be given to each.

    Parameters
    ----------
    fit : TableFit
        The vehicles table.
    place : int
        Place of that column.

    Returns
    -------
    CodeLines
        Known layouts need no line; a layout that the words themselves name is proposed.
    """
    index = build_name_index(LAYOUTS)
    texts = [t for t in _distinct(fit, place) if not all(index.known(part.strip()) for part in t.split("+"))]
    if not texts:
        return CodeLines()
    meanings = {text: _layout(text) for text in texts[:_MOST_CODES]}
    lines = [_line("driveline", text, meaning) for text, meaning in meanings.items()]
    unknown = [text for text, meaning in meanings.items() if not meaning]
    if not unknown:
        return CodeLines(tuple(lines))
    lines[:0] = [
        "# QUESTION driveline: replace each ? by the layout of those vehicles, and take the # off. Layouts:",
        *(line for name, layout in LAYOUTS.items() for line in _wrapped(f"{name}: {', '.join(layout)}")),
        '#   Several are joined with +, as "rear_two_piece+steering_shaft"; your own go under [layouts].',
    ]
    heading = plain(fit.view.headers[place], limit=60)
    question = (
        f"vehicles ({fit.view.place.label}): which driveline layout do the vehicles have whose {heading!r} is "
        f"{_listed(unknown)}? Write a layout for each in fleet.toml, where they are listed."
    )
    return CodeLines(tuple(lines), question, len(unknown))


def layouts_named(fit: TableFit, place: int) -> float:
    """Share of a column's distinct values whose words name a layout.

    Parameters
    ----------
    fit : TableFit
        The vehicles table.
    place : int
        Place of the column.
    """
    texts = _distinct(fit, place)
    return sum(1 for text in texts if _layout(text)) / max(len(texts), 1)


def known_positions(fit: TableFit | None) -> tuple[str, ...]:
    """Positions of the layouts named in a vehicles table; of all layouts where it names none.

    Parameters
    ----------
    fit : TableFit or None
        The vehicles table.
    """
    names: set[str] = set()
    if fit is not None and "driveline" in fit.columns:
        index = build_name_index(LAYOUTS)
        for text in _distinct(fit, fit.columns["driveline"].places[0]):
            names |= {index.known(part.strip()) or _layout(text) for part in text.split("+")}
    layouts = [LAYOUTS[name] for name in sorted(names - {""})] or list(LAYOUTS.values())
    return tuple(dict.fromkeys(position for layout in layouts for position in layout))


@cache
def _lexicon() -> Lexicon:
    return build_lexicon(COMPONENTS)


def _distinct(fit: TableFit, place: int) -> list[str]:
    return [text for text in fit.view.distinct(place) if text.casefold() not in BLANK_MARKS]


def _codes(fit: TableFit, name: str) -> list[str]:
    """The distinct codes of a column; empty where they are wording."""
    if name not in fit.columns:
        return []
    texts = _distinct(fit, fit.columns[name].places[0])
    return [] if any(len(text) > _LONGEST_CODE for text in texts) and name != "component" else texts


def _words(texts: Sequence[str], canonical: Sequence[str]) -> dict[str, str]:
    lexicon = _lexicon()

    def meaning(text: str) -> str:
        if text.casefold() in canonical:
            return text.casefold()
        if "ok" in canonical and text.casefold() in _FOUND_WELL:
            return "ok"
        words = wording(text, lexicon=lexicon)
        if words.reason in canonical:
            return words.reason
        return "ok" if "ok" in canonical and words.deed == "tended" and not words.reasons else ""

    return {text: meaning(text) for text in texts}


def _components(texts: Sequence[str], *, is_list: bool) -> dict[str, str]:
    """Component of each text; in a list of parts whatever names no driveline part is another system's."""
    lexicon = _lexicon()
    codes = component_codes(np.array(texts, dtype=object), labels=COMPONENTS, lexicon=lexicon)

    def meaning(text: str) -> str:
        if text in codes:
            return codes[text]
        words = wording(text, lexicon=lexicon)
        if len(words.parts) == 1 and len(words.parts[0]) == 1:
            return next(iter(words.parts[0]))
        return NOT_A_PART if is_list and not words.parts and not words.is_whole_shaft else ""

    return {text: meaning(text) for text in texts}


def _positions(texts: Sequence[str], positions: Iterable[str]) -> dict[str, str]:
    lexicon = _lexicon()
    index = build_name_index(positions)
    component_at = {position: code for layout in LAYOUTS.values() for position, code in layout.items()}

    def meaning(text: str) -> str:
        if index.known(text):
            return text
        words = wording(text, lexicon=lexicon)
        named = {code for codes in words.parts for code in codes}
        candidates = [p for p in sorted(index.names) if not named or component_at.get(p) in named]
        return named_position(words.places, candidates=candidates) if words.places else ""

    return {text: meaning(text) for text in texts}


def _layout(text: str) -> str:
    """The layout that the words themselves name; empty where they leave it open."""
    words = {_NUMBER_WORDS.get(word, word) for word in _WORD.findall(text.casefold())}
    tests: Mapping[str, Callable[[], bool]] = {
        "rear_one_piece": lambda: {"1", "piece"} <= words,
        "rear_two_piece": lambda: {"2", "piece"} <= words,
        "rear_three_piece": lambda: {"3", "piece"} <= words,
        "front_half_shafts": lambda: "fwd" in words or {"front", "wheel", "drive"} <= words,
        "four_wheel_solid": lambda: bool({"4x4", "4wd"} & words and {"solid", "live", "beam"} & words),
        "four_wheel_independent": lambda: bool({"4x4", "4wd"} & words and {"independent", "ifs"} & words),
        "all_wheel": lambda: "awd" in words or {"all", "wheel", "drive"} <= words,
    }
    if {"steering", "slip", "spline", "pto"} & words:
        return ""  # more than one layout, which only a person can put together
    named = [layout for layout, test in tests.items() if test()]
    return named[0] if len(named) == 1 else ""


def _line(name: str, text: str, meaning: str) -> str:
    if meaning:
        return f"values.{name}.{toml_text(text)} = {toml_text(meaning)}"
    return f'# values.{name}.{toml_text(text)} = "?"'


def _wrapped(text: str) -> list[str]:
    return wrap(text, 110, initial_indent="#   ", subsequent_indent="#       ", break_long_words=False)


def _choices(name: str) -> str:
    words = {"reason": REASONS, "finding": FINDINGS, "component": (*COMPONENTS, NOT_A_PART)}.get(name)
    return "a position of the vehicle's layout" if words is None else f"one of {', '.join(words)}"


def _listed(texts: Sequence[str], *, most: int = 8) -> str:
    shown = ", ".join(repr(plain(text, limit=40)) for text in texts[:most])
    return f"{shown} and {len(texts) - most} more" if len(texts) > most else shown

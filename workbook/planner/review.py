"""Sheets "To settle" and "Lists": the questions a person can answer, and what their drop-down lists offer."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.frame_rows import frame_rows
from wearmodel.intake.corrections import ANSWER_FIELDS
from wearmodel.intake.values.plain_text import plain
from wearmodel.questions import several
from workbook.planner.book import Book
from workbook.planner.cell_text import is_hostile
from workbook.planner.columns import Column, Place
from workbook.planner.formats import BAND_GREY, BLUE, RULE
from workbook.planner.limits import first_rows
from workbook.planner.page import Page
from workbook.planner.typed import NOTE_HEADING

__all__ = [
    "ANSWER_HEADINGS",
    "LISTS_SHEET",
    "LIST_HEADINGS",
    "MOST_QUESTIONS",
    "NO_QUESTIONS",
    "REVIEW_SHEET",
    "TOOL_HEADINGS",
    "asked_fields",
    "possible_positions",
    "write_review",
]

REVIEW_SHEET = "To settle"
LISTS_SHEET = "Lists"
MOST_QUESTIONS = 2000
"""Questions shown at most; those that settle most rows first."""

ANSWER_HEADINGS: Mapping[str, str] = {
    "take": "Take the suggestion",
    "work": "Work done?",
    "component": "Component",
    "position": "Position",
    "reason": "Reason",
    "odometer": "Odometer",
}
"""Headings of the cells a person fills, by field."""

TOOL_HEADINGS: Mapping[str, str] = {
    "key": "Key",
    "kind": "About",
    "work": "Suggested work",
    "component": "Suggested component",
    "position": "Suggested position",
    "reason": "Suggested reason",
    "odometer": "Suggested odometer",
    "choices": "Possible positions",
}
"""Headings of the cells that tell the program what was asked and suggested, by column of the table `review`."""

LIST_HEADINGS: Mapping[str, str] = {"list": "List", "code": "Code", "shown": "Shown as"}
"""Headings of the sheet of lists."""

_WORK = {"renewed": "renewed", "not renewed": "not renewed", "other": "other part"}
_REASONS = {
    "failed": "failed: no longer worked",
    "worn": "worn: found in time",
    "planned": "planned: still good",
    "collateral": "collateral: with another part",
    "damage": "damage: crash or debris",
    "comeback": "comeback: bad fit put right",
}
_HOW = (
    "Answer what you know, row by row: write x under 'Take the suggestion' where it is right, else fill in the yellow "
    "cells. Grey cells are not asked for. Leave blank what nobody can tell: the line stays as it is, and is asked "
    "again.",
    "Several parts in one line: write them with a semicolon between, and one reason for all of them or one for each in "
    "the same order. Several positions of parts of one kind are written in the same way.",
    "Odometer: the true figure in the unit of that file, or 'right' where it stands as written, or 'ignore' to leave "
    "it out. 'Other part': not a part of the driveline. Sort and filter as you like, but leave the headings and the "
    "column Key as they are.",
    "Save the workbook, close it and read it back with: wearmodel plan FLEET --review planner.xlsx. Answers are kept "
    "in corrections.csv in the fleet folder, so that nothing is asked twice; delete a row there to take its answer "
    "back.",
)
NO_QUESTIONS = "Nothing is left to settle: no line of the record waits for an answer."
_STATE = '=IF(COUNTA({answer_take}:{answer_odometer})>0,"answered","open")'
_WIDTHS = {"take": 88, "work": 112, "component": 150, "position": 160, "reason": 196, "odometer": 92}
_FROZEN_COLUMNS = 5
_LONGEST_TEXT = 1000
_NO_SUGGESTION = "none"
_POSITION_LIST = "position"


@dataclass(frozen=True)
class _List:
    """What one kind of drop-down list offers: shown text by code."""

    name: str
    entries: Mapping[str, str]


def asked_fields(kind: str, *, positions: Sequence[str]) -> tuple[str, ...]:
    """Which cells of an answer a question asks for.

    Parameters
    ----------
    kind : str
        `words`, `position` or `odometer`.
    positions : sequence of str
        Positions that are possible.

    Returns
    -------
    tuple of str
        Of `ANSWER_FIELDS`; what a wording means includes the position only where some are possible.
    """
    if kind == "words":
        return ("work", "component", "position", "reason") if positions else ("work", "component", "reason")
    return (kind,) if kind in ("position", "odometer") else ()


def possible_positions(choices: str, suggested: str) -> tuple[str, ...]:
    """Positions to choose from.

    Parameters
    ----------
    choices : str
        As in the table `review`, joined with semicolons.
    suggested : str
        The suggested position; comes last where it is not among them.

    Returns
    -------
    tuple of str
        Without repeats.
    """
    names = [name.strip() for name in choices.split(";")]
    return tuple(dict.fromkeys(name for name in (*names, suggested.strip()) if name))


def write_review(book: Book) -> None:
    """Write the sheet of questions and the sheet of lists.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages[REVIEW_SHEET]
    page.title(REVIEW_SHEET, subtitle="What the record leaves open and a person can tell; most rows first.")
    review = book.table("review")
    review = review.sort_values("rows", ascending=False, kind="stable", ignore_index=True)
    shown = review.head(MOST_QUESTIONS)
    positions = [possible_positions(row.choices, row.position) for row in frame_rows(shown)]
    lists = _lists(book, positions)
    ranges = _write_lists(book, lists)
    if shown.empty:
        page.paragraph(NO_QUESTIONS, role="missing")
        page.finish(footer=book.footer)
        return
    for line in _HOW:
        page.paragraph(line)
    order = "those that settle most lines first; the others come up once these are answered"
    first_rows(book, page, review, most=MOST_QUESTIONS, table="review", order=order)
    asked = [asked_fields(row.kind, positions=names) for row, names in zip(frame_rows(shown), positions, strict=True)]
    shown = _with_readable(book, shown, asked)
    place = _write_rows(page, shown)
    offered = _offered(shown, asked, positions, lists)
    for field, names in offered.items():
        if not any(names):  # no question asks for it
            page.hide(place.columns[f"answer_{field}"])
    _grey_out(book, page, place, offered)
    _add_lists(page, place, offered, ranges)
    page.sheet.freeze_panes(place.first_row, _FROZEN_COLUMNS)
    page.finish(footer=book.footer, repeat=place.first_row - 1, printed=place.columns["own_note"])
    _hide_tool_columns(page, place)


def _with_readable(book: Book, review: pd.DataFrame, asked: Sequence[tuple[str, ...]]) -> pd.DataFrame:
    """The questions with a readable suggestion, blank answers and the state they are in."""
    suggestions = [_suggestion(book, row, fields) for row, fields in zip(frame_rows(review), asked, strict=True)]
    out = review.assign(state="open", suggestion=pd.Series(suggestions, dtype=object))
    # On one line and without characters that turn the direction of writing: what is read must be what was written.
    out["text"] = [plain(text, limit=_LONGEST_TEXT) for text in review["text"]]
    out["where"] = [f"{row.file} row {row.row:.0f}" if row.row == row.row else row.file for row in frame_rows(review)]
    for name in ANSWER_HEADINGS:
        out[f"answer_{name}"] = np.nan
    out["own_note"] = book.carried.beside(REVIEW_SHEET, zip(out["key"], strict=True))
    return out


def _suggestion(book: Book, row: object, fields: Sequence[str]) -> str:
    """What is suggested, in words."""
    values = {name: str(getattr(row, name)) for name in fields}
    if values.get("work"):
        values["work"] = _WORK.get(values["work"], values["work"])
    if values.get("component"):
        values["component"] = " + ".join(book.words.component(code) for code in several(values["component"]))
    odometer = values.get("odometer", "")
    if odometer:
        words = {"right": "right as written", "ignore": "ignore: leave it out"}
        values["odometer"] = words.get(odometer, f"read it as {odometer}")
    return ", ".join(text for text in values.values() if text) or _NO_SUGGESTION


def _columns() -> list[Column]:
    seen = [
        Column("state", "State", role="live", formula=_STATE),
        Column("rows", "Rows it settles", "count"),
        Column("unit", "Unit", widest=110),
        Column("date", "Date"),
        Column("text", "What was written", widest=230),
        Column("problem", "What is not clear", widest=200),
        Column("suggestion", "Suggestion", widest=220),
        Column("probability", "Chance that it is right (%)", "percent0"),
    ]
    answers = [Column(f"answer_{name}", text, "mixed", role="input") for name, text in ANSWER_HEADINGS.items()]
    answers.append(Column("own_note", NOTE_HEADING, role="input", widest=300))
    context = [
        Column("order", "Order", widest=110),
        Column("where", "Where it stands first", widest=170),
        Column("kind", TOOL_HEADINGS["kind"]),
        Column("key", TOOL_HEADINGS["key"]),
    ]
    tool = [Column(name, text) for name, text in TOOL_HEADINGS.items() if name not in ("key", "kind")]
    return [*seen, *answers, *context, *tool]


def _write_rows(page: Page, shown: pd.DataFrame) -> Place:
    """The live count, the groups of columns and the table."""
    count_row = page.row
    page.row += 1
    columns = _columns()
    at = {column.name: index for index, column in enumerate(columns)}
    groups = {
        "The question": (at["state"], at["problem"]),
        "The tool's suggestion": (at["suggestion"], at["probability"]),
        "Your answer": (at["answer_take"], at["answer_odometer"]),
        "To look it up": (at["order"], at["key"]),
    }
    for text, (first, last) in groups.items():
        page.across(page.row, first, text, last=last, role="heading")
    page.row += 1
    for name, pixels in _WIDTHS.items():
        page.widen(at[f"answer_{name}"], pixels)
    page.widen(at["state"], 92)
    page.widen(at["own_note"], 110)
    place = page.table(shown, columns, filters=len(columns))
    state, rows = place.range("state"), place.range("rows")
    formula = (
        f'=COUNTIF({state},"answered")&" answered, "&COUNTIF({state},"open")&" open; the answers settle "'
        f'&SUMIFS({rows},{state},"answered")&" of "&SUM({rows})&" rows"'
    )
    total = float(shown["rows"].sum())
    cached = f"0 answered, {len(shown)} open; the answers settle 0 of {total:.0f} rows"
    for column in range(1, at["problem"]):
        page.put(count_row, column, float("nan"), role="live")
    page.put_formula(count_row, 0, formula, cached=cached, kind="text")
    return place


def _offered(
    shown: pd.DataFrame,
    asked: Sequence[tuple[str, ...]],
    positions: Sequence[tuple[str, ...]],
    lists: Sequence[_List],
) -> dict[str, list[str]]:
    """By field of an answer, the list each question offers; empty where it does not ask."""
    by_positions = {tuple(entry.entries): entry.name for entry in lists if entry.name.startswith(_POSITION_LIST)}
    offered = {
        field: [field if field in fields else "" for fields in asked] for field in ANSWER_FIELDS if field != "position"
    }
    offered["take"] = ["" if text == _NO_SUGGESTION else "take" for text in shown["suggestion"]]
    offered["position"] = [
        by_positions.get(names, "") if "position" in fields else ""
        for fields, names in zip(asked, positions, strict=True)
    ]
    return offered


def _grey_out(book: Book, page: Page, place: Place, offered: Mapping[str, Sequence[str]]) -> None:
    """Grey over the cells of an answer that a question does not ask for; answered questions stand out."""
    grey = book.workbook.add_format({"bg_color": BAND_GREY, "border": 1, "border_color": RULE})
    for field, names in offered.items():
        for row, name in enumerate(names, start=place.first_row):
            if not name:
                page.sheet.write_blank(row, place.columns[f"answer_{field}"], None, grey)
    done = book.workbook.add_format({"bold": True, "font_color": BLUE})
    state = place.columns["state"]
    rule = {"type": "cell", "criteria": "==", "value": '"answered"', "format": done}
    page.sheet.conditional_format(place.first_row, state, place.last_row, state, rule)


def _lists(book: Book, positions: Sequence[tuple[str, ...]]) -> list[_List]:
    """Every drop-down list; equal lists of positions are one."""
    fixed = [
        _List("take", {"x": "x", "yes": "yes"}),
        _List("work", _WORK),
        _List("component", _component_texts(book)),
        _List("reason", _REASONS),
        _List("odometer", {"right": "right", "ignore": "ignore"}),
    ]
    distinct = dict.fromkeys(names for names in positions if names)
    return [
        *fixed,
        *(_List(f"{_POSITION_LIST} {i}", {name: name for name in names}) for i, names in enumerate(distinct, start=1)),
    ]


def _component_texts(book: Book) -> dict[str, str]:
    """What stands for each component in its list: the label where that is safe and its own, else the code."""
    labels = {code: " ".join(book.words.component(code).split()) for code in book.plan.settings.components}
    folded = [label.casefold() for label in labels.values()]
    taken = {code.casefold() for code in labels}
    return {
        code: code if is_hostile(label) or folded.count(label.casefold()) > 1 or label.casefold() in taken else label
        for code, label in labels.items()
    }


def _write_lists(book: Book, lists: Sequence[_List]) -> dict[str, str]:
    """Write the sheet of lists; the range of each list, for a drop-down."""
    page = book.pages[LISTS_SHEET]
    page.title(
        LISTS_SHEET,
        subtitle=f"What the drop-down lists of the sheet {REVIEW_SHEET} offer; change nothing here. Not printed.",
    )
    top = page.row
    page.row += 1
    frame = pd.DataFrame(
        [(entry.name, code, text) for entry in lists for code, text in entry.entries.items()],
        columns=list(LIST_HEADINGS),
    )
    place = page.table(frame, [Column(name, text) for name, text in LIST_HEADINGS.items()])
    page.sheet.freeze_panes(place.first_row, 0)
    page.finish(footer=book.footer, printed=place.columns["shown"] + 6, printed_rows=top)
    ends = list(itertools.accumulate(len(entry.entries) for entry in lists))
    return {
        entry.name: f"={place.range('shown', first=end - len(entry.entries), last=end - 1)}"
        for entry, end in zip(lists, ends, strict=True)
        if entry.entries
    }


def _add_lists(
    page: Page, place: Place, offered: Mapping[str, Sequence[str]], ranges: Mapping[str, str]
) -> None:
    """A drop-down list in every cell that is asked for."""
    for field, names in offered.items():
        column, row = place.columns[f"answer_{field}"], place.first_row
        for name, run in itertools.groupby(names):
            length = len(list(run))
            if name in ranges:
                page.sheet.data_validation(row, column, row + length - 1, column, _rule(field, ranges[name]))
            row += length


def _rule(field: str, source: str) -> dict[str, object]:
    """A drop-down list; an odometer may also be a figure of one's own."""
    rule: dict[str, object] = {
        "validate": "list",
        "source": source,
        "ignore_blank": True,
        "error_title": "Not in the list",
        "error_message": "Choose from the list, or leave the cell blank.",
    }
    if field in ("component", "position", "reason"):
        # A line that names several parts is answered with several values.
        message = "Choose from the list; only for several parts of one line write several, with a semicolon between."
        rule |= {"error_type": "warning", "error_message": message}
    if field == "odometer":
        rule |= {
            "show_error": False,
            "input_title": "Odometer",
            "input_message": "The true figure, or 'right', or 'ignore'.",
        }
    return rule


def _hide_tool_columns(page: Page, place: Place) -> None:
    """What only the program reads is folded away; the key stays in sight, since answers hang on it."""
    first, last = place.columns["work"], place.columns["choices"]
    page.sheet.set_column_pixels(first, last, 120, None, {"hidden": True, "level": 1})
    page.sheet.set_column_pixels(last + 1, last + 1, 30, None, {"collapsed": True})

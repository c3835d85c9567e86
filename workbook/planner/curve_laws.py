"""Sheet "Curve laws": the law behind every curve, and the one that is looked up on the sheet Life curves."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.curve_laws import LAW_COVARIANCES
from workbook.planner.book import Book
from workbook.planner.columns import Column, Place

__all__ = ["LAWS_SHEET", "LAW_FIGURES", "CurveLaws", "LookedUp", "write_curve_laws", "write_looked_up"]

LAWS_SHEET = "Curve laws"
#: Figures of a law that a look-up takes along.
LAW_FIGURES = ("shape", "scale", "frailty_variance", *LAW_COVARIANCES, "planned", "failed")
_COVARIANCE_HEADERS = (
    "Variance of log scale", "Covariance of log scale and log shape", "Covariance of log scale and log spread",
    "Variance of log shape", "Covariance of log shape and log spread", "Variance of log spread",
)  # fmt: skip


@dataclass(frozen=True)
class CurveLaws:
    """The sheet's table and lists.

    Parameters
    ----------
    frame : pandas.DataFrame
        One row a law: `component_text`, `duty_label`, `lift` and `LAW_FIGURES`.
    place : Place
        Where it stands.
    lists : mapping of str to str
        Ranges of what may be chosen: `component`, `duty`, `lift`.
    row : int
        Where the law looked up is to stand.
    """

    frame: pd.DataFrame
    place: Place
    lists: Mapping[str, str]
    row: int


@dataclass(frozen=True)
class LookedUp:
    """Figures of the law looked up: cells and values by name; NaN where there is no such law."""

    cells: Mapping[str, str]
    values: Mapping[str, float]


def _component_texts(book: Book, codes: Sequence[str]) -> dict[str, str]:
    """What stands for each component in its list: the label where it is its own, else label and code."""
    labels = {code: book.words.component(code) for code in codes}
    folded = [label.casefold() for label in labels.values()]
    return {
        code: label if folded.count(label.casefold()) == 1 else f"{label} ({code})" for code, label in labels.items()
    }


def write_curve_laws(book: Book) -> CurveLaws | None:
    """Write the sheet but for the law looked up, which `write_looked_up` adds.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    CurveLaws or None
        None where no law is known.
    """
    page = book.pages[LAWS_SHEET]
    page.title(LAWS_SHEET, subtitle="The law behind every curve; the sheet Life curves looks up here. Change nothing.")
    laws = book.table("laws").dropna(subset=["shape", "scale"]).reset_index(drop=True)
    if laws.empty:
        page.paragraph("No law is known.", role="missing")
        page.finish(footer=book.footer)
        return None
    page.row += 1
    row = page.row
    page.row += len(LAW_FIGURES) + 6
    inputs = book.inputs
    texts = _component_texts(book, laws["component"].unique().tolist())
    frame = laws.assign(component_text=laws["component"].map(texts), duty_label=laws["duty"].map(book.words.duty))
    for name, field in (("planned", "planned_cost"), ("failed", "failed_cost")):
        frame[name] = [inputs.value(field, code) if inputs.has(code) else np.nan for code in frame["component"]]
    frame["frailty_variance"] = frame["frailty_variance"].fillna(0.0)
    frame[list(LAW_COVARIANCES)] = frame[list(LAW_COVARIANCES)].fillna(0.0)
    page.heading("All laws, shape and scale of a usual vehicle")
    references = [
        {
            f"{name}_name": inputs.name(f"{name}_cost", code) if inputs.has(code) else '""'
            for name in ("planned", "failed")
        }
        for code in frame["component"]
    ]
    place = page.table(frame, _columns(book), references=references)
    page.row += 1
    lists = _write_lists(book, frame)
    page.sheet.freeze_panes(2, 1)
    return CurveLaws(frame, place, lists, row)


def _columns(book: Book) -> list[Column]:
    money, unit = book.words.currency, book.words.distance
    return [
        Column("component_text", "Component"),
        Column("duty_label", "Duty"),
        Column("lift", "Lift (mm)", "count"),
        Column("shape", "Weibull shape", "decimal3"),
        Column("scale", f"Weibull scale ({unit})", "distance"),
        Column("frailty_variance", "Spread of wear between vehicles (variance)", "decimal3"),
        *(Column(n, header, "decimal3") for n, header in zip(LAW_COVARIANCES, _COVARIANCE_HEADERS, strict=True)),
        Column("planned", f"Planned replacement ({money})", "money2", "live", "={planned_name}"),
        Column("failed", f"Failure on average ({money})", "money2", "live", "={failed_name}"),
    ]


def _write_lists(book: Book, frame: pd.DataFrame) -> dict[str, str]:
    """What may be chosen, below the laws."""
    page = book.pages[LAWS_SHEET]
    page.heading("What the drop-down lists of the sheet Life curves offer")
    entries = {
        "component": frame["component_text"].unique().tolist(),
        "duty": frame["duty_label"].unique().tolist(),
        "lift": sorted(frame["lift"].unique().tolist()),
    }
    longest = max(len(found) for found in entries.values())
    blank = {"component": "", "duty": "", "lift": np.nan}
    shown = pd.DataFrame({name: [*found, *[blank[name]] * (longest - len(found))] for name, found in entries.items()})
    columns = [Column("component", "Component"), Column("duty", "Duty"), Column("lift", "Lift (mm)", "count")]
    place = page.table(shown, columns)
    return {name: place.range(name, last=len(found) - 1) for name, found in entries.items()}


def write_looked_up(
    book: Book, laws: CurveLaws, *, chosen: Mapping[str, str], picked: "tuple[str, str, float]"
) -> LookedUp:
    """Write the law that is looked up, and that of factory height in the same duty.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    laws : CurveLaws
        From `write_curve_laws`.
    chosen : mapping of str to str
        Cells of the choices: `component`, `duty`, `lift`.
    picked : tuple
        What stands in them: component text, duty, lift [mm].

    Returns
    -------
    LookedUp
        `row` (0: none), `factory_row`, `LAW_FIGURES`, and `factory_shape`, `factory_scale`.
    """
    page, place, frame = book.pages[LAWS_SHEET], laws.place, laws.frame
    is_component, is_duty = frame["component_text"] == picked[0], frame["duty_label"] == picked[1]
    match = (
        f"EXACT({place.range('component_text')},{chosen['component']})*EXACT({place.range('duty_label')},{chosen['duty']})"
    )
    numbers = f"(ROW({place.range('lift')})-ROW({place.cell('lift', 0)})+1)"
    lifts = place.range("lift")
    raised = f"SUMPRODUCT(EXACT({place.range('component_text')},{chosen['component']})*({lifts}>0))"
    formulas = {
        "factory_row": f"=SUMPRODUCT({match}*({lifts}=0)*{numbers})",
        # Where ride height does not move a component's life it has one law, at any height.
        "row": f"=IF({raised}=0,{{factory_row}},SUMPRODUCT({match}*({lifts}=N({chosen['lift']}))*{numbers}))",
    }
    lift = 0.0 if not (is_component & (frame["lift"] > 0)).any() else picked[2]
    rows = {
        name: next(iter(np.flatnonzero(is_component & is_duty & (frame["lift"] == height))), -1)
        for name, height in (("factory_row", 0.0), ("row", lift))
    }
    values = {name: float(found + 1) for name, found in rows.items()}
    for name in LAW_FIGURES:
        cell = f"INDEX({place.range(name)},{{row}})"
        formulas[name] = f'=IF({{row}}>0,IF(ISNUMBER({cell}),{cell},""),"")'
        values[name] = float(frame[name].iloc[rows["row"]]) if values["row"] else np.nan
    for name in ("shape", "scale"):
        formulas[f"factory_{name}"] = f'=IF({{factory_row}}>0,INDEX({place.range(name)},{{factory_row}}),"")'
        values[f"factory_{name}"] = float(frame[name].iloc[rows["factory_row"]]) if values["factory_row"] else np.nan
    page.row = laws.row
    page.heading("The law looked up on the sheet Life curves")
    at = Place(page.name, page.row, page.row + len(formulas) - 1, {"name": 0, "value": 1})
    cells = {name: at.cell("value", index) for index, name in enumerate(formulas)}
    for index, (name, formula) in enumerate(formulas.items()):
        page.put(at.first_row + index, 0, _FIGURE_LABELS.get(name, name))
        page.put_formula(at.first_row + index, 1, formula.format_map(cells), cached=values[name], kind="decimal3")
    page.widen(0, 330)
    page.widen(1, 110)
    page.finish(footer=book.footer)
    # On paper the law looked up: the others are nothing to read.
    page.sheet.print_area(0, 0, at.last_row, max(place.columns.values()))
    return LookedUp(cells, values)


_FIGURE_LABELS = {
    "factory_row": "Row of factory height, counted from 1 (0: none)",
    "row": "Row of the law, counted from 1 (0: none)",
    "shape": "Weibull shape",
    "scale": "Weibull scale",
    "frailty_variance": "Spread of wear between vehicles (variance)",
    **dict(zip(LAW_COVARIANCES, _COVARIANCE_HEADERS, strict=True)),
    "planned": "Planned replacement",
    "failed": "Failure on average",
    "factory_shape": "Weibull shape at factory height",
    "factory_scale": "Weibull scale at factory height",
}

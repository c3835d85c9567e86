"""The look-up on the sheet "Life curves": a curve chosen from lists, its lives and chances, and the charts of it."""

from collections.abc import Mapping
from dataclasses import dataclass

from wearmodel.survival import weibull
from workbook.planner.book import Book
from workbook.planner.charts import Band, Line, band_chart
from workbook.planner.columns import Place
from workbook.planner.curve_laws import CurveLaws, write_curve_laws, write_looked_up
from workbook.planner.formats import BAND_BLUE, BLUE, ORANGE
from workbook.planner.look_up_answers import write_answers
from workbook.planner.look_up_points import write_curve_points
from workbook.planner.page import GALLERY_SIZE, Page
from workbook.planner.typed import CHOICE_HEADING, CURVES_SHEET, LOOK_UP_HEADING, LOOK_UPS

__all__ = ["write_look_up"]

_LABEL_EVERY = 10
#: Points left out of the chart of costs: there the cost of replacing new parts would drown the rest.
_DEAR_POINTS = 5


@dataclass(frozen=True)
class _Choices:
    """What is looked up: texts and numbers by name, and their cells."""

    values: Mapping[str, str | float]
    cells: Mapping[str, str]

    def number(self, name: str) -> float:
        """A choice that is a number."""
        return float(self.values[name])


def write_look_up(book: Book) -> None:
    """Write the look-up at the cursor of the sheet of curves, the laws behind it and its chart rows.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    laws = write_curve_laws(book)
    if laws is None:
        return
    page = book.pages[CURVES_SHEET]
    page.heading("Look up a curve")
    page.paragraph(
        "Choose in the yellow cells: the figures and the two charts below follow. They are of a part on a vehicle "
        f"taken at random; low and high are {book.confidence} bands of the curve, not of the single part. Costs are "
        "those of the sheet Assumptions. A part that is worn, noisy or loose is replaced whatever its predicted life."
    )
    choices = _write_choices(book, page, laws)
    found = write_looked_up(
        book, laws, chosen=choices.cells,
        picked=(str(choices.values["component"]), str(choices.values["duty"]), choices.number("lift")),
    )  # fmt: skip
    points = write_curve_points(book, found, age_cell=choices.cells["age"], age=choices.number("age"))
    page.row += 1
    numbers = ("age", "ahead", "share")
    write_answers(
        book, page, found=found, points=points,
        chosen={name: choices.number(name) for name in numbers}, cells={name: choices.cells[name] for name in numbers},
    )  # fmt: skip
    page.row += 1
    _write_charts(book, page, points.place)


def _usual_row(book: Book, laws: CurveLaws) -> int:
    """The law of the component that most parts are of, raised as most raised parts of it are."""
    due, frame = book.table("due"), laws.frame
    fitted = due["component"].value_counts().index
    code = next((code for code in fitted if code in set(frame["component"])), frame["component"].iloc[0])
    mine = frame[frame["component"] == code]
    lifts = due.loc[(due["component"] == code) & due["lift"].isin(mine["lift"]) & (due["lift"] > 0), "lift"]
    lift = lifts.mode().iloc[0] if len(lifts) else mine["lift"].iloc[0]
    return int(mine.index[mine["lift"] == lift][0])


def _defaults(book: Book, laws: CurveLaws) -> dict[str, str | float]:
    """What is looked up as long as nobody chose."""
    first = laws.frame.loc[_usual_row(book, laws)].to_dict()
    median = float(weibull.life_at(0.5, shape=first["shape"], scale=first["scale"], variance=first["frailty_variance"]))
    step = book.inputs.service_interval
    ahead = step if step > 0 else float(f"{median / 10:.1g}")
    return {
        "component": str(first["component_text"]), "duty": str(first["duty_label"]), "lift": float(first["lift"]),
        "age": float(f"{median / 2:.1g}"), "ahead": ahead, "share": 0.1,
    }  # fmt: skip


def _typed_choices(book: Book, laws: CurveLaws) -> dict[str, str | float]:
    """What a person chose in an earlier workbook, where it still can be chosen."""
    found = book.carried.beside(CURVES_SHEET, [(label,) for label in LOOK_UPS.values()])
    texts = dict(zip(LOOK_UPS, found, strict=True))
    frame = laws.frame
    known: dict[str, set[str]] = {
        "component": set(frame["component_text"]), "duty": set(frame["duty_label"]),
    }  # fmt: skip
    out: dict[str, str | float] = {name: texts[name] for name, allowed in known.items() if texts[name] in allowed}
    out |= {name: float(texts[name]) for name in ("age", "ahead", "share") if texts[name]}
    if texts["lift"] and float(texts["lift"]) in set(frame["lift"]):
        out["lift"] = float(texts["lift"])
    return out


def _write_choices(book: Book, page: Page, laws: CurveLaws) -> _Choices:
    """The yellow cells."""
    unit = book.words.distance
    values = _defaults(book, laws) | _typed_choices(book, laws)
    kinds = {"lift": "count", "age": "distance", "ahead": "distance", "share": "percent"}
    hints = {
        "component": "From the list.",
        "duty": "From the list.",
        "lift": "From the list, in millimetres; it counts for components that the joint angle wears.",
        "age": f"In {unit} since it was fitted; 0 for a new part.",
        "ahead": f"In {unit}: what is driven until the next look.",
        "share": "10 % gives the life that 1 part in 10 does not reach (B10).",
    }
    page.put(page.row, 0, LOOK_UP_HEADING, role="head")
    page.put(page.row, 1, CHOICE_HEADING, role="head")
    page.across(page.row, 2, "What it is", role="head")
    page.row += 1
    at = Place(page.name, page.row, page.row + len(LOOK_UPS) - 1, {"choice": 1})
    for name, label in LOOK_UPS.items():
        page.put(page.row, 0, label)
        page.put(page.row, 1, values[name], kind=kinds.get(name, "text"), role="input")
        page.across(page.row, 2, hints[name])
        page.sheet.data_validation(page.row, 1, page.row, 1, _rule(name, laws))
        page.row += 1
    page.widen(0, 300)
    page.widen(1, 190)
    return _Choices(values, {name: at.cell("choice", index) for index, name in enumerate(LOOK_UPS)})


def _rule(name: str, laws: CurveLaws) -> dict[str, object]:
    """What may be chosen."""
    if name in laws.lists:
        return {
            "validate": "list", "source": f"={laws.lists[name]}", "ignore_blank": False,
            "error_title": "Not in the list", "error_message": "Choose from the list.",
        }  # fmt: skip
    if name == "share":
        return {
            "validate": "decimal", "criteria": "between", "minimum": 0.001, "maximum": 0.999,
            "error_title": "Not a share", "error_message": "A share between 0.1 % and 99.9 % is needed here.",
        }  # fmt: skip
    return {
        "validate": "decimal", "criteria": ">=", "value": 0,
        "error_title": "Not a distance", "error_message": "A distance of 0 or more is needed here.",
    }  # fmt: skip


def _write_charts(book: Book, page: Page, rows: Place) -> None:
    """The curve with its band beside factory height, and what replacing at each age costs."""
    unit, money = book.words.distance, book.words.currency
    first = 1
    curve = band_chart(
        book.workbook,
        "Curve looked up: share still good",
        categories=rows.series("age", first=first),
        band=Band(
            f"{book.confidence} band", rows.series("low", first=first), rows.series("height", first=first), BAND_BLUE
        ),
        lines=[
            Line("As chosen", rows.series("good", first=first), BLUE),
            Line("Factory height, same duty", rows.series("factory", first=first), ORANGE, "dash", 1.5),
        ],
        x_name=f"Age ({unit})",
        y_name="Share still good",
        y_format="0%",
        y_max=1,
        label_every=_LABEL_EVERY,
        size=GALLERY_SIZE,
    )
    first += _DEAR_POINTS
    cost = band_chart(
        book.workbook,
        "Curve looked up: cost by age of replacement",
        categories=rows.series("age", first=first),
        band=None,
        lines=[Line("Replaced at this age or at failure", rows.series("cost", first=first), BLUE)],
        x_name=f"Age of replacement ({unit})",
        y_name=f"{money} per 1000 {unit}",
        y_format="#,##0.00",
        label_every=_LABEL_EVERY,
        size=GALLERY_SIZE,
    )
    page.gallery([curve, cost])

"""Further parts of the sheet "Raised and factory": why crude differs, weights, steps, return to factory height."""

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column
from workbook.planner.page import Page

__all__ = ["write_second_answers"]

_COVARIATES = {"duty": "Duty", "vehicle_class": "Vehicle class", "depot": "Depot", "place": "Place"}
_MEASURES = {"lift": "Lift (mm)", "angle": "Joint angle (deg)"}


def write_second_answers(book: Book, page: Page, groups: pd.DataFrame) -> None:
    """Write them below the comparison.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Its sheet.
    groups : pandas.DataFrame
        Widest lift group of each component, with `label`.
    """
    told = [(label, why) for label, why in zip(groups["label"], groups["why"], strict=True) if why]
    if told:
        page.heading("Why the crude ratio differs")
        for label, why in told:
            page.paragraph(f"{label}. {why}")
        page.row += 1
    _write_return(book, page)
    _write_weighted(book, page)
    _write_doses(book, page)


def _labelled(book: Book, name: str) -> pd.DataFrame:
    frame = book.table(name)
    return frame.assign(label=frame["component"].map(book.words.component))


def _write_return(book: Book, page: Page) -> None:
    frame = _labelled(book, "return_to_factory")
    if frame.empty:
        return
    unit, money = book.words.distance, book.words.currency
    page.heading("If the raised vehicles went back to factory height")
    page.paragraph(
        "Long-run cost a year of the wear of the parts now on raised vehicles, as they stand and at factory height, "
        "each at the interval recommended for it. p10 and p90: life curves, running and prices as they may be. What "
        "the change itself costs, and the luck of a single year, are not counted."
    )
    frame.loc[frame["component"] == "all", "label"] = "All together"
    frame["words"] = [
        f"{'Saves' if saving >= 0 else 'Costs'} {abs(saving):,.0f} {money} a year" for saving in frame["saving"]
    ]
    page.table(
        frame,
        [
            Column("label", "Component"),
            Column("words", "In words", merge=2),
            Column("vehicles", "Vehicles", "count"),
            Column("parts", "Parts", "count"),
            Column("distance_year", f"Their running a year, summed over parts ({unit})", "distance"),
            Column("cost_year_raised", f"Cost a year, raised ({money})", "money"),
            Column("cost_year_factory", f"Cost a year, factory ({money})", "money"),
            Column("saving", f"Saving a year ({money})", "money"),
            Column("p10", f"Saving, p10 ({money})", "money"),
            Column("p90", f"Saving, p90 ({money})", "money"),
            Column("chance_saving", "Chance that it saves (%)", "percent0"),
        ],
    )
    page.row += 1


def _write_weighted(book: Book, page: Page) -> None:
    frame = _labelled(book, "compare_weighted")
    if frame.empty:
        return
    page.heading("A second answer: lives weighted by how likely their ride height was")
    page.paragraph(
        "Each life counts the more, the less likely its ride height was for its duty, class, depot and place, so that "
        "both sides come to do the same work; raised or not is all that is told of height. Where this ratio and the "
        "one above lie far apart, trust neither alone. Lives that weigh as much: how many equally weighted lives "
        "would tell as much."
    )
    bounds = (f"Low ({book.confidence})", f"High ({book.confidence})")
    page.table(
        frame,
        [
            Column("label", "Component"),
            Column("note", "Note", merge=2),
            Column("life_ratio", "Life ratio, weighted", "decimal2"),
            Column("lower", bounds[0], "decimal2"),
            Column("upper", bounds[1], "decimal2"),
            Column("failures_raised", "Failures, raised", "count"),
            Column("failures_factory", "Failures, factory", "count"),
            Column("effective_raised", "Lives that weigh as much, raised", "count"),
            Column("effective_factory", "Lives that weigh as much, factory", "count"),
            Column("share_truncated", "Distance hardly overlapping (%)", "percent0"),
            Column("share_left_out", "Distance left out (%)", "percent0"),
        ],
    )
    page.row += 1
    balance = _labelled(book, "balance")
    if balance.empty:
        return
    page.heading("Balance of the two sides before and after weighting")
    page.paragraph(
        "Shares of the distance. The difference is in standard deviations of the share: beyond 0.1 either way the "
        "sides differ (common practice, no source)."
    )
    page.table(
        balance.assign(kind=balance["covariate"].map(_COVARIATES)),
        [
            Column("label", "Component"),
            Column("kind", "Of"),
            Column("level", "Level", widest=200),
            Column("share_raised", "Raised (%)", "percent0"),
            Column("share_factory", "Factory (%)", "percent0"),
            Column("difference", "Difference (sd)", "decimal2"),
            Column("weighted_raised", "Raised, weighted (%)", "percent0"),
            Column("weighted_factory", "Factory, weighted (%)", "percent0"),
            Column("difference_weighted", "Difference, weighted (sd)", "decimal2"),
        ],
    )
    page.row += 1


def _write_doses(book: Book, page: Page) -> None:
    frame = _labelled(book, "dose_response")
    if frame.empty:
        return
    page.heading("Life against lift and joint angle, in steps")
    page.paragraph(
        "The fitted ratio follows the form of the life model; the ratio by steps assumes none and rests on the "
        "failures of its step alone. They should agree within their intervals: a small chance of the form says that "
        "they do not."
    )
    bounds = (f"Low ({book.confidence})", f"High ({book.confidence})")
    page.table(
        frame.assign(measure=frame["over"].map(_MEASURES)),
        [
            Column("label", "Component"),
            Column("measure", "Of"),
            Column("low", "From (mm or deg)", "decimal1"),
            Column("high", "To (mm or deg)", "decimal1"),
            Column("lives", "Lives", "count"),
            Column("failures", "Failures", "count"),
            Column("life_ratio", "Life ratio, fitted", "decimal2"),
            Column("lower", bounds[0], "decimal2"),
            Column("upper", bounds[1], "decimal2"),
            Column("steps_ratio", "Life ratio, by steps", "decimal2"),
            Column("steps_lower", bounds[0], "decimal2"),
            Column("steps_upper", bounds[1], "decimal2"),
            Column("p_value", "Chance of the form", "decimal2"),
            Column("note", "Note", widest=300),
        ],
    )
    page.row += 1

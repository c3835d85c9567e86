"""Sheet "Part makes": which part lasts longer, and which is cheaper per distance."""

from workbook.planner.book import Book
from workbook.planner.columns import Column

__all__ = ["write_part_makes"]

_MISSING = (
    "No makes can be compared: no component has lives of known age under two part numbers. It needs part numbers in "
    "the repairs table; superseded numbers count with those that follow them."
)


def write_part_makes(book: Book) -> None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Part makes"]
    page.title("Part makes", subtitle="Does the dearer part last longer per unit of money?")
    frame = book.table("compare_makes")
    if frame.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return
    unit, money = book.words.distance, book.words.currency
    page.paragraph(
        "Each part number against the commonest one fitted to the same vehicle classes, allowed for duty, class, place "
        "and ride height. The crude ratio allows for nothing. Costs are those of the long run with labour and standing "
        "time, each part at the interval recommended for it; the price of a kit is shared over what it renews, its "
        "labour is not. Fit only parts that the vehicle's maker allows."
    )
    page.row += 1
    bounds = (f"Low ({book.confidence})", f"High ({book.confidence})")
    place = page.table(
        frame.assign(label=frame["component"].map(book.words.component)),
        [
            Column("label", "Component"),
            Column("make", "Part number"),
            Column("build", "Build", widest=150),
            Column("against", "Held against"),
            Column("vehicle_classes", "Vehicle classes", widest=200),
            Column("lives", "Lives", "count"),
            Column("failures", "Failures", "count"),
            Column("life_ratio", "Life ratio", "decimal2"),
            Column("lower", bounds[0], "decimal2"),
            Column("upper", bounds[1], "decimal2"),
            Column("crude_ratio", "Crude ratio", "decimal2"),
            Column("position_price", f"Price for one position ({money})", "money2"),
            Column("cost_per_1000", f"Cost ({money} per 1000 {unit})", "money2"),
            Column("extra_cost_per_1000", f"Extra cost ({money} per 1000 {unit})", "money2"),
            Column("extra_cost_per_1000_lower", bounds[0], "money2"),
            Column("extra_cost_per_1000_upper", bounds[1], "money2"),
            Column("chance_cheaper", "Chance to be the cheaper (%)", "percent0"),
            Column("sentence", "In words", widest=430),
        ],
    )
    page.row += 1
    page.finish(footer=book.footer, repeat=place.first_row - 1)

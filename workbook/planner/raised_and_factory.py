"""Sheet "Raised and factory": how much sooner parts fail on raised vehicles, and the joint angles behind it."""

import math

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.charts import ratio_chart
from workbook.planner.columns import Column, Place
from workbook.planner.formats import ORANGE
from workbook.planner.page import Page
from workbook.planner.second_answers import write_second_answers

__all__ = ["widest_groups", "write_raised_and_factory"]

_MISSING = (
    "No comparison can be made: the record holds no parts on raised vehicles beside parts at factory height, or "
    "too few failures. It needs a ride_height table and failures on both sides."
)
_HIGHEST_RATIO = 2.0
_NO_ANGLES = (
    "No joint angles can be shown: fleet.toml holds no [geometry.CLASS] sections with shaft lengths and angles."
)


def widest_groups(compare: pd.DataFrame) -> pd.DataFrame:
    """One row a component: all raised vehicles together, or the one raised height there is.

    Parameters
    ----------
    compare : pandas.DataFrame
        Table `compare`, in which the widest group of a component stands last.

    Returns
    -------
    pandas.DataFrame
    """
    return compare.drop_duplicates("component", keep="last", ignore_index=True)


def write_raised_and_factory(book: Book) -> None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Raised and factory"]
    page.title(
        "Raised and factory", subtitle="How long parts last on raised vehicles, in the same work as the others."
    )
    compare = book.table("compare")
    if compare.empty:
        page.paragraph(_MISSING, role="missing")
        page.row += 1
    else:
        page.paragraph(
            "Life ratio: life on a raised vehicle over life at factory height, in the same mix of duty. Below 1: "
            "raised wears faster; 0.80 means a fifth less life. Where low and high lie on either side of 1 the "
            "record does not settle it. The crude ratio leaves the work out of account: raised vehicles often do "
            "the harder work, so trust the adjusted ratio. Each part on a raised vehicle is taken once as it is and "
            "once as if its vehicle stood at factory height; intervals count vehicles, not parts. Extra "
            "cost: labour and standing time included."
        )
        for sentence in sorted({text for text in book.table("overlap")["sentence"] if text}):
            page.paragraph(sentence, role="caution")
        page.row += 1
        shown = compare.assign(
            label=compare["component"].map(book.words.component), duty_mix=compare["duty_mix"].map(book.words.duty)
        )
        _add_ratio_chart(book, page, widest_groups(shown))
        page.heading("Comparison")
        page.table(shown, _compare_columns(book))
        page.row += 1
        _write_duties(book, page)
        page.heading("Lives of parts on all raised vehicles, as they are and as they would be at factory height")
        page.table(_life_rows(book, widest_groups(shown)), _life_columns(book))
        page.row += 1
        write_second_answers(book, page, widest_groups(shown))
        page.break_here()
    _write_angles(book, page)
    page.finish(footer=book.footer)


def _compare_columns(book: Book) -> list[Column]:
    unit, money = book.words.distance, book.words.currency
    return [
        Column("label", "Component"),
        Column("lift_group", "Lift group"),
        Column("duty_mix", "Duty mix compared in", widest=200),
        Column("lives", "Lives", "count"),
        Column("failures", "Failures", "count"),
        Column("life_ratio", "Life ratio", "decimal2"),
        Column("lower", f"Low ({book.confidence})", "decimal2"),
        Column("upper", f"High ({book.confidence})", "decimal2"),
        Column("p_value", "p-value of no difference", "decimal3"),
        Column("crude_ratio", "Crude ratio", "decimal2"),
        Column("extra_cost_per_1000", f"Extra cost of raised ({money} per 1000 {unit})", "money2"),
        Column("extra_cost_per_1000_lower", f"Low ({book.confidence})", "money2"),
        Column("extra_cost_per_1000_upper", f"High ({book.confidence})", "money2"),
        Column("note", "Note", widest=300),
    ]


def _life_rows(book: Book, groups: pd.DataFrame) -> pd.DataFrame:
    """Mean and median lives, two rows a component, with their intervals."""
    groups = groups[groups["life_ratio"].notna()]
    frames = []
    for name, words in (("mean", "Mean life"), ("median", "Median life")):
        frame = groups[["label", "mean_limit"]].assign(figure=words, upto="")
        for side in ("factory", "raised"):
            for bound in ("", "_lower", "_upper"):
                frame[f"{side}{bound}"] = groups[f"{name}_{side}{bound}"]
        frames.append(frame)
    frames[0]["upto"] = [f"up to {limit:,.0f} {book.words.distance}" for limit in frames[0]["mean_limit"]]
    rows = pd.concat(frames)
    # Where one side was never seen there is no limit both were seen up to.
    return rows[rows["factory"].notna()].sort_index(kind="stable").reset_index(drop=True)


def _life_columns(book: Book) -> list[Column]:
    columns = [Column("label", "Component"), Column("figure", "Figure"), Column("upto", "Of lives")]
    for side, which in (("factory", "At factory height"), ("raised", "Raised")):
        columns += [
            Column(side, f"{which} ({book.words.distance})", "distance"),
            Column(f"{side}_lower", f"Low ({book.confidence})", "distance"),
            Column(f"{side}_upper", f"High ({book.confidence})", "distance"),
        ]
    return columns


def _write_duties(book: Book, page: Page) -> None:
    """Life ratio of each duty, for components that ride height costs more in some duties than in others."""
    frame = book.table("compare_duty")
    if frame.empty:
        return
    page.heading("Comparison by duty")
    page.paragraph(
        "For these components the record says that ride height costs more life in some duties than in others. Lives "
        "and failures: those of the lift group in that duty; a duty with few of them borrows from the others."
    )
    unit = book.words.distance
    shown = frame.assign(
        label=frame["component"].map(book.words.component), duty_label=frame["duty"].map(book.words.duty)
    )
    columns = [
        Column("label", "Component"),
        Column("lift_group", "Lift group"),
        Column("duty_label", "Duty"),
        Column("lives", "Lives", "count"),
        Column("failures", "Failures", "count"),
        Column("life_ratio", "Life ratio", "decimal2"),
        Column("lower", f"Low ({book.confidence})", "decimal2"),
        Column("upper", f"High ({book.confidence})", "decimal2"),
        Column("median_factory", f"Median life, factory ({unit})", "distance"),
        Column("median_raised", f"Median life, raised ({unit})", "distance"),
    ]
    page.table(shown, columns)
    page.row += 1


def _write_ratio_rows(book: Book, groups: pd.DataFrame) -> Place:
    """Chart data: labels, ratios, and the distance to either bound."""
    rows = groups[["life_ratio", "lower", "upper"]].assign(name=groups["label"] + ", " + groups["lift_group"])
    rows["below"] = rows["life_ratio"] - rows["lower"]
    rows["above"] = rows["upper"] - rows["life_ratio"]
    # An error bar without bounds would be read as no uncertainty: leave such rows out of the chart.
    rows = rows.dropna(subset=["life_ratio", "below", "above"]).reset_index(drop=True)
    data = book.pages["Chart data"]
    data.heading("Life ratio, raised over factory height")
    place = data.table(
        rows,
        [
            Column("name", "Component and lift group"),
            Column("life_ratio", "Life ratio", "decimal3"),
            Column("lower", "Low", "decimal3"),
            Column("upper", "High", "decimal3"),
            Column("below", "Ratio less low", "decimal3", "live", "={life_ratio}-{lower}"),
            Column("above", "High less ratio", "decimal3", "live", "={upper}-{life_ratio}"),
        ],
    )
    data.row += 1
    return place


def _add_ratio_chart(book: Book, page: Page, groups: pd.DataFrame) -> None:
    """Bars of the life ratio with their intervals; none when no ratio is known."""
    ratios = _write_ratio_rows(book, groups)
    if not ratios.rows:
        return
    size = (900, min(120 + 28 * ratios.rows, 700))
    highest = float(groups["upper"].max())
    cut = f"; what lies beyond {_HIGHEST_RATIO:g} is cut, see the figures below" if highest > _HIGHEST_RATIO else ""
    chart = ratio_chart(
        book.workbook,
        "Life of raised over factory height (1 = no difference)",
        categories=ratios.series("name"),
        values=ratios.series("life_ratio"),
        below=ratios.series("below"),
        above=ratios.series("above"),
        colour=ORANGE,
        value_name=f"life ratio with {book.confidence} interval{cut}",
        value_max=min(max(math.ceil(highest * 5) / 5, 1.2), _HIGHEST_RATIO),
        size=size,
    )
    page.chart(page.row, chart, width=size[0])
    page.skip(size[1] + 20)


def _write_angles(book: Book, page: Page) -> None:
    page.heading("Joint angles")
    angles = book.table("angles")
    if angles.empty:
        page.paragraph(_NO_ANGLES, role="missing")
        return
    page.paragraph(
        "Standing angle of each joint by ride height, from the lengths and angles in fleet.toml. Ripple: how far "
        "the shaft speed swings within one turn, (1 / cos angle - cos angle). The remarks are common practice; "
        "the limits of the joint's maker come first."
    )
    shown = angles.assign(label=angles["component"].map(book.words.component))
    columns = [
        Column("vehicle_class", "Vehicle class"),
        Column("driveline", "Driveline"),
        Column("position", "Position"),
        Column("lift", "Lift (mm)", "count"),
        Column("angle", "Joint angle (deg)", "decimal1"),
        Column("ripple", "Speed ripple (%)", "percent2"),
        Column("label", "Component", merge=3),
        Column("remark", "Remark", merge=5),
    ]
    page.table(shown, columns)

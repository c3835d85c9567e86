"""Sheet "How lives end": what becomes of parts, which fittings come back, and which clock parts age by."""

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.charts import Bars, area_chart
from workbook.planner.columns import Column
from workbook.planner.formats import BAND_BLUE, BLUE, GREY, INK, ORANGE
from workbook.planner.limits import first_rows
from workbook.planner.page import GALLERY_SIZE, Page

__all__ = ["write_how_lives_end"]

_MISSING = "No way that lives end can be shown: no part whose fitting date is known has come out yet."
_NO_COMEBACKS = "No comebacks can be counted: the record holds no fitting with enough days of observation after it."
_NO_CLOCKS = "No clocks can be compared: the record counts days only, or no fitting date is known."

_WAYS = {
    "wear": ("Wear", ORANGE),
    "planned": ("Planned renewal", BLUE),
    "collateral": ("Renewed along with another part", BAND_BLUE),
    "damage": ("Damage from outside", GREY),
    "comeback": ("Comeback", INK),
}
_STILL_FITTED = "still_fitted"
_ALL_PARTS = "all"
_CLOCKS = {"distance": "distance ({unit})", "age": "years since fitting", "mixed": "both", "hours": "engine hours"}
_HOURS_COLUMNS = (
    Column("hours", "Log-likelihood, engine hours less distance", "decimal1"),
    Column("hours_z", "Hours: times its error", "decimal1"),
)
_LABEL_EVERY = 5
#: Smaller shares are traces of lines that are hardly about this position.
_LEAST_SHARE = 5e-4
#: Rows of the table of comebacks, at most; the result table holds them all.
_MOST_PARTS = 200


def write_how_lives_end(book: Book) -> None:
    """Write the sheet and its rows of chart data.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["How lives end"]
    page.title(
        "How lives end", subtitle="What becomes of parts, which fittings come back, and which clock parts age by."
    )
    endings = book.table("endings").dropna(subset=["distance", "incidence"])
    if endings.empty:
        page.paragraph(_MISSING, role="missing")
        page.row += 1
    else:
        page.paragraph(
            "Each chart: of all parts fitted, the share that has come out by an age, and why; white above is still "
            "fitted. Wear is what failed or was found worn. Each way of ending takes parts from the others, so that "
            "these shares add up, which one minus a life curve does not. Parts of unknown fitting date are left out; "
            "wear found at a look counts halfway between that look and the one before."
        )
        _write_charts(book, page, endings)
        _write_counts(book, page)
        _write_shares(book, page, endings)
    _write_comebacks(book, page)
    _write_clocks(book, page)
    page.finish(footer=book.footer)


def _write_charts(book: Book, page: Page, endings: pd.DataFrame) -> None:
    page.row += 1
    page.gallery([_chart(book, str(code), rows) for code, rows in endings.groupby("component", sort=False)])


def _chart(book: Book, code: str, rows: pd.DataFrame) -> object:
    """Stacked shares of one component."""
    label = book.words.component(code)
    shares = rows.pivot_table(index="distance", columns="ended", values="incidence", aggfunc="last")
    ways = [way for way in _WAYS if way in shares]
    data = book.pages["Chart data"]
    data.heading(f"How lives end: {label}")
    columns = [Column("distance", f"Age ({book.words.distance})", "distance")]
    columns += [Column(way, _WAYS[way][0], "decimal3") for way in ways]
    place = data.table(shares.reset_index(), columns)
    data.row += 1
    return area_chart(
        book.workbook,
        label,
        categories=place.series("distance"),
        areas=[Bars(_WAYS[way][0], place.series(way), _WAYS[way][1]) for way in ways],
        x_name=f"Age ({book.words.distance})",
        y_name="Share that has come out",
        label_every=_LABEL_EVERY,
        size=GALLERY_SIZE,
    )


def _write_shares(book: Book, page: Page, endings: pd.DataFrame) -> None:
    """Shares with their limits, at one age of each component."""
    page.heading("Share that has come out, with limits")
    page.paragraph(
        "At the age by which half of the parts have come out, or the last of the chart; ways that nothing ended in "
        "by then are not listed. Limits take parts as independent of each other."
    )
    shown = pd.concat([_half_way(rows) for _, rows in endings.groupby("component", sort=False)], ignore_index=True)
    shown = shown.assign(
        label=shown["component"].map(book.words.component), way=[_WAYS[way][0] for way in shown["ended"]]
    )
    columns = [
        Column("label", "Component"),
        Column("way", "Came out by"),
        Column("distance", f"By age ({book.words.distance})", "distance"),
        Column("incidence", "Share", "percent"),
        Column("lower", f"Low ({book.confidence})", "percent"),
        Column("upper", f"High ({book.confidence})", "percent"),
    ]
    page.table(shown, columns)
    page.row += 1


def _half_way(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows at the first distance by which half have ended; at the last where they never do."""
    fitted = rows[rows["ended"] == _STILL_FITTED]
    past = fitted.loc[fitted["incidence"] <= 0.5, "distance"]
    at = past.min() if len(past) else rows["distance"].max()
    return rows[(rows["distance"] == at) & rows["ended"].isin(list(_WAYS)) & (rows["incidence"] >= _LEAST_SHARE)]


def _write_counts(book: Book, page: Page) -> None:
    """How many lives stand behind the curves."""
    counts = book.table("ending_counts")
    if counts.empty:
        return
    page.heading("Parts behind the charts")
    table = counts.pivot_table(index="component", columns="ended", values="lives", aggfunc="sum", sort=False)
    left_out = counts.groupby("component", sort=False)["left_out"].sum()
    shown = table.reindex(columns=[*_WAYS, _STILL_FITTED]).assign(left_out=left_out).reset_index()
    columns = [
        Column("label", "Component"),
        *(Column(way, text, "count") for way, (text, _) in _WAYS.items()),
        Column(_STILL_FITTED, "Still fitted, or with a retired vehicle", "count"),
        Column("left_out", "Left out: fitting date unknown", "count"),
    ]
    page.table(shown.assign(label=shown["component"].map(book.words.component)), columns)
    page.row += 1


def _write_comebacks(book: Book, page: Page) -> None:
    """Comebacks by component and part number."""
    page.break_here()
    page.heading("Comebacks")
    table = book.table("comebacks")
    if table.empty:
        page.paragraph(_NO_COMEBACKS, role="missing")
        page.row += 1
        return
    days = table["window_days"].iloc[0]
    page.paragraph(
        f"Fittings that came back within {days:.0f} days (comeback_days in fleet.toml). A fitting counts once its "
        "vehicle has been under observation for as long. Early failures have no comeback on record; the life curve "
        "tells how many to expect by wear alone. A part number is listed once something of it came back or failed "
        "early."
    )
    whole = table["part_number"] == _ALL_PARTS
    table["part_number"] = table["part_number"].mask(whole, "all part numbers")
    happened = whole | (table["comebacks"] >= 0.5) | (table["early_failures"] >= 0.5)
    order = "component by component"
    shown = first_rows(book, page, table[happened], most=_MOST_PARTS, table="comebacks", order=order)
    columns = [
        Column("label", "Component"),
        Column("part_number", "Part number"),
        Column("fittings", "Fittings", "count"),
        Column("comebacks", "Comebacks", "count"),
        Column("share", "Share", "percent"),
        Column("lower", f"Low ({book.confidence})", "percent"),
        Column("upper", f"High ({book.confidence})", "percent"),
        Column("early_failures", "Early failures", "count"),
        Column("expected_early", "Expected by wear", "decimal1"),
        Column("sentence", "What it says", widest=430),
    ]
    page.table(shown.assign(label=shown["component"].map(book.words.component)), columns)
    page.row += 1


def _write_clocks(book: Book, page: Page) -> None:
    """Which clock each component ages by."""
    page.break_here()
    page.heading("Which clock parts age by")
    table = book.table("clocks")
    if table.empty:
        page.paragraph(_NO_CLOCKS, role="missing")
        return
    unit = book.words.distance
    page.paragraph(
        "Rubber may age in years whatever its vehicle runs. The same failures are explained by "
        f"{unit}, by years since fitting, and by both together. A positive difference speaks for years; it counts "
        "where it is 2 or more and 1.6 or more times its error. Predictions go by the clock named here; for years "
        "that is the time of each vehicle, whatever it runs."
    )
    with_hours = bool((table["clock"] == "hours").any())
    if with_hours:
        page.paragraph(
            f"Engine hours are on record too and are set against {unit} in the same way. Where they are the clock, "
            "due dates and forecasts go by each vehicle's own hours."
        )
    shown = pd.DataFrame([_clock_row(rows, unit) for _, rows in table.groupby("component", sort=False)])
    columns = [
        Column("label", "Component"),
        Column("clock", "Clock"),
        Column("failures", "Failures", "count"),
        Column("difference", f"Log-likelihood, years less {unit}", "decimal1"),
        Column("z", "Times its error", "decimal1"),
        *(_HOURS_COLUMNS if with_hours else ()),
        Column("b10", "A tenth worn by (years)", "decimal1"),
        Column("median", "Half worn by (years)", "decimal1"),
        # Ends with the table of comebacks above, where the paper ends.
        Column("sentence", "What it says", widest=430) if with_hours else Column("sentence", "What it says", merge=3),
    ]
    page.table(shown.assign(label=shown["component"].map(book.words.component)), columns)


def _clock_row(rows: pd.DataFrame, unit: str) -> dict[str, object]:
    """One row a component: age against distance, what was chosen, and every sentence."""
    by_clock = rows.set_index("clock")
    age = by_clock.loc["age"]
    hours = by_clock.reindex(["hours"]).loc["hours"]
    chosen = rows.loc[rows["chosen"].astype(str) == "True", "clock"].tolist()
    by_years = chosen == ["age"]
    return {
        "component": rows["component"].iloc[0],
        "clock": _CLOCKS[chosen[0]].format(unit=unit) if chosen else "as fleet.toml says",
        "failures": age["failures"],
        "difference": age["difference"],
        "z": age["z"],
        "hours": hours["difference"],
        "hours_z": hours["z"],
        # Years say something only of what ages in years.
        "b10": age["b10_years"] if by_years else float("nan"),
        "median": age["median_years"] if by_years else float("nan"),
        "sentence": " ".join(text for text in rows["sentence"] if text),
    }

"""Sheet "Budget": expected events times editable costs, by policy and month, as live formulas."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from workbook.planner.book import TABLE_COLUMNS, Book
from workbook.planner.charts import Bars, Line, column_chart, line_chart
from workbook.planner.columns import Column, Place
from workbook.planner.formats import BAND_BLUE, BLUE, GREY, ORANGE, POLICY_COLOURS, POLICY_DASHES
from workbook.planner.inputs import COST_FIELDS
from workbook.planner.page import ROW_PIXELS, Page
from workbook.planner.policy_savings import write_savings, write_transition

__all__ = ["BudgetPlaces", "cost_by_month_chart", "write_budget"]

_MISSING = (
    "No budget can be given: no failures or replacements are expected, because no vehicle is in service at the end "
    "of the record or no component has a life curve. The notes on the sheet Read first say which."
)
_COUNTS = ("failures", "condition_finds", "planned")
_MONEY = ("parts", "labour", "downtime")
_CHART = (640, 330)

_FORMULAS = {
    "parts": "=IF(ISNUMBER({failed_cost}),({failures}+{condition_finds}+{planned})*{part_price}*{price_factor},0)",
    "labour": (
        "=IF(ISNUMBER({failed_cost}),"
        "({failures}*{failed_hours}+({condition_finds}+{planned})*{planned_hours})*labour_rate*{price_factor},0)"
    ),
    "downtime": (
        "=IF(ISNUMBER({failed_cost}),"
        "(({failures}*{failed_downtime_hours}+({condition_finds}+{planned})*{planned_downtime_hours})*downtime_cost"
        "+{failures}*{failed_extra})*{price_factor},0)"
    ),
}


@dataclass(frozen=True)
class BudgetPlaces:
    """Where the budget's figures stand, with the values the formulas have now.

    Parameters
    ----------
    horizon : Place
        One row a policy.
    monthly : Place
        One row a policy and month, policies one after the other.
    policies : tuple of str
        In row order.
    totals : pandas.DataFrame
        Cached values of the horizon rows.
    months : int
        Rows of each policy in `monthly`.
    """

    horizon: Place
    monthly: Place
    policies: tuple[str, ...]
    totals: pd.DataFrame
    months: int


def _priced_events(book: Book) -> pd.DataFrame:
    """Events with the money each row costs now; a component whose costs are incomplete counts for nothing."""
    events = book.table("events")
    events[[*_COUNTS, "years_ahead"]] = events[[*_COUNTS, "years_ahead"]].fillna(0.0)
    inputs = book.inputs
    events["price_factor"] = (1.0 + inputs.price_growth) ** events["years_ahead"]
    costs = inputs.costs.set_index("component").drop(columns=["label", "source"])
    costs = costs.where(costs["failed_cost"].notna())
    unit = costs.reindex(events["component"]).reset_index(drop=True).astype(float)
    failed, mild = events["failures"], events["condition_finds"] + events["planned"]
    unit = unit.fillna(0.0)
    events["parts"] = (failed + mild) * unit["part_price"] * events["price_factor"]
    events["labour"] = (
        failed * unit["failed_hours"] + mild * unit["planned_hours"]
    ) * inputs.labour_rate * events["price_factor"]
    stood = failed * unit["failed_downtime_hours"] + mild * unit["planned_downtime_hours"]
    events["downtime"] = (stood * inputs.downtime_cost + failed * unit["failed_extra"]) * events["price_factor"]
    order = {policy: i for i, policy in enumerate(POLICY_COLOURS)}
    rank = events["policy"].map(order).fillna(len(order))
    return (
        events.assign(rank=rank)
        .sort_values(["rank", "policy", "month", "component"], kind="stable", ignore_index=True)
        .drop(columns="rank")
    )


def _factors(written: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    """Low and high figure of each row as a share of its mean, as the plan computed them."""
    total = written["total"].where(written["total"] > 0)
    out = written[keys].copy()
    out["low_factor"] = written["p10"] / total
    out["high_factor"] = written["p90"] / total
    return out.drop_duplicates(keys)


def _monthly_values(book: Book, events: pd.DataFrame) -> pd.DataFrame:
    grid = pd.MultiIndex.from_product(
        [events["policy"].unique(), sorted(events["month"].unique())], names=["policy", "month"]
    )
    sums = events.groupby(["policy", "month"])[[*_COUNTS, *_MONEY]].sum()
    sums = sums.reindex(grid, fill_value=0.0).reset_index()
    sums["total"] = sums[list(_MONEY)].sum(axis=1)
    sums = sums.merge(_factors(book.table("budget"), ["policy", "month"]), on=["policy", "month"], how="left")
    return sums.assign(
        low=sums["total"] * sums["low_factor"],
        high=sums["total"] * sums["high_factor"],
        component="all",
        policy_label=sums["policy"].map(book.words.policy),
    )


def _horizon_values(book: Book, monthly: pd.DataFrame) -> pd.DataFrame:
    sums = monthly.groupby("policy", as_index=False, sort=False)[[*_COUNTS, *_MONEY, "total"]].sum()
    written = book.table("budget_year")
    if written.empty:
        written = book.table("budget").groupby("policy", as_index=False)[["total", "p10", "p90"]].sum(min_count=1)
        written = written.reindex(columns=list(TABLE_COLUMNS["budget_year"]))
    sums = sums.merge(_factors(written, ["policy"]), on="policy", how="left")
    margin = written.drop_duplicates("policy").set_index("policy").reindex(sums["policy"])
    margin = margin.reset_index(drop=True)
    margin.loc[sums["policy"] == "run_to_failure", :] = np.nan
    base = sums.loc[sums["policy"] == "run_to_failure", "total"]
    sums["saving"] = base.iloc[0] - sums["total"] if len(base) else np.nan
    sums.loc[sums["policy"] == "run_to_failure", "saving"] = np.nan
    sums["saving_share"] = sums["saving"] / base.iloc[0] if len(base) and base.iloc[0] > 0 else np.nan
    sums["margin_low"] = margin["saving_p10"] - margin["saving"]
    sums["margin_high"] = margin["saving_p90"] - margin["saving"]
    return sums.assign(
        low=sums["total"] * sums["low_factor"],
        high=sums["total"] * sums["high_factor"],
        saving_low=sums["saving"] + sums["margin_low"],
        saving_high=sums["saving"] + sums["margin_high"],
        component="all",
        month=book.span,
        chance_saving=margin["chance_saving"],
        policy_label=sums["policy"].map(book.words.policy),
    )


def _shared_columns(book: Book, formulas: Mapping[str, str], *, month_kind: str) -> list[Column]:
    """The columns the three tables of the sheet have in common; a formula makes a column live."""
    money = book.words.currency
    live = dict.fromkeys(formulas, "live")

    def column(name: str, header: str, kind: str) -> Column:
        return Column(name, header, kind, live.get(name, "body"), formulas.get(name, ""))

    return [
        Column("policy_label", "Policy"),
        Column("component", "Component"),
        Column("month", "Month", month_kind),
        column("failures", "Failures on the road", "decimal1"),
        column("condition_finds", "Found worn at inspection", "decimal1"),
        column("planned", "Planned replacements", "decimal1"),
        column("parts", f"Parts ({money})", "money"),
        column("labour", f"Labour ({money})", "money"),
        column("downtime", f"Downtime and recovery ({money})", "money"),
    ]


def _total_columns(book: Book) -> list[Column]:
    money = book.words.currency
    low = '=IF(ISNUMBER({low_factor}),{total}*{low_factor},"")'
    high = '=IF(ISNUMBER({high_factor}),{total}*{high_factor},"")'
    return [
        Column("total", f"Total ({money})", "money", "live", "={parts}+{labour}+{downtime}"),
        Column("low", f"Low, p10 ({money})", "money", "live", low),
        Column("high", f"High, p90 ({money})", "money", "live", high),
        Column("low_factor", "Low as a share of the mean", "decimal3"),
        Column("high_factor", "High as a share of the mean", "decimal3"),
    ]


def _saving_columns(book: Book) -> list[Column]:
    money = book.words.currency
    low = '=IF(COUNT({saving},{margin_low})=2,{saving}+{margin_low},"")'
    high = '=IF(COUNT({saving},{margin_high})=2,{saving}+{margin_high},"")'
    share = '=IF(COUNT({saving})=1,IF({base_total}>0,{saving}/{base_total},""),"")'
    return [
        Column("saving", f"Saving against run to failure ({money})", "money", "live", "={base_saving}"),
        Column("saving_share", "Saving (%)", "percent", "live", share),
        Column("saving_low", f"Saving, low p10 ({money})", "money", "live", low),
        Column("saving_high", f"Saving, high p90 ({money})", "money", "live", high),
        Column("chance_saving", "Chance of a saving, as written (%)", "percent0"),
        Column("margin_low", "Low less mean, as written", "money"),
        Column("margin_high", "High less mean, as written", "money"),
    ]


def write_budget(book: Book) -> BudgetPlaces | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    BudgetPlaces or None
        None when there are no events to price.
    """
    page = book.pages["Budget"]
    page.title("Budget", subtitle="What each way of working is expected to cost, with a low and a high figure.")
    events = _priced_events(book)
    if events.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return None
    page.paragraph(
        "Every blue figure is a formula: expected events times the costs on the sheet Assumptions, which grow by the "
        "yearly rate given there. Failures on the road include comebacks and damage; what is renewed along with "
        "another part costs nothing more. Low and high (1 chance in 10 of less, 1 in 10 of more) keep their share of "
        "the mean when a cost is changed."
    )
    _write_uncounted(book, page, events)
    monthly = _monthly_values(book, events)
    places = _write_tables(book, page, events, monthly)
    page.sheet.freeze_panes(2, 1)
    horizon, monthly_rows = places.horizon.columns, places.monthly.last_row + 1
    page.finish(footer=book.footer, printed=horizon["saving_high"], printed_rows=monthly_rows)
    return places


def _write_uncounted(book: Book, page: Page, events: pd.DataFrame) -> None:
    """Say which components the money leaves out, now and live."""
    costs = book.inputs.costs
    absent = sorted(set(events["component"]) - set(costs["component"]))
    if absent:
        names = ", ".join(book.words.component(code) for code in absent)
        page.paragraph(f"Not counted in money, because no costs are given: {names}.", role="missing")
    used = costs[costs["component"].isin(events["component"])]
    if len(used):
        cells = [book.inputs.name("failed_cost", code) for code in used["component"]]
        count = "+".join(f"COUNT({cell})" for cell in cells)
        missing = int(used["failed_cost"].isna().sum())
        page.across(page.row, 0, "Components left out because a price or hours are missing", last=3)
        page.put_formula(page.row, 4, f"={len(cells)}-({count})", cached=missing, kind="count")
        page.row += 1
    if book.table("budget_year").empty and not book.table("budget").empty:
        page.paragraph(
            "Low and high over the horizon are the sums of the monthly figures: the true band is narrower."
        )
    page.row += 1


def _write_tables(book: Book, page: Page, events: pd.DataFrame, monthly: pd.DataFrame) -> BudgetPlaces:
    """The three tables, written from the bottom up because each sums the one below it."""
    totals = _horizon_values(book, monthly)
    horizon_row = page.row
    page.row = horizon_row + len(totals) + 3
    write_savings(book, page)
    write_transition(book, page)
    chart_row = page.row
    page.break_here()
    monthly_row = chart_row + math.ceil(_CHART[1] / ROW_PIXELS) + 1
    events_row = monthly_row + len(monthly) + 3
    page.row = events_row
    page.heading("Workings: the expected events behind the figures (not printed)")
    events_place = _write_events(book, page, events)
    bottom = page.row
    page.row = monthly_row
    page.heading("Month by month")
    monthly_place = _write_monthly(book, page, monthly, events_place)
    page.row = horizon_row
    page.heading(f"Over {book.span}, by policy")
    horizon_place = _write_horizon(book, page, totals, monthly, monthly_place)
    page.row = bottom
    places = BudgetPlaces(
        horizon_place, monthly_place, tuple(totals["policy"]), totals, monthly["month"].nunique()
    )
    _add_charts(book, page, places, chart_row)
    return places


def _write_horizon(
    book: Book, page: Page, totals: pd.DataFrame, monthly: pd.DataFrame, below: Place
) -> Place:
    """One row a policy, each count and sum of money over its own months below."""
    sums = {name: f"=SUM({{{name}_range}})" for name in (*_COUNTS, *_MONEY)}
    figures = [*_total_columns(book), *_saving_columns(book)]
    columns = [
        *_shared_columns(book, sums, month_kind="text"),
        # What only the formulas need stands last, beyond the paper's edge.
        *(column for column in figures if column.role == "live"),
        *(column for column in figures if column.role != "live"),
    ]
    at = {column.name: i for i, column in enumerate(columns)}
    policies = totals["policy"].tolist()
    base = policies.index("run_to_failure") if "run_to_failure" in policies else None
    first = page.row + 1
    references = []
    for index, policy in enumerate(policies):
        rows = np.flatnonzero((monthly["policy"] == policy).to_numpy())
        entry = {
            f"{name}_range": below.range(name, first=int(rows[0]), last=int(rows[-1])).split("!")[1]
            for name in sums
        }
        own_total = xl_rowcol_to_cell(first + index, at["total"])
        base_total = xl_rowcol_to_cell(first + base, at["total"]) if base is not None else '""'
        entry["base_total"] = base_total
        entry["base_saving"] = f"{base_total}-{own_total}" if base not in (None, index) else '""'
        references.append(entry)
    return page.table(totals, columns, references=references)


def _write_monthly(book: Book, page: Page, monthly: pd.DataFrame, below: Place) -> Place:
    def summed(name: str) -> str:
        values, labels, months = (
            below.range(n).split("!")[1] for n in (name, "policy_label", "month")
        )
        return f"=SUMIFS({values},{labels},{{policy_label}},{months},{{month}})"

    sums = {name: summed(name) for name in (*_COUNTS, *_MONEY)}
    columns = [*_shared_columns(book, sums, month_kind="month"), *_total_columns(book)]
    return page.table(monthly, columns)


def _write_events(book: Book, page: Page, events: pd.DataFrame) -> Place:
    inputs = book.inputs
    codes = events["component"].tolist()
    by_code = {
        code: {field: inputs.name(field, code) if inputs.has(code) else '""' for field in (*COST_FIELDS, "failed_cost")}
        for code in set(codes)
    }
    shown = events.assign(
        policy_label=events["policy"].map(book.words.policy),
        component=[book.words.component(code) for code in codes],
        **{name: events[name].fillna(0.0) for name in _MONEY},
    )
    growth = "=(1+price_growth)^{years_ahead}"
    columns = [
        *_shared_columns(book, _FORMULAS, month_kind="month"),
        Column("price_factor", "Prices as a multiple of today's", "decimal3", "live", growth),
        Column("years_ahead", "Years to the middle of the month", "decimal3"),
    ]
    return page.table(shown, columns, references=[by_code[code] for code in codes])


def cost_by_month_chart(book: Book, places: BudgetPlaces, *, size: tuple[int, int]) -> object:
    """Chart of the monthly total of each policy, on the live figures.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    places : BudgetPlaces
        As returned by `write_budget`.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    lines = []
    for index, policy in enumerate(places.policies):
        first = index * places.months
        values = places.monthly.series("total", first=first, last=first + places.months - 1)
        dash = POLICY_DASHES.get(policy, "solid")
        lines.append(Line(book.words.policy(policy), values, POLICY_COLOURS.get(policy, GREY), dash))
    return line_chart(
        book.workbook,
        f"Expected cost by month ({book.words.currency})",
        categories=places.monthly.series("month", last=places.months - 1),
        lines=lines,
        y_name=book.words.currency,
        size=size,
    )


def _add_charts(book: Book, page: Page, places: BudgetPlaces, row: int) -> None:
    page.chart(row, cost_by_month_chart(book, places, size=_CHART), width=_CHART[0])
    bars = [
        Bars("Parts", places.horizon.series("parts"), BLUE),
        Bars("Labour", places.horizon.series("labour"), BAND_BLUE),
        Bars("Downtime and recovery", places.horizon.series("downtime"), ORANGE),
    ]
    chart = column_chart(
        book.workbook,
        f"Where the money goes over {book.span} ({book.words.currency})",
        categories=places.horizon.series("policy_label"),
        bars=bars,
        y_name=book.words.currency,
        size=_CHART,
    )
    page.chart(row, chart, width=_CHART[0], offset=_CHART[0] + 20)

"""Sheet "Overview": for the manager, understood in a minute, on one page."""

import math
from collections.abc import Callable

import numpy as np
import pandas as pd

from workbook.planner.book import SHEETS, Book
from workbook.planner.budget import BudgetPlaces, cost_by_month_chart
from workbook.planner.cell_text import pixel_width
from workbook.planner.columns import Column, Place
from workbook.planner.due_list import NOW, SOON
from workbook.planner.forecast_and_record import RECORD_SHEET, fleet_totals
from workbook.planner.interval_savings import SavingPlaces, write_largest_savings
from workbook.planner.page import Page
from workbook.planner.parts_forecast import ForecastPlaces, demand_chart
from workbook.planner.raised_and_factory import widest_groups
from workbook.planner.stock import StockPlaces

__all__ = ["write_overview"]

_CHART_HEIGHT = 270
_CHART_GAP = 16
_MOST_URGENT = 10
#: All parts, and two components.
_MOST_FORESEEN = 3
_RIGHT = 7
_LAST = 11


def write_overview(
    book: Book,
    *,
    due: Place | None,
    savings: SavingPlaces | None,
    forecast: ForecastPlaces | None,
    stock: StockPlaces | None,
    budget: BudgetPlaces | None,
) -> None:
    """Write the sheet; its figures refer to the other sheets.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    due, savings, forecast, stock, budget
        Where the figures of the other sheets stand; None where a sheet has none.
    """
    page = book.pages["Overview"]
    page.title(
        "Overview", subtitle=f"{book.plan.folder_name}, as of {book.as_of}, looking {book.span} ahead."
    )
    page.row += 1
    _Figures(book, page).write(due=due, forecast=forecast, stock=stock, budget=budget)
    page.row += 1
    chart_row = page.row
    if budget is not None or forecast is not None:
        page.skip(_CHART_HEIGHT + 25)
    _side_by_side(
        page,
        lambda: write_largest_savings(book, page, savings, last=_RIGHT - 2),
        lambda: _write_earlier_forecast(book, page),
    )
    _side_by_side(page, lambda: _write_urgent(book, page), lambda: _write_ratios(book, page))
    _write_charts(book, page, chart_row, forecast, budget)
    page.across(
        page.row,
        0,
        "A worn, noisy or loose part is replaced on its condition, whatever is predicted here. The "
        "manufacturer's procedures, local codes and licensed practice come first.",
        last=_LAST,
        role="caution",
    )
    page.finish(footer=book.footer, one_page=True)


def _side_by_side(page: Page, left: Callable[[], None], right: Callable[[], None]) -> None:
    """Two blocks beside each other; the cursor then stands below the longer one and a blank row."""
    top = page.row
    left()
    bottom, page.row = page.row, top
    right()
    page.row = max(page.row, bottom) + 1


class _Figures:
    """The key figures, one line each: label, expected, low, high, meaning."""

    def __init__(self, book: Book, page: Page) -> None:
        self._book = book
        self._page = page

    def write(
        self,
        *,
        due: Place | None,
        forecast: ForecastPlaces | None,
        stock: StockPlaces | None,
        budget: BudgetPlaces | None,
    ) -> None:
        """Header and one line a figure; a figure that is not known says so."""
        page = self._page
        page.put(page.row, 0, "Key figure", role="head")
        for column, header in enumerate(("Expected", "Low, p10", "High, p90"), start=1):
            page.put(page.row, column, header, role="number_head")
            page.widen(column, 84)
        page.across(page.row, 4, "What it means", last=_LAST, role="head")
        page.row += 1
        self._costs(budget)
        self._demand(forecast)
        self._due(due)
        self._orders(stock)

    def _line(self, label: str, meaning: str) -> int:
        """Label and meaning of a new line; its row."""
        page, row = self._page, self._page.row
        page.put(row, 0, label)
        page.widen(0, pixel_width(label) + 24)
        for column in (1, 2, 3):
            page.put(row, column, math.nan)
        page.across(row, 4, meaning, last=_LAST, link=_sheet_named(meaning))
        page.row += 1
        return row

    def _absent(self, label: str, why: str) -> None:
        self._page.put(self._line(label, why), 1, "not known")

    def _costs(self, budget: BudgetPlaces | None) -> None:
        book = self._book
        money = book.words.currency
        if budget is None:
            self._absent(f"Cost over {book.span} ({money})", "There are no expected events to price; see Budget.")
            return
        for index, policy in enumerate(budget.policies):
            row = self._line(
                f"Cost over {book.span}: {book.words.policy(policy)} ({money})", _POLICY_MEANING.get(policy, "")
            )
            for column, name in enumerate(("total", "low", "high"), start=1):
                self._reference(row, column, budget, name, index, "money")
        if "planned" in budget.policies and "run_to_failure" in budget.policies:
            index = budget.policies.index("planned")
            row = self._line(
                f"Saving of planned replacement ({money})",
                f"Against run to failure; parts overdue today are renewed {self._backlog()}; the long run is below.",
            )
            for column, name in enumerate(("saving", "saving_low", "saving_high"), start=1):
                self._reference(row, column, budget, name, index, "money")
            row = self._line("Saving of planned replacement (%)", "Share of the cost of run to failure; see Budget.")
            self._reference(row, 1, budget, "saving_share", index, "percent")
            chance = float(budget.totals["chance_saving"].iloc[index])
            if math.isfinite(chance):
                row = self._line("Chance that planned replacement saves (%)", "At the costs at the time of writing.")
                self._page.put(row, 1, chance, kind="percent0")
        self._long_run()

    def _long_run(self) -> None:
        """A year of each policy once the backlog of overdue parts is gone."""
        yearly = self._book.table("budget_year").set_index("policy")["long_run_year"]
        money = self._book.words.currency
        for policy in self._book.words.policies:
            if math.isfinite(yearly.get(policy, math.nan)):
                row = self._line(
                    f"Long run, a year: {self._book.words.policy(policy)} ({money})",
                    "Once parts overdue today have been renewed, damage and comebacks counted; today's vehicles, "
                    "costs at the time of writing.",
                )
                self._page.put(row, 1, float(yearly[policy]), kind="money")

    def _backlog(self) -> str:
        """How long renewing the parts that are overdue today takes, in words."""
        months = self._book.plan.settings.spread_backlog_months
        return f"over {months:g} months" if months > 0 else "at once"

    def _reference(
        self, row: int, column: int, budget: BudgetPlaces, name: str, index: int, kind: str
    ) -> None:
        self._page.put_formula(
            row,
            column,
            f"={budget.horizon.cell(name, index)}",
            cached=float(budget.totals[name].iloc[index]),
            kind=kind,
        )

    def _demand(self, forecast: ForecastPlaces | None) -> None:
        label = f"Parts needed over {self._book.span} (pieces)"
        if forecast is None:
            self._absent(label, "It needs vehicles in service and a life curve; see Parts forecast.")
            return
        row = self._line(label, "All parts and depots, repeat failures included; see Parts forecast.")
        self._page.put_formula(row, 1, f"={forecast.total_cell}", cached=forecast.total, kind="count")
        self._page.put(row, 2, forecast.low, kind="count")
        self._page.put(row, 3, forecast.high, kind="count")

    def _due(self, due: Place | None) -> None:
        if due is None:
            self._absent("Parts to replace now", "No fitted part is known; see Due list.")
            return
        actions = self._book.table("due")["action"]
        meanings = {
            NOW: (
                "Parts to replace now",
                "Found worn, or past their interval and as likely as not to fail before the next service.",
            ),
            SOON: (
                "Parts to replace at the next service",
                "Past their interval, or reaching it before the service after; see Due list.",
            ),
        }
        for action, (label, meaning) in meanings.items():
            row, count = self._line(label, meaning), float((actions == action).sum())
            if due.rows < len(actions):  # a long list is cut: its cells do not hold every part
                self._page.put(row, 1, count, kind="count")
                continue
            formula = f'=COUNTIF({due.range("action")},"{action}")'
            self._page.put_formula(row, 1, formula, cached=count, kind="count")

    def _orders(self, stock: StockPlaces | None) -> None:
        money = self._book.words.currency
        if stock is None:
            self._absent("Parts to order now (pieces)", "It needs a parts table with lead times; see Stock.")
            return
        table = stock.table
        row = self._line("Parts to order now (pieces)", "Stock at or below its reorder point; see Stock.")
        self._page.put_formula(
            row, 1, f"=SUM({table.range('order_now')})", cached=stock.pieces, kind="count"
        )
        row = self._line(f"Value of the parts to order now ({money})", "At the catalogue's unit prices.")
        self._page.put_formula(
            row, 1, f"=SUM({table.range('order_value')})", cached=stock.value, kind="money"
        )


_POLICY_MEANING = {
    "run_to_failure": "Nothing is replaced before it fails or is found worn.",
    "planned": "Each component is replaced at its recommended interval; see Intervals.",
    "present_practice": "As the record shows it has been done so far.",
    "own_policy": "Replaced at the intervals under [own_policy] in fleet.toml; without one, run to failure.",
}


def _sheet_named(text: str) -> str:
    """The sheet that a text tells to see; empty for none."""
    return next((sheet for sheet in SHEETS if f"see {sheet}" in text), "")


def _write_charts(
    book: Book, page: Page, row: int, forecast: ForecastPlaces | None, budget: BudgetPlaces | None
) -> None:
    """Two charts side by side, as wide as the tables have become."""
    half = (page.width(0, _LAST) - _CHART_GAP) // 2
    size, offset = (half, _CHART_HEIGHT), 0
    if budget is not None:
        page.chart(row, cost_by_month_chart(book, budget, size=size), width=half)
        offset = half + _CHART_GAP
    if forecast is not None:
        page.chart(row, demand_chart(book, forecast, size=size), width=half, offset=offset)


def _urgent_units(book: Book) -> pd.DataFrame:
    """Units by parts to replace now, then at the next service, then by the chance of a failure before it."""
    due = book.table("due")
    due = due.assign(
        now=due["action"] == NOW, soon=due["action"] == SOON, rank=due["next_service_probability"].fillna(-1.0)
    )
    worst = due.loc[due.groupby("unit")["rank"].idxmax()].set_index("unit")
    units = due.groupby("unit").agg(now=("now", "sum"), soon=("soon", "sum"), depot=("depot", "first"))
    units["chance"] = worst["next_service_probability"]
    units["worst"] = worst["component"].map(book.words.component) + ", " + worst["position"]
    units = units.sort_values(["now", "soon", "chance"], ascending=False, kind="stable")
    return units.head(_MOST_URGENT).reset_index()


def _write_urgent(book: Book, page: Page) -> None:
    page.heading("Most urgent units", last=_RIGHT - 2)
    if book.table("due").empty:
        page.across(page.row, 0, "No fitted part is known.", last=_RIGHT - 2)
        page.row += 1
        return
    columns = [
        Column("unit", "Unit"),
        Column("depot", "Depot"),
        Column("now", "Replace now (parts)", "count"),
        Column("soon", "At next service (parts)", "count"),
        Column("worst", "Most likely to fail"),
        Column("chance", "Chance before service (%)", "percent0"),
    ]
    page.table(_urgent_units(book), columns)


def _write_ratios(book: Book, page: Page) -> None:
    page.heading("Life of raised over factory height (1 = no difference)", column=_RIGHT, last=_LAST)
    compare = widest_groups(book.table("compare"))
    if compare.empty:
        why = "No raised vehicles to compare; see Raised and factory."
        page.across(page.row, _RIGHT, why, last=_LAST, link=_sheet_named(why))
        page.row += 1
        return
    label = compare["component"].map(book.words.component)
    shown = compare.assign(name=label + ", " + compare["lift_group"])
    shown["verdict"] = np.select(
        [shown["upper"] < 1, shown["lower"] > 1, shown["life_ratio"].isna()],
        ["wears faster", "lasts longer", "not known"],
        "not settled",
    )
    columns = [
        Column("name", "Component and lift group"),
        Column("life_ratio", "Life ratio", "decimal2"),
        Column("lower", f"Low ({book.confidence})", "decimal2"),
        Column("upper", f"High ({book.confidence})", "decimal2"),
        Column("verdict", "Raised"),
    ]
    page.table(shown, columns, left=_RIGHT)


def _write_earlier_forecast(book: Book, page: Page) -> None:
    """The latest forecast made from an earlier day beside what came: all parts, and two components."""
    backtest = book.plan.backtest
    if backtest is None:
        page.heading("How good the forecast has been", column=_RIGHT, last=_LAST)
        why = f"Not known; see {RECORD_SHEET}."
        page.across(page.row, _RIGHT, why, last=_LAST, link=RECORD_SHEET)
        page.row += 1
        return
    day = f"{backtest.origins[-1].day:%Y-%m-%d}"
    page.heading(f"The forecast of {book.span} made on {day}", column=_RIGHT, last=_LAST)
    totals = fleet_totals(backtest, book.words)
    totals = totals[totals["origin"] == day].sort_values("actual", ascending=False, kind="stable")
    columns = [
        Column("label", "Parts of"),
        Column("mean", "Expected", "count"),
        Column("p10", "Low, p10", "count"),
        Column("p90", "High, p90", "count"),
        Column("actual", "Came", "count"),
    ]
    page.table(totals.head(_MOST_FORESEEN).reset_index(drop=True), columns, left=_RIGHT)

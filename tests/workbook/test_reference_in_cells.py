"""Published and computed reference values met in the cells of a real spreadsheet program.

Age replacement stands in `test_planner_recalculation.py`, the ripple of a universal joint in `test_calc_addin.py`.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xlsxwriter
from planner_example import LABELS, ExamplePlan, build_example_plan
from recalculation import convert, open_book, read_book
from scipy import special, stats
from stock_example import build_lead_demand
from test_live_inputs import cell_beside
from test_planner_recalculation import rows_below, set_named_input

from workbook.planner import write_planner
from workbook.planner.typed import LOOK_UPS

#: Formula and what SciPy gives: the functions planners are made of, and the laws behind them.
NATIVE = {
    "WEIBULL.DIST(60000,2.5,100000,TRUE)": stats.weibull_min.cdf(60000, 2.5, scale=100000),
    "WEIBULL.DIST(60000,2.5,100000,FALSE)": stats.weibull_min.pdf(60000, 2.5, scale=100000),
    "POISSON.DIST(6,3,TRUE)": stats.poisson.cdf(6, 3),
    "POISSON.DIST(6,3,FALSE)": stats.poisson.pmf(6, 3),
    "GAMMA.DIST(0.8,0.4,1,TRUE)": stats.gamma.cdf(0.8, 0.4),
    "GAMMA.DIST(2.5,1.4,1,TRUE)": stats.gamma.cdf(2.5, 1.4),
    "GAMMALN(0.4)": special.gammaln(0.4),
    "GAMMALN(37.25)": special.gammaln(37.25),
    "NORM.S.INV(0.95)": stats.norm.ppf(0.95),
    "EXP(-(0.6^2.5))": np.exp(-(0.6**2.5)),
}
#: Weibull, scale 100 000, shape 2.5: quadrature, the form by the gamma function and a library agree on them.
LOOKED_UP = {
    "A new part is still good at this age (%)": 0.756649760,
    "A part of this age fails in the distance ahead (%)": 0.254409384,
    "The share chosen has failed by (km)": 40650.9926,
    "Half of the parts of this age fail within (km)": 38870.5295,
    "1 in 10 of the parts of this age fails within (km)": 8207.14472,
    "Mean life of a new part (km)": 88726.3818,
}
#: Base stock with 3 parts on order on average (Palm's theorem): reorder point and ready rate P(D <= S).
READY = {0.6: (3, 0.647232), 0.8: (4, 0.815263), 0.9: (5, 0.916082), 0.95: (6, 0.966491), 0.99: (8, 0.996197)}


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


def test_native_functions_are_those_of_scipy(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "native.xlsx", {"use_future_functions": True})
    sheet = book.add_worksheet()
    for row, formula in enumerate(NATIVE):
        # Cached as -1, so that a cell that was not worked out anew would show.
        sheet.write_formula(row, 0, f"={formula}", None, -1)
    book.close()
    found = read_book(convert(tmp_path / "native.xlsx", to="xlsx", folder=tmp_path), values=True).active
    for row, (formula, value) in enumerate(NATIVE.items(), start=1):
        assert found.cell(row, 1).value == pytest.approx(value, rel=1e-9), formula


def test_a_weibull_law_looked_up(plan: ExamplePlan, tmp_path: Path) -> None:
    laws = plan.tables["laws"].assign(shape=2.5, scale=100_000.0, frailty_variance=0.0)
    write_planner(replace(plan, tables={**plan.tables, "laws": laws}), tmp_path / "law.xlsx")
    book = open_book(tmp_path / "law.xlsx", values=False)
    chosen = {"component": LABELS["u_joint"], "lift": 0, "age": 60_000, "ahead": 20_000, "share": 0.1}
    for name, value in chosen.items():
        cell_beside(book["Life curves"], LOOK_UPS[name], "Your choice").value = value
    book.save(tmp_path / "chosen.xlsx")
    sheet = read_book(convert(tmp_path / "chosen.xlsx", to="xlsx", folder=tmp_path), values=True)["Life curves"]
    for label, value in LOOKED_UP.items():
        assert cell_beside(sheet, label, "Answer").value == pytest.approx(value, rel=1e-8), label


@pytest.mark.parametrize("level", READY)
def test_base_stock_of_poisson_demand(plan: ExamplePlan, level: float, tmp_path: Path) -> None:
    stock = plan.tables["stock"].copy()
    stock.loc[0, ["mean_lead_demand", "reorder_point", "service_level"]] = (3.0, 6.0, stats.poisson.cdf(6, 3))
    tables: dict[str, pd.DataFrame] = {**plan.tables, "stock": stock, "lead_demand": build_lead_demand(stock)}
    write_planner(replace(plan, tables=tables), tmp_path / "stock.xlsx")
    book = open_book(tmp_path / "stock.xlsx", values=False)
    set_named_input(book, "service_level", level)
    book.save(tmp_path / "typed.xlsx")
    shown = rows_below(read_book(convert(tmp_path / "typed.xlsx", to="xlsx", folder=tmp_path), values=True)["Stock"],
                       "Part number")  # fmt: skip
    reorder, ready = READY[level]
    assert shown["Reorder point (pieces)"][0] == reorder
    assert shown["Service level reached (%)"][0] == pytest.approx(ready, abs=1e-6)

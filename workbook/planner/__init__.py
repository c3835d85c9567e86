"""The planner workbook, sheet by sheet."""

from workbook.planner.backtest_book import write_backtest
from workbook.planner.build import write_planner

__all__ = ["write_backtest", "write_planner"]

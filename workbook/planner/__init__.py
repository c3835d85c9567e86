"""The planner workbook, sheet by sheet."""

from workbook.planner.build import write_planner

__all__ = ["write_planner"]

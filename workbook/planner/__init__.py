"""The planner workbook, sheet by sheet."""

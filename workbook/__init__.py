"""The spreadsheet side: planner workbook and workbook functions."""

"""Cells to typed tables with what was found on their rows."""

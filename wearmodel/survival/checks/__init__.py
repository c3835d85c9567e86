"""Checks of a fitted life model against the lives it speaks of."""

"""Lives to a fitted, saved life model."""

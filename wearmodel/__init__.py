"""From a fleet's repair record to life curves, replacement plans, parts forecasts and budgets."""

__version__ = "0.1.0"

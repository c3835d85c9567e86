"""Invented fleets with known truth."""

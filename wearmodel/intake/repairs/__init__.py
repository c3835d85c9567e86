"""Repair lines against layout, catalogue and words."""

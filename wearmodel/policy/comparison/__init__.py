"""Raised vehicles held against those at factory height, and part makes against one another."""

"""Writes plans: C tables, key lists, JSON and the index of layouts."""

"""Joins machine, host and layout into a plan."""

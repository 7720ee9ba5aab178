"""Writes plans and findings: C, JSON, Markdown."""

"""Frozen values about the boards of adapters."""

"""Writes keyboards: what their reports say, and tables for the decoder in C."""

"""Simulates over time: the reference model of the runtime, the machine that scans, and a person who types."""

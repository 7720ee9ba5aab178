"""Faults of a board that was put together: what each shows on the screen, and how to find it."""

"""The reference model and the compiled runtime, held equal event by event."""

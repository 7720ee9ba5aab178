"""A board on which faults are tried: what is joined, what the driver does there, and what the machine reads."""

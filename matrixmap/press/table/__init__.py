"""The table of a plan: its format, what the runtime asks of it, and how it is made."""

"""The table of a plan: its format, what the runtime requires of it, and how it is made."""

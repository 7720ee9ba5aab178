"""The margins of a board as text and as JSON."""

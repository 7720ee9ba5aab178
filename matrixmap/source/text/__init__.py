"""Text to nodes with places: YAML, read on after a slip."""

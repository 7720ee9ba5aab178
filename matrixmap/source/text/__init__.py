"""Text to nodes with places: YAML, with reading continued after a slip."""

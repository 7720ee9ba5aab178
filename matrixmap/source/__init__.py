"""YAML in: text with places, one declarative shape a file kind, findings on bad input, model values out."""

"""YAML in, model values out: text with places, one declared shape for each kind of file, findings on bad input."""

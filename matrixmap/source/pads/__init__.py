"""The section `pads:` of a layout file."""

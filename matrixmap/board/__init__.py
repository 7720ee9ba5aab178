"""The board: what of the machine is joined to what of the adapter, and whether that is right."""

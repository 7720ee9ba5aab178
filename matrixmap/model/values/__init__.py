"""Values of circuits, which machines and parts have."""

"""What changed, in words: one module for each kind of thing."""

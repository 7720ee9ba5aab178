"""What changed, in words: one module for each thing that can change."""

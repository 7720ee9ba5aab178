"""What is counted about a plan, each combination once: phantoms, overlaps, printed characters."""

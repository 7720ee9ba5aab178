"""What is counted of a plan, each combination once: phantoms, overlaps, printed characters."""

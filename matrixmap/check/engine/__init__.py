"""What the rules of the check look at: strokes, how they come together, what is counted and how it is told."""

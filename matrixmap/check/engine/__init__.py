"""What the check's rules look at: strokes, how they come together, what is counted, and how it is put in words."""

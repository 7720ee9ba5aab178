"""What a single press does, according to the compiled table."""

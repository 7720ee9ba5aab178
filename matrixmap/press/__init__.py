"""What one press does, from the compiled table."""

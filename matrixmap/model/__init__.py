"""The values that every later step reads: frozen, without input or output."""

"""Commands that judge layouts and changes."""

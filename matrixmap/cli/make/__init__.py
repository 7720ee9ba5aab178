"""Commands that make things: C, pictures, pages."""

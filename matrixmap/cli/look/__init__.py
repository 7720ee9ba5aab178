"""Commands that look things up."""

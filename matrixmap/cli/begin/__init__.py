"""Commands that begin files and keep them in order."""

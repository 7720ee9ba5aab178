"""Plans and findings out: C, JSON, Markdown."""

"""Two plans side by side: their facts, what each press gives, and where they differ."""

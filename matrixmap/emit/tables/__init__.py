"""Plans out: C tables, key lists, JSON and the index of layouts."""

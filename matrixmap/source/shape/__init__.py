"""The shapes of the files, declared once: what they may hold, for reading, editors and readers."""

"""The shapes of the files, declared once: what may the files hold? Used for reading, by editors and by readers."""

"""What goes into a new file? Pasted tables, probes and system keyboards become proposals."""

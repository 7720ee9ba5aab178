"""What a new file begins with: pasted tables, probes and system keyboards made into proposals."""

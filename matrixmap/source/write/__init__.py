"""Writes files: begins new ones, and puts existing ones in order."""

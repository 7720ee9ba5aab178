"""Findings and changes for people and programs: text, JSON, Markdown, SARIF, annotations, HTML."""

"""What several forms share: rows of a screen, groups and causes of findings, lines that fit."""

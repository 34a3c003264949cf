"""Verdicts made lasting: a sealed file, a spreadsheet and a table on the terminal."""

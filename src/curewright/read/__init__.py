"""Bytes to nouns: the files that a user writes and the exports of recorders, each value with file, line, unit and zone."""

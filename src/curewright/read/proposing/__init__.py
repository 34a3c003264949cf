"""A layout proposed from an export: what its bytes show is written down, what they do not show is left as a question."""

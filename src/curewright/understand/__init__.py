"""Specification text to a frozen plan of requirements, and back to YAML and to English."""

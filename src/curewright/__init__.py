"""Curewright judges autoclave-cure records against their specification, clause by clause, and says why."""

__version__ = "0.1.0"

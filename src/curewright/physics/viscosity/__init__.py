"""Viscosity of an uncured resin from temperature and degree of cure: one published law per file."""

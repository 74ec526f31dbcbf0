"""Bench screens: calculators usable with or without a case."""

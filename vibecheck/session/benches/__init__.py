"""Calculators from typed text to a result that people read and a case can take in."""

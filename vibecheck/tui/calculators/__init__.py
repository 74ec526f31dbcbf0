"""The calculators as forms."""

"""Driveshaft joints: working angles from inclinometer readings, and what they do at speed."""

"""The world outside, invented: dials, balancers, cars and roads; for tests and practice only."""

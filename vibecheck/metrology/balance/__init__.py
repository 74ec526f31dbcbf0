"""Two-plane wheel balance, weights, limits and trial weights."""

"""A calculator's result in words: one page function for each, and what they share."""

"""A finished session on paper."""

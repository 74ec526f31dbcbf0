"""What we know: the rule library, its loader, its checks and its graph."""

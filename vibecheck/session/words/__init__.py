"""What a person says in free words, read as answers that may be offered."""

"""From "my car shakes" to a measured cause, a remedy that holds, and a word on driving."""

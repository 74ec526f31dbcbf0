"""What numbers say: plain functions on plain numbers, one folder per subject."""

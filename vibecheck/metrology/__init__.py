"""What numbers say: plain functions over readings, numpy only."""

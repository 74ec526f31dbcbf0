"""What happened: the case file and its journal."""

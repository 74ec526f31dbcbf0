"""Brake rotors and drums: thickness round the turn, runout, and the shake they make in a stop."""

"""Tire, wheel and hub told apart by clockings, and turned against each other for the best."""

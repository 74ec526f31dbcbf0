"""Widgets of the wizard."""

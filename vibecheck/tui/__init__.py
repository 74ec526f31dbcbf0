"""The screens of the wizard; no sums here."""

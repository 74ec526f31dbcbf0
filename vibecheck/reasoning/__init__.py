"""What follows: likelihoods, cause sets, reasons, next checks and remedies."""

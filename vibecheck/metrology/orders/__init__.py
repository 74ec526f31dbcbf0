"""Which part turns how often at a speed, and where that meets a resonance."""

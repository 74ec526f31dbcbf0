"""High minus low over one turn: its harmonics, bends and uncertainty; the verdict on a wheel."""

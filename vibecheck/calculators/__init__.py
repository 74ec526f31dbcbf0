"""Each calculator declared once: its fields, typed text in, a typed result out, its findings."""

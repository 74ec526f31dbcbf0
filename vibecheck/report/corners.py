"""The corners of a car in words."""

from __future__ import annotations

from vibecheck.knowledge.words import Corner

CORNERS = {corner.value: corner.spoken for corner in Corner}

"""The program's version; the packaging reads it here."""

from __future__ import annotations

VERSION = "0.1.0"

"""Where visits are kept on this machine."""

from __future__ import annotations

from pathlib import Path

import platformdirs


def usual_folder() -> Path:
    """The folder for visits in the user's data."""
    return Path(platformdirs.user_data_dir("vibecheck", appauthor=False)) / "cases"

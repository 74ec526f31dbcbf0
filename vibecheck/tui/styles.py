"""Which files of styles a screen needs; each is read with the first screen that has it."""

from __future__ import annotations

from pathlib import Path, PurePath

_HERE = Path(__file__).parent
COMMON = _HERE / "common.tcss"
STYLES: list[str | PurePath] = [COMMON, _HERE / "screens.tcss"]

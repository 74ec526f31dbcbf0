"""Writing a file so that its path leads to one whole file at every moment, the old or the new.

A second file is written beside it, forced to disk, and renamed over it.
"""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

_PART = ".part"
_NEW_FILE_MODE = 0o666


def write_whole(target: Path, content: bytes) -> None:
    """Put the content at the path in one step; its folder must be there.

    Raises
    ------
    OSError : it could not be written; what was there before still is.
    """
    _sweep(target)
    part = _write_part(target, content)
    try:
        os.replace(part, target)
    except BaseException:
        _remove(part)
        raise
    _sync_folder(target.parent)


def _write_part(target: Path, content: bytes) -> str:
    """The content in a file of its own beside the target, forced to disk."""
    handle, part = tempfile.mkstemp(_PART, f".{target.name}.", target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(part, _mode_for(target))
    except BaseException:
        _remove(part)
        raise
    return part


def _mode_for(target: Path) -> int:
    """The permissions of the old file, or those of any new file."""
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return _NEW_FILE_MODE & ~mask


def _sweep(target: Path) -> None:
    """Remove what killed writes of this file left behind."""
    for entry in os.scandir(target.parent):
        if entry.name.startswith(f".{target.name}.") and entry.name.endswith(_PART):
            _remove(entry.path)


def _remove(part: str) -> None:
    with contextlib.suppress(OSError):
        os.unlink(part)


def _sync_folder(folder: Path) -> None:
    """Force the rename to disk, where the system can; either file is whole without it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

"""Photos that belong to a sheet: named by file, told apart by their hash; none is stored.

References
----------
1. FIPS 180-4: SHA-256.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from vibecheck.errors import InputError

LARGEST_PHOTO = 100_000_000  # bytes
_CHUNK = 1 << 20


@dataclass(frozen=True)
class Photo:
    """A picture file: its name without its folder, its size [bytes] and its SHA-256."""

    name: str
    size: int
    sha256: str


def photo_of(path: Path) -> Photo:
    """Read a picture file once, for its size and hash.

    Raises
    ------
    InputError : it cannot be read, is no plain file, is empty or too large.
    """
    try:
        if not path.is_file():
            raise InputError("there is no such photo", str(path), "name a picture file")
        size = path.stat().st_size
        if not 0 < size <= LARGEST_PHOTO:
            raise InputError(f"a photo cannot be {size} bytes", str(path),
                             f"take one of 1 to {LARGEST_PHOTO} bytes")
        digest = hashlib.sha256()
        with path.open("rb") as file:
            while chunk := file.read(_CHUNK):
                digest.update(chunk)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        raise InputError(f"the photo cannot be read ({reason})", str(path),
                         "name a picture file") from None
    return Photo(path.name, size, digest.hexdigest())

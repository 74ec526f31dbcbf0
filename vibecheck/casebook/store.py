"""Cases on disk: loading, and saving so that no kill and no full disk can harm the file.

The file is whole at every moment (`atomic_write`). A lock keeps two
programs from saving at once; a file that changed since it was loaded is merged, never overwritten.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from msgspec import Struct

from vibecheck.casebook import saves
from vibecheck.casebook.atomic_write import write_whole
from vibecheck.casebook.case import LARGEST_CASE, Case
from vibecheck.casebook.merge import merge
from vibecheck.casebook.shape import line_of, read_case, write_case
from vibecheck.errors import (
    CaseBusyError,
    CaseDamagedError,
    CaseError,
    CaseNotFoundError,
    CaseNotSavedError,
    CaseReplacedError,
)

LOCK_WAIT_S = 5.0
_WHY = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EFBIG: "the disk does not take a file this large",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "writing is not permitted there",
    errno.EPERM: "writing is not permitted there",
    errno.ENOENT: "there is no such folder",
    errno.ENOTDIR: "the folder is not a folder",
    errno.EIO: "the disk fails",
    errno.ENAMETOOLONG: "the name is too long",
}


class StoredCase(Struct, frozen=True):
    """A case together with the file it was read from or saved to, as it was then."""

    path: Path
    case: Case
    digest: str


def load(path: Path) -> StoredCase:
    """The case in a file.

    Raises
    ------
    CaseNotFoundError : there is no such file.
    CaseDamagedError : empty, cut short, too large, not text, or not a case.
    CaseTooNewError : written by a newer version.
    CaseError : the file cannot be read.
    """
    return _stored(path, _read(path))


def _stored(path: Path, content: bytes) -> StoredCase:
    """The case that a file's content holds."""
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise CaseDamagedError("the file is not UTF-8 text", f"{path}:{line}") from None
    text = text.replace("\r\n", "\n")
    return StoredCase(path, read_case(text, str(path)), _digest(content))


def create(path: Path, case: Case) -> StoredCase:
    """A new case on disk; an existing file is never overwritten.

    Raises
    ------
    CaseError : a file of this name exists.
    InputError, CaseNotSavedError, CaseBusyError : see `save`.
    """
    with _locked(path):
        if os.path.lexists(path):
            raise CaseError("the file exists already", str(path), "choose another name")
        return _write(path, case)


def save(stored: StoredCase, case: Case) -> StoredCase:
    """Save a case that came from `stored`; gives what is on disk now.

    Where the file changed meanwhile, what `case` changed is merged into it. A file that was
    removed meanwhile is written anew.

    Raises
    ------
    InputError : the case holds something that could not be opened again, such as a text too long.
    CaseNotSavedError : it cannot be written (the old file is whole), it would be too large, or
        the file at this path is another case by now.
    CaseBusyError : somebody else is saving and does not come to an end.
    CaseDamagedError, CaseTooNewError, CaseError : the file changed and cannot be read any more.
    """
    path = stored.path
    with _locked(path):
        try:
            content = _read(path)
        except CaseNotFoundError:
            return _write(path, case)
        if _digest(content) != stored.digest:
            on_disk = _stored(path, content)
            if on_disk.case.id != stored.case.id:
                raise CaseNotSavedError(
                    "the file holds another case by now; nothing was changed", str(path),
                    "open it again, or save under another name",
                )
            case = merge(stored.case, case, on_disk.case)
        return _write(path, case)


def reread(stored: StoredCase) -> StoredCase:
    """What is in the file of a case by now.

    Raises
    ------
    CaseReplacedError : it is another visit's.
    CaseError family : see `load`.
    """
    found = load(stored.path)
    if found.case.id != stored.case.id:
        raise CaseReplacedError(
            f"the file holds another visit by now: '{found.case.title}'", str(stored.path),
            "open that one, or keep this one under another name",
        )
    return found


def place_of(path: str, *keys: str) -> str:
    """Where a key of a case stands, as "visit.yaml:7: facts: drive", for a complaint about it."""
    line = 0
    with contextlib.suppress(CaseError):
        line = line_of(_read(Path(path)).decode("utf-8", "replace"), keys) if path else 0
    return ": ".join(filter(None, (f"{path}:{line}" if line else path, *keys)))


def _read(path: Path) -> bytes:
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise CaseNotFoundError("this is not a file", str(path), "name a case file")
        if found.st_size > LARGEST_CASE:
            size = f"the file has {found.st_size / 1e6:.1f} MB"
            raise CaseDamagedError(size, str(path), "a case is far smaller")
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        raise CaseNotFoundError(
            "there is no such file", str(path), "check the name, or begin one with 'vibecheck new'"
        ) from None
    except (OSError, ValueError) as error:
        reason = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else error
        raise CaseError(f"the file cannot be read ({reason})", str(path)) from None


def _write(path: Path, case: Case) -> StoredCase:
    """Put the case at the path in one step; the lock is held."""
    content = write_case(case, str(path)).encode("utf-8")
    target = Path(os.path.realpath(path))
    try:
        write_whole(target, content)
    except (OSError, ValueError) as error:
        raise _not_saved(path, error) from error
    saves.remember(path)
    return StoredCase(path, case, _digest(content))


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[None]:
    from filelock import FileLock, Timeout

    try:
        target = Path(os.path.realpath(path))
        if not target.parent.is_dir():  # the lock would make the folder
            raise FileNotFoundError(errno.ENOENT, "no such folder")
        lock = FileLock(target.parent / f".{target.name}.lock", timeout=LOCK_WAIT_S)
        lock.acquire()
    except Timeout:
        raise CaseBusyError(
            "somebody else is saving this case", str(path), "try again in a moment"
        ) from None
    except (OSError, ValueError, NotImplementedError) as error:
        raise _not_saved(path, error) from error
    try:
        yield
    finally:
        lock.release()


def _not_saved(path: Path, error: Exception) -> CaseNotSavedError:
    number = error.errno if isinstance(error, OSError) else None
    why = _WHY.get(number or 0) or (os.strerror(number) if number else "the name is not possible")
    return CaseNotSavedError(
        f"the case is NOT saved: {why}", str(path), "what was on disk is as it was"
    )


def _digest(content: bytes) -> str:
    return sha256(content).hexdigest()

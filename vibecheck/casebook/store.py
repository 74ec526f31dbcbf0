"""Cases on disk: loading, and saving so that no kill and no full disk can harm the file.

A save writes a second file beside the case, forces it to disk, and renames it over the case, so
that at every moment the case's path leads to one whole file, the old or the new. A lock keeps two
programs from saving at once; a file that changed since it was loaded is merged, never overwritten.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from filelock import FileLock, Timeout

from vibecheck.casebook.case import Case
from vibecheck.casebook.merge import merge
from vibecheck.casebook.shape import read_case, write_case
from vibecheck.errors import (
    CaseBusyError,
    CaseDamagedError,
    CaseError,
    CaseNotFoundError,
    CaseNotSavedError,
)

LARGEST_CASE = 2_000_000  # bytes
LOCK_WAIT_S = 5.0
_PART = ".part"
_NEW_FILE_MODE = 0o666
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


@dataclass(frozen=True)
class StoredCase:
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
    content = _read(path)
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
    CaseNotSavedError, CaseBusyError : see `save`.
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
    CaseNotSavedError : it cannot be written (the old file is whole), or the file at this path is
        another case by now.
    CaseBusyError : somebody else is saving and does not come to an end.
    CaseDamagedError, CaseTooNewError, CaseError : the file changed and cannot be read any more.
    """
    path = stored.path
    with _locked(path):
        try:
            on_disk = load(path)
        except CaseNotFoundError:
            return _write(path, case)
        if on_disk.digest != stored.digest:
            if on_disk.case.id != stored.case.id:
                raise CaseNotSavedError(
                    "the file holds another case by now; nothing was changed", str(path),
                    "open it again, or save under another name",
                )
            case = merge(stored.case, case, on_disk.case)
        return _write(path, case)


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
    content = write_case(case).encode("utf-8")
    target = Path(os.path.realpath(path))
    try:
        _sweep(target)
        part = _write_part(target, content)
        try:
            os.replace(part, target)
        except BaseException:
            _remove(part)
            raise
    except (OSError, ValueError) as error:
        raise _not_saved(path, error) from error
    _sync_folder(target.parent)
    return StoredCase(path, case, _digest(content))


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
    """Remove what killed saves of this case left behind."""
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


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[None]:
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

"""Where visits are kept, which there are, and a name for a new one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from vibecheck.casebook.folders import usual_folder
from vibecheck.errors import CaseNotSavedError, VibecheckError

UNFINISHED = "unfinished.json"  # beside the visits
MOST_LISTED = 60
_MARK = b"vibecheck_case"
_MARK_WITHIN = 4096  # bytes
_LONGEST_NAME = 40


class KeptVisit(Struct, frozen=True):
    """A case file: its title and place, or the sentence why it cannot be read.

    `wheels` is how many a set of wheels has; 0 for a car's visit.
    """

    path: Path
    changed: str
    title: str = ""
    place: str = ""
    fault: str = ""
    wheels: int = 0


def make_folder(folder: Path) -> None:
    """Make the folder where it is missing.

    Raises
    ------
    CaseNotSavedError : it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CaseNotSavedError(
            f"the folder for visits cannot be made ({error.strerror})", str(folder),
            "begin with 'vibecheck --cases FOLDER'",
        ) from error


def found_visits(folder: Path, words: str) -> tuple[KeptVisit, ...]:
    """The visits of a folder that hold all words, or whose plate or VIN they are, newest first.

    At most `MOST_LISTED` of each.

    Raises
    ------
    ArchiveError : the folder's index cannot be used.
    """
    from vibecheck.casebook.archive import Archive, Search

    if not folder.is_dir():
        return ()
    with Archive.beside(folder) as archive:
        archive.refresh(folder)
        ways = (Search(words=words), Search(plate=words), Search(vin=words))
        every = {each.path: each for way in ways
                 for each in archive.search(way, folder, MOST_LISTED)}
    found = sorted(every.values(), key=lambda each: each.newest, reverse=True)
    return tuple(
        KeptVisit(Path(each.path), " ".join(filter(None, (each.newest[:10], each.plate))),
                  each.title, each.place, each.complaint)
        for each in found
    )


def fresh_path(folder: Path, title: str) -> Path:
    """A file name that does not exist, from the day and the title."""
    words = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:_LONGEST_NAME].strip("-")
    stem = f"{datetime.now():%Y-%m-%d}-{words or 'visit'}"
    path, number = folder / f"{stem}.yaml", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.yaml", number + 1
    return path


def kept_visits(*folders: Path) -> list[KeptVisit]:
    """The visits in these folders, newest first; a damaged one with its sentence."""
    found = {path.resolve(): path for folder in folders for path in _candidates(folder)}
    dated = sorted(((_changed(path), path) for path in found.values()), reverse=True)
    return [_read(path, when) for when, path in dated[:MOST_LISTED]]


def _candidates(folder: Path) -> Iterator[Path]:
    try:
        paths = sorted(folder.glob("*.yaml"))
    except OSError:
        return
    for path in paths:
        if path.name.startswith(".") or not path.is_file():
            continue
        if folder == usual_folder() or _marked(path):
            yield path


def _marked(path: Path) -> bool:
    try:
        with path.open("rb") as stream:
            return _MARK in stream.read(_MARK_WITHIN)
    except OSError:
        return True


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def _read(path: Path, when: float) -> KeptVisit:
    from vibecheck.casebook.store import load

    changed = f"{datetime.fromtimestamp(when):%Y-%m-%d %H:%M}"
    try:
        case = load(path).case
    except VibecheckError as error:
        return KeptVisit(path, changed, fault=str(error))
    return KeptVisit(path, changed, case.title, case.place,
                     wheels=len(case.wheels.names) if case.wheels else 0)

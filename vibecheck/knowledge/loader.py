"""Reads a folder of rule files into a library, or refuses it with every fault at once.

An overlay, a folder or one file, is read after the rules: a rule with a known id replaces the one
before, a new id is added. Folders named `proofs` and names that begin with a dot are passed over.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from vibecheck.errors import Fault, RulesError
from vibecheck.knowledge import checks
from vibecheck.knowledge.book import Issue, Weight
from vibecheck.knowledge.gather import Gathered
from vibecheck.knowledge.library import Library
from vibecheck.yamltext import LARGEST_TEXT

PASSED_OVER = "proofs"


def load(folder: Path, overlays: Sequence[Path] = ()) -> Library:
    """The library of a folder and its overlays.

    Raises
    ------
    RulesError : carries every fault, each with its file and line.
    """
    gathered = _gather(folder, overlays)
    book = gathered.book()
    faults = gathered.faults + [
        issue.fault for issue in checks.errors(book, gathered.unread, gathered.complete)
    ]
    if faults:
        raise RulesError(faults)
    return book.library


def examine(folder: Path, overlays: Sequence[Path] = ()) -> tuple[Library | None, list[Issue]]:
    """The library, or None if it has errors, with every error and every piece of advice."""
    gathered = _gather(folder, overlays)
    book = gathered.book()
    issues = [
        Issue(Weight.ERROR, fault.file, fault.line, fault.what, fault.instead)
        for fault in gathered.faults
    ]
    issues += checks.errors(book, gathered.unread, gathered.complete)
    if issues:
        return None, sorted(issues)
    return book.library, sorted(checks.advice(book))


def _gather(folder: Path, overlays: Sequence[Path]) -> Gathered:
    gathered = Gathered()
    for layer in (folder, *overlays):
        gathered.begin_layer()
        _read_folder(gathered, layer)
    gathered.finish(_shown(folder))
    return gathered


def _read_folder(gathered: Gathered, folder: Path) -> None:
    if folder.is_file() and folder.suffix == ".yaml":
        _read_file(gathered, folder)
        return
    if not folder.is_dir():
        gathered.refuse(Fault(_shown(folder), 1, "there is no such folder", "name a rule folder"))
        return
    for path in sorted(folder.rglob("*")):
        parts = path.relative_to(folder).parts
        if PASSED_OVER in parts[:-1] or any(part.startswith(".") for part in parts):
            continue
        if path.suffix == ".yml":
            instead = f"call it {path.stem}.yaml"
            gathered.refuse(Fault(_shown(path), 1, "rule files end in .yaml", instead))
        elif path.suffix == ".yaml" and path.is_file():
            _read_file(gathered, path)


def _read_file(gathered: Gathered, path: Path) -> None:
    name = _shown(path)
    try:
        with path.open("rb") as stream:
            text = stream.read(LARGEST_TEXT + 1).decode("utf-8")
    except UnicodeDecodeError as error:
        what = f"the file is not UTF-8 text (byte {error.start + 1})"
        gathered.refuse(Fault(name, 1, what, "save it as UTF-8"))
    except OSError as error:
        what = f"the file cannot be read ({error.strerror})"
        gathered.refuse(Fault(name, 1, what, "check its permissions"))
    else:
        gathered.add(text, name)


def _shown(path: Path) -> str:
    """A path as messages show it: from the working folder if it lies under it."""
    path = path.absolute()
    here = Path.cwd()
    return (path.relative_to(here) if path.is_relative_to(here) else path).as_posix()

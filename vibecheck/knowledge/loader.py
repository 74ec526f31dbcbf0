"""Reads a folder of rule files into a library, or refuses it with every fault at once.

An overlay, a folder or one file, is read after the rules: a rule with a known id replaces the one
before, a new id is added. Folders named `proofs` and names that begin with a dot are passed over.
A library that was read and checked before is taken from the cache.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.errors import RuleFault, RulesError
from vibecheck.knowledge import library_cache
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.library_cache import RuleFile
from vibecheck.yamltext import LARGEST_TEXT

if TYPE_CHECKING:  # what reads and checks the rules is loaded where they are read
    from vibecheck.knowledge.book import Issue
    from vibecheck.knowledge.gather import Gathered

PASSED_OVER = "proofs"


def load(folder: Path, overlays: Sequence[Path] = ()) -> Library:
    """The library of a folder and its overlays.

    Raises
    ------
    RulesError : carries every fault, each with its file and line.
    """
    layers = (folder, *overlays)
    files = _files(layers)
    if files is None:
        return _read_and_check(folder, overlays)
    key = library_cache.key_of(files)
    library = library_cache.find(key, files)
    if library is None:
        library = _read_and_check(folder, overlays)
        if files == _files(layers):  # nobody wrote into the rules meanwhile
            library_cache.keep(key, files, library)
    return library


def _read_and_check(folder: Path, overlays: Sequence[Path]) -> Library:
    from vibecheck.knowledge import checks

    gathered = _gather(folder, overlays)
    book = gathered.book()
    faults = gathered.faults + [
        issue.fault for issue in checks.errors(book, gathered.unread, gathered.complete)
    ]
    if faults:
        raise RulesError(faults)
    return book.library


def _files(layers: Sequence[Path]) -> list[RuleFile] | None:
    """Every file that makes the library, with its content; None where one cannot be read, or
    where nothing is to be kept."""
    if library_cache.folder() is None or not all(layer.is_dir() for layer in layers):
        return None
    found: list[RuleFile] = []
    try:
        for number, layer in enumerate(layers):
            shown = _shown(layer)
            before = "" if shown == "." else f"{shown}/"
            for path in _rule_files(layer):
                inside = path.relative_to(layer).as_posix()
                found.append(RuleFile(number, inside, before + inside, path.read_bytes()))
    except OSError:
        return None
    return found


def examine(folder: Path, overlays: Sequence[Path] = ()) -> tuple[Library | None, list[Issue]]:
    """The library, or None if it has errors, with every error and every piece of advice.

    The rules are always read and checked anew.
    """
    from vibecheck.knowledge import checks
    from vibecheck.knowledge.book import Issue, Weight

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
    from vibecheck.knowledge.gather import Gathered

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
        gathered.refuse(RuleFault(_shown(folder), 1, "there is no such folder",
                                  "name a rule folder"))
        return
    for path in _rule_files(folder):
        if path.suffix == ".yml":
            instead = f"call it {path.stem}.yaml"
            gathered.refuse(RuleFault(_shown(path), 1, "rule files end in .yaml", instead))
        elif path.suffix == ".yaml" and path.is_file():
            _read_file(gathered, path)


def _rule_files(folder: Path) -> Iterator[Path]:
    """What may be a rule file, in order: everything named as YAML that is not passed over."""
    found = []
    for inside, folders, names in os.walk(folder):
        folders[:] = [each for each in folders if each != PASSED_OVER and each[0] != "."]
        found += [
            Path(inside, name) for name in (*folders, *names)
            if name[0] != "." and name.endswith((".yaml", ".yml"))
        ]
    return iter(sorted(found))


def _read_file(gathered: Gathered, path: Path) -> None:
    name = _shown(path)
    try:
        with path.open("rb") as stream:
            text = stream.read(LARGEST_TEXT + 1).decode("utf-8")
    except UnicodeDecodeError as error:
        what = f"the file is not UTF-8 text (byte {error.start + 1})"
        gathered.refuse(RuleFault(name, 1, what, "save it as UTF-8"))
    except OSError as error:
        what = f"the file cannot be read ({error.strerror})"
        gathered.refuse(RuleFault(name, 1, what, "check its permissions"))
    else:
        gathered.add(text, name)


def _shown(path: Path) -> str:
    """A path as messages show it: from the working folder if it lies under it."""
    path = path.absolute()
    here = Path.cwd()
    return (path.relative_to(here) if path.is_relative_to(here) else path).as_posix()

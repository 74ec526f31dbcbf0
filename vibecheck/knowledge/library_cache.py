"""Keeps a checked library in the user's cache folder, so that it is read and checked once.

A file of the cache is named by a key: the hash of every rule file, of this format, of the
program's version and of the modules that make a library. So it is never out of date; rules that
are not known to the cache are read and checked in full, and only a library without a fault is
kept. The file holds the hash of its own content and is plain JSON held against the shapes of the
rules: whatever is damaged, foreign or out of reach is passed over without a word, and the rules
are read instead.

`VIBECHECK_NO_CACHE` in the environment switches the cache off.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from functools import cached_property, partial
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple, TypeVar, get_type_hints

import msgspec
import platformdirs

from vibecheck.knowledge.library import Library, Origin
from vibecheck.knowledge.model import Cause, Kind
from vibecheck.version import VERSION
from vibecheck.yamltext import Where, survey

FORMAT = 1
OFF = "VIBECHECK_NO_CACHE"
MOST_KEPT = 8  # files: rules under work and the libraries of other cases
LARGEST = 20_000_000  # bytes of one file
_PREFIX, _SUFFIX = "rules-", ".json"

Key = TypeVar("Key")
Value = TypeVar("Value")


class RuleFile(NamedTuple):
    """A rule file: the number of its layer, its path inside, as messages show it, its bytes."""

    layer: int
    inside: str
    shown: str
    content: bytes


_LATE = ("written", "written_kinds", "origins")  # what few commands need: made when looked into
# A library as the cache holds it: `origins` are lists of kind, id, file by its place among the rule
# files, line, and place in the file's list of the kind (-1 where it is none).
_Kept = msgspec.defstruct(
    "_Kept",
    [(name, msgspec.Raw if name in _LATE else kind)
     for name, kind in get_type_hints(Library).items()],
    frozen=True, forbid_unknown_fields=True,
)


def folder() -> Path | None:
    """Where libraries are kept; None where the cache is switched off."""
    if os.environ.get(OFF):
        return None
    return Path(platformdirs.user_cache_dir("vibecheck", appauthor=False))


def key_of(files: Sequence[RuleFile]) -> str:
    """What a library is kept under: changes with every letter of the rules and of the program."""
    hashed = sha256(f"{FORMAT} {VERSION} {_program()}\n".encode())
    for each in files:
        hashed.update(f"{each.layer} {each.inside!r} {len(each.content)}\n".encode())
        hashed.update(each.content)
    return hashed.hexdigest()


def find(key: str, files: Sequence[RuleFile]) -> Library | None:
    """The library kept under the key of these files; None if there is none that can be trusted."""
    path = _path(key)
    if path is None:
        return None
    try:
        with path.open("rb") as stream:
            status = os.fstat(stream.fileno())
            if status.st_size > LARGEST or not _is_own(status):
                return None
            told, _, content = stream.read(LARGEST).partition(b"\n")
        if told.decode("ascii", "replace") != sha256(content).hexdigest():
            return None
        return _library(msgspec.json.decode(content, type=_Kept), files)
    except (OSError, ValueError, msgspec.MsgspecError):
        return None


def keep(key: str, files: Sequence[RuleFile], library: Library) -> None:
    """Keep a library that these files make, already checked, under their key; if that can be done.
    """
    path = _path(key)
    if path is None:
        return
    content = msgspec.json.encode(_kept(library, files))
    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(".part", f".{path.name}.", path.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(sha256(content).hexdigest().encode() + b"\n" + content)
            os.replace(part, path)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(part)
            raise
        _drop_old(path.parent)


def _path(key: str) -> Path | None:
    kept = folder()
    return None if kept is None else kept / f"{_PREFIX}{key}{_SUFFIX}"


def _is_own(status: os.stat_result) -> bool:
    """Whether a file is this user's own; where the system knows no owners, it is."""
    return not hasattr(os, "getuid") or status.st_uid == os.getuid()


def _drop_old(kept: Path) -> None:
    """Keep the newest few."""
    files = [
        each for each in os.scandir(kept)
        if each.name.startswith(_PREFIX) and each.name.endswith(_SUFFIX)
    ]
    files.sort(key=lambda each: each.stat().st_mtime, reverse=True)
    for each in files[MOST_KEPT:]:
        with contextlib.suppress(OSError):
            os.unlink(each.path)


def _program() -> str:
    """The modules that make a library, by size and time of change: a source tree has one version
    for many states."""
    here = Path(__file__).parent
    told = []
    with contextlib.suppress(OSError):
        for path in (*sorted(here.glob("*.py")), here.parent / "yamltext.py"):
            status = path.stat()
            told.append(f"{path.name} {status.st_size} {status.st_mtime_ns}")
    return ", ".join(told)


def _kept(library: Library, files: Sequence[RuleFile]) -> msgspec.Struct:
    parts = {each.name: getattr(library, each.name) for each in fields(library)}
    places = {each.shown: place for place, each in enumerate(files)}
    parts["origins"] = [
        (kind, name, places[origin.file], origin.line,
         origin.path[1] if len(origin.path) > 1 else -1)
        for (kind, name), origin in library.origins.items()
    ]
    for name in _LATE:
        parts[name] = msgspec.Raw(msgspec.json.encode(parts[name]))
    return _Kept(**parts)


def _library(kept: Any, files: Sequence[RuleFile]) -> Library:
    parts = {each: getattr(kept, each) for each in kept.__struct_fields__}
    parts["written"] = _Later(partial(msgspec.json.decode, kept.written, type=dict[str, Cause]))
    parts["written_kinds"] = _Later(
        partial(msgspec.json.decode, kept.written_kinds, type=dict[str, Kind]))
    parts["origins"] = _Later(partial(_origins, kept.origins, files))
    return Library(**parts)


class _Later(Mapping[Key, Value]):
    """A mapping that is made when it is looked into."""

    def __init__(self, make: Callable[[], Mapping[Key, Value]]) -> None:
        self._make = make

    @cached_property
    def _made(self) -> Mapping[Key, Value]:
        return self._make()

    def __getitem__(self, key: Key) -> Value:
        return self._made[key]

    def __iter__(self) -> Iterator[Key]:
        return iter(self._made)

    def __len__(self) -> int:
        return len(self._made)


def _origins(
    raw: msgspec.Raw, files: Sequence[RuleFile]
) -> dict[tuple[str, str], Origin]:
    """Where each rule was written; the lines of its parts are found when one is asked for."""
    lines: list[Mapping[Where, int]] = [_Later(partial(_lines, each)) for each in files]
    found = {}
    kept = msgspec.json.decode(raw, type=list[tuple[str, str, int, int, int]])
    for kind, name, file, line, index in kept:
        path: Where = (kind,) if index < 0 else (kind, index)
        found[kind, name] = Origin(files[file].shown, line, path, lines[file])
    return found


def _lines(file: RuleFile) -> Mapping[Where, int]:
    return survey(file.content.decode("utf-8"), file.shown).lines

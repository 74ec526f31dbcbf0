"""Collects the rules of many files, with every fault of shape, into a book for the checks."""

from __future__ import annotations

from typing import Any

from vibecheck.errors import RuleFault
from vibecheck.knowledge.book import KINDS, ONE, Book, Key
from vibecheck.knowledge.digest import digest
from vibecheck.knowledge.library import Library, Origin
from vibecheck.knowledge.model import Access, Hint, Settings, WordList
from vibecheck.knowledge.profile import whole_causes, whole_kinds
from vibecheck.knowledge.shape import Shaped, nearest, shape, shown
from vibecheck.knowledge.words import Parts
from vibecheck.yamltext import Where, survey

_SINGLES: dict[str, type[Any]] = {"library": Settings, "access": Access}
_NAMELESS: dict[str, type[Any]] = {"lexicon": Hint, "word_lists": WordList}
_LISTS: dict[str, type[Any]] = {**KINDS, **_NAMELESS}
_BLANKS = {
    "library": Settings(name="?", version="?"),
    "access": Access(states=[], places={}, parts_minutes={part: 0.0 for part in Parts},
                     shop_visit_minutes=0.0, source=[]),
}  # fmt: skip


class Gathered:
    """The rules read so far.

    `unread` tells that a file could not be read to its end, so that ids may be missing;
    `complete` that nothing at all is missing.
    """

    def __init__(self) -> None:
        self.faults: list[RuleFault] = []
        self.unread = False
        self.rules: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}
        self.nameless: dict[str, list[Any]] = {kind: [] for kind in _NAMELESS}
        self.singles: dict[str, Any] = {}
        self.origins: dict[Key, Origin] = {}
        self.lost: set[Key] = set()
        self.patched: set[Key] = set()
        self._layer: dict[Key, Origin] = {}
        self._blemished: set[int] = set()  # lines of the file being read that have faults

    @property
    def complete(self) -> bool:
        """Whether every rule was read in full."""
        return not (self.unread or self.lost or self.patched)

    def begin_layer(self) -> None:
        """From here on, known ids replace instead of being faults."""
        self._layer = {}

    def refuse(self, fault: RuleFault) -> None:
        """Note a file that cannot be read."""
        self.unread = True
        self.faults.append(fault)

    def add(self, text: str, file: str) -> None:
        """Read one rule file."""
        found = survey(text, file)
        self.faults += found.faults
        self._blemished = {fault.line for fault in found.faults}
        if not found.whole:
            self.unread = True
        elif not isinstance(found.data, dict):
            keys = ", ".join(_LISTS)
            instead = f"begin with one of {keys}, and a colon"
            self.refuse(RuleFault(file, 1, "the file holds no lists of rules", instead))
        else:
            for key, value in found.data.items():
                self._part(key, value, Origin(file, found.lines[(key,)], (key,), found.lines))

    def finish(self, place: str) -> None:
        """Note the parts that no library can do without."""
        for key in _SINGLES:
            if key not in self.singles and not self.unread and (key, "") not in self.lost:
                what = f"no file holds the part '{key}:'"
                self.faults.append(RuleFault(place, 1, what, f"add a file {key}.yaml with it"))
                self.lost.add((key, ""))

    def book(self) -> Book:
        """What was gathered, as the checks want it."""
        settings = self.singles.get("library", _BLANKS["library"])
        access = self.singles.get("access", _BLANKS["access"])
        content = {**self.rules, **self.nameless, "library": settings, "access": access}
        kinds = whole_kinds(self.rules)
        library = Library(
            settings=settings,
            digest=digest(content),
            access=access,
            lexicon=tuple(self.nameless["lexicon"]),
            word_lists=tuple(self.nameless["word_lists"]),
            origins=self.origins,
            written=self.rules["causes"],
            written_kinds=self.rules["kinds"],
            **self.rules | {"kinds": kinds, "causes": whole_causes(self.rules, kinds)},
        )
        return Book(library, frozenset(self.lost), frozenset(self.patched))

    def _part(self, key: str, value: Any, origin: Origin) -> None:
        if key in _SINGLES:
            result = shape(_SINGLES[key], value)
            if self._note(result, (key, ""), origin):
                self.singles[key] = result.item
        elif key not in _LISTS:
            hint = nearest(key, [*_LISTS, *_SINGLES])
            instead = f"did you mean '{hint}'?" if hint else f"use {', '.join(_LISTS)}"
            what = f"{shown(key)} is no list of rules"
            self.refuse(RuleFault(origin.file, origin.line, what, instead))
        elif not isinstance(value, list):
            what = f"'{key}' is not a list"
            instead = "begin each of its items with a dash, indented below it"
            self.refuse(RuleFault(origin.file, origin.line, what, instead))
        else:
            for index, each in enumerate(value):
                self._item(key, each, _inside(origin, index))

    def _item(self, kind: str, value: Any, origin: Origin) -> None:
        result = shape(_LISTS[kind], value)
        if kind in self.nameless:
            known = self.nameless[kind]
            if self._note(result, (kind, str(len(known))), origin) and result.item:
                known.append(result.item)
            return
        name = _id_of(result.item if result.item is not None else value)
        if self._note(result, (kind, name), origin):
            self.rules[kind][name] = result.item

    def _note(self, result: Shaped[Any], key: Key, origin: Origin) -> bool:
        """Note the faults of an item and where it stands; whether it can be used."""
        kind, name = key
        for trouble in result.troubles:
            spoken = f"{ONE[kind]} {name}: {trouble.what}" if name and kind in ONE else trouble.what
            line = origin.at(*trouble.path)
            if line not in self._blemished:
                self.faults.append(RuleFault(origin.file, line, spoken, trouble.instead))
        first = self._layer.get(key)
        if first and (name or kind in _SINGLES):
            what = f"the {ONE.get(kind, 'part')} '{name or kind}' stands here a second time"
            instead = f"keep this one or the one at {first.file}:{first.line}"
            self.faults.append(RuleFault(origin.file, origin.line, what, instead))
            return False
        self._layer[key] = self.origins[key] = origin
        if result.item is None:
            self.lost.add(key)
        elif not result.whole or self._is_blemished(origin):
            self.patched.add(key)
        return result.item is not None


    def _is_blemished(self, origin: Origin) -> bool:
        """Whether a fault of the bare YAML lies inside an item."""
        *way, last = origin.path
        end = origin.lines.get((*way, last + 1)) if isinstance(last, int) else None
        return any(
            origin.line <= line and (end is None or line < end) for line in self._blemished
        )


def _inside(origin: Origin, index: int) -> Origin:
    path: Where = (*origin.path, index)
    return Origin(origin.file, origin.lines[path], path, origin.lines)


def _id_of(item: Any) -> str:
    """The id of an item, or what seems to be the id of one that could not be made."""
    for key in ("id", "word"):
        name = item.get(key) if isinstance(item, dict) else getattr(item, key, None)
        if isinstance(name, str):
            return name
    return ""

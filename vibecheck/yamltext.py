"""A strict reader and a writer of YAML, for rules and cases.

Only plain data is read: mappings with text keys, lists, text, true/false/null, whole numbers and
finite decimal numbers. `yes`, `no`, `on`, `off`, dates and numbers with leading zeros stay text.
Anchors, aliases, tags, merge keys, directives, repeated keys, several documents, tabs in the
indentation, deep nesting and very long texts are refused, each fault with its line.

What the data means is not judged here.
"""

from __future__ import annotations

import math
import re
from itertools import islice
from typing import Any

import yaml
from msgspec import Struct, field

from vibecheck.errors import InputError, RuleFault, YamlError

LARGEST_TEXT = 2_000_000  # bytes
DEEPEST = 30  # levels of nesting
MOST_FAULTS = 200  # reading stops after so many
LONGEST_NUMBER = 40  # characters
LINE_WIDTH = 96

Where = tuple[str | int, ...]
Lines = dict[Where, int]

_FAST_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_FAST_DUMPER: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)

_WORDS = {"true": True, "false": False, "null": None, "": None}
_WHOLE = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_DECIMAL = re.compile(r"[-+]?(?:(?:0|[1-9][0-9]*)(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_NOT_TEXT = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_TAB_INDENT = re.compile(r"^ *\t", re.MULTILINE)
_ESCAPED = (  # made a pattern where a text is written: most commands write none
    "[^\n\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_SURROGATE = re.compile("[\ud800-\udfff]")

_ADVICE = (
    ("mapping values are not allowed", "put a text that holds a colon in quotes"),
    ("cannot start any token", "put a text that begins with such a sign in quotes"),
    ("unknown escape", "write a backslash twice, or use single quotes"),
    ("end of stream", "close the quote or the bracket"),
    ("nesting depth", "write it flatter"),
    ("',' or", "close the bracket"),
    ("expected", "check the indentation and the colon after each key"),
)


class Survey(Struct):
    """A text as far as it could be read.

    `lines` gives for each path (keys and indices from the top) the line it is written at;
    `whole` tells that the text was read to its end.
    """

    data: Any = None
    lines: Lines = field(default_factory=dict)
    faults: list[RuleFault] = field(default_factory=list)
    whole: bool = True


def read(text: str, file: str, *, texts: bool = False) -> tuple[Any, Lines]:
    """The data of a YAML text and the line of every key and item.

    Parameters
    ----------
    text : the whole text.
    file : the name to show in faults.
    texts : keep every value as the text that was typed (0.10 stays "0.10", true stays "true").

    Raises
    ------
    YamlError : carries every fault found.
    """
    found = survey(text, file, texts=texts)
    if found.faults:
        raise YamlError(found.faults)
    return found.data, found.lines


def survey(text: str, file: str, *, texts: bool = False, loader: Any = None) -> Survey:
    """Like `read`, but hands back the faults beside whatever could be read."""
    text = text.removeprefix("\ufeff")
    found = Survey(faults=_letters(text, file))
    if found.faults:
        found.whole = False
        return found
    builder = _Builder(file, found, texts)
    source = (loader or _FAST_LOADER)(text)
    try:
        while (kind := type(event := source.get_event())) is not yaml.StreamEndEvent:
            if taker := builder.takers.get(kind):
                taker(event)
    except (yaml.YAMLError, _Stop) as error:
        found.whole = False
        found.faults += [_syntax(error, text, file)] if isinstance(error, yaml.YAMLError) else []
    finally:
        source.dispose()
    return found


def write(data: Any) -> str:
    """YAML text of plain data that `read` gives back unchanged; keys keep their order.

    Halves of surrogate pairs, which no file can hold, become the replacement mark.

    Raises
    ------
    InputError : a number is not finite, or the data holds something that is not plain data.
    """
    try:
        options: dict[str, Any] = {"sort_keys": False, "allow_unicode": True, "width": LINE_WIDTH}
        text: str = yaml.dump(data, Dumper=_Dumper, default_flow_style=False, **options)
    except yaml.YAMLError as error:
        raise InputError("this cannot be written as YAML", str(error)) from error
    return text


class _Stop(Exception):
    """Reading on makes no sense."""


_KEY_WANTED = object()
_DROPPED = object()


class _Level(Struct):
    """A mapping or list being read; `path` is None inside something that will be dropped."""

    holder: Any
    path: Where | None
    key: Any  # of a list never _KEY_WANTED
    as_key: bool = False


class _Builder:
    """Turns parser events into data, line numbers and faults."""

    def __init__(self, file: str, found: Survey, texts: bool) -> None:
        self.file, self.found, self.texts = file, found, texts
        self.levels: list[_Level] = []
        self.documents = 0
        self.takers: dict[type, Any] = {
            yaml.ScalarEvent: self.scalar, yaml.AliasEvent: self.alias,
            yaml.MappingStartEvent: self.start, yaml.MappingEndEvent: self.end,
            yaml.SequenceStartEvent: self.start, yaml.SequenceEndEvent: self.end,
            yaml.DocumentStartEvent: self.document,
        }  # fmt: skip

    def fault(self, event: Any, what: str, instead: str) -> None:
        line = event.start_mark.line + 1
        self.found.faults.append(RuleFault(self.file, line, what, instead))
        if len(self.found.faults) >= MOST_FAULTS:
            raise _Stop

    def document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            self.fault(event, "a second document begins here", "keep one document in a file")
            raise _Stop
        if event.version or event.tags:
            self.fault(event, "directives are not used here", "leave out the line with %")

    def alias(self, event: Any) -> None:
        self.fault(event, f"the alias *{event.anchor} is not used here", "write it out in full")
        if self._key_wanted():
            self.levels[-1].key = _DROPPED
        else:
            self.place(event, None)

    def check_marks(self, event: Any) -> None:
        if event.anchor:
            self.fault(event, f"the anchor &{event.anchor} is not used here",
                       "leave it out, and write repeated content out in full")
        if event.tag:
            self.fault(event, f"the tag {event.tag} is not used here", "leave it out")

    def start(self, event: Any) -> None:
        self.check_marks(event)
        holder: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
        if len(self.levels) >= DEEPEST:
            self.fault(event, f"nested more than {DEEPEST} levels deep", "write it flatter")
            raise _Stop
        key = _KEY_WANTED if isinstance(holder, dict) else _DROPPED
        if self._key_wanted():
            self.fault(event, "a key must be text, not a list or a mapping", "write a plain word")
            self.levels.append(_Level(holder, None, key, as_key=True))
            return
        self.levels.append(_Level(holder, self.place(event, holder), key))

    def end(self, event: Any) -> None:
        ended = self.levels.pop()
        if ended.as_key:
            self.levels[-1].key = _DROPPED

    def scalar(self, event: Any) -> None:
        if event.anchor or event.tag:
            self.check_marks(event)
        plain = event.implicit[0] and not self.texts
        value = self.resolved(event) if plain else event.value
        if self.levels and self.levels[-1].key is _KEY_WANTED:
            self.key(event, value)
        else:
            self.place(event, value)

    def resolved(self, event: Any) -> Any:
        text = event.value
        if text in _WORDS:
            return _WORDS[text]
        if text[0] not in "-+.0123456789":
            return text
        if _NOT_FINITE.fullmatch(text):
            self.fault(event, f"{text} is not a finite number", "write a finite number")
        elif _DECIMAL.fullmatch(text):
            return self.number(event)
        return text

    def number(self, event: Any) -> Any:
        text = event.value
        if len(text) > LONGEST_NUMBER:
            self.fault(event, f"a number of {len(text)} characters",
                       "shorten it, or put it in quotes if it is text")
            return text
        if _WHOLE.fullmatch(text):
            return int(text)
        if not math.isfinite(value := float(text)):
            self.fault(event, f"{text} is not a finite number", "write a smaller number")
        return value

    def key(self, event: Any, key: Any) -> None:
        level = self.levels[-1]
        level.key = key
        if not isinstance(key, str):
            what = f"the key {event.value or 'an empty key'} is not text"
            self.fault(event, what, f'put it in quotes: "{event.value}"')
            level.key = _DROPPED
        elif key == "<<" and event.implicit[0]:
            self.fault(event, "the merge key << is not used here", "write the content out in full")
            level.key = _DROPPED
        elif key in level.holder:
            first = self.found.lines.get((level.path or ()) + (key,))
            again = f" (first on line {first})" if first and level.path is not None else ""
            self.fault(event, f"the key '{key}' stands here a second time{again}",
                       "keep one of them")
            level.key = _DROPPED
        elif level.path is not None:
            self.found.lines[(*level.path, key)] = event.start_mark.line + 1

    def place(self, event: Any, value: Any) -> Where | None:
        """Put a value where it belongs; the path to it, or None if it is dropped."""
        if not self.levels:
            self.found.data = value
            self.found.lines[()] = event.start_mark.line + 1
            return ()
        level = self.levels[-1]
        if isinstance(level.holder, list):
            level.holder.append(value)
            if level.path is None:
                return None
            path = (*level.path, len(level.holder) - 1)
            self.found.lines[path] = event.start_mark.line + 1
            return path
        key, level.key = level.key, _KEY_WANTED
        if key is _DROPPED:
            return None
        level.holder[key] = value
        return None if level.path is None else (*level.path, key)

    def _key_wanted(self) -> bool:
        return bool(self.levels) and self.levels[-1].key is _KEY_WANTED


def _letters(text: str, file: str) -> list[RuleFault]:
    """Faults of the bare text: its size, letters no text file holds, tabs."""
    size = len(text.encode("utf-8", "replace"))
    if size > LARGEST_TEXT:
        what = f"the text is {size / 1e6:.1f} MB long"
        return [RuleFault(file, 1, what, f"keep it under {LARGEST_TEXT / 1e6:.0f} MB")]
    faults = []
    for match in islice(_NOT_TEXT.finditer(text), MOST_FAULTS):
        what = f"the character U+{ord(match[0]):04X} cannot stand in a text file"
        faults.append(RuleFault(file, _line(text, match.start()), what, "remove it"))
    for match in islice(_TAB_INDENT.finditer(text), MOST_FAULTS):
        line = _line(text, match.start())
        faults.append(RuleFault(file, line, "a tab in the indentation", "indent with spaces"))
    return sorted(faults)


def _line(text: str, position: int) -> int:
    return text.count("\n", 0, position) + 1


def _syntax(error: yaml.YAMLError, text: str, file: str) -> RuleFault:
    """A parser's complaint as a fault."""
    problem = str(getattr(error, "problem", None) or getattr(error, "reason", "it breaks off"))
    mark = getattr(error, "problem_mark", None)
    if "end of stream" in problem or "',' or" in problem or mark is None:
        mark = getattr(error, "context_mark", None) or mark
    line = min(mark.line + 1 if mark else 1, text.count("\n") + 1)
    instead = next((advice for part, advice in _ADVICE if part in problem), "check this line")
    return RuleFault(file, line, f"this is not YAML ({problem})", instead)


class _Dumper(_FAST_DUMPER):  # type: ignore[misc]
    """A private dumper, so that PyYAML's shared ones stay as they are."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _text_node(dumper: Any, text: str) -> yaml.ScalarNode:
    """Text as plain, literal or quoted, whichever survives the way back."""
    text = _SURROGATE.sub("\ufffd", text)
    style = '"' if re.search(_ESCAPED, text) else None
    if "\n" in text and style is None:
        readable = not text[0].isspace() and not re.search(r" (\n|$)", text)
        style = "|" if readable else '"'
    node: yaml.ScalarNode = dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)
    return node


def _float_node(dumper: Any, value: float) -> yaml.ScalarNode:
    if not math.isfinite(value):
        raise yaml.YAMLError(f"{value} is not a finite number")
    node: yaml.ScalarNode = dumper.represent_scalar("tag:yaml.org,2002:float", repr(value))
    return node


_BASE = _FAST_DUMPER.yaml_representers
_Dumper.yaml_representers = {
    **{kind: _BASE[kind] for kind in (type(None), bool, int, list, tuple, dict)},
    float: _float_node,
    str: _text_node,
}
_Dumper.yaml_multi_representers = {str: _text_node, object: _FAST_DUMPER.represent_undefined}
# Text that looks like one of our numbers must be quoted, also where YAML 1.1 sees no number.
_Dumper.add_implicit_resolver("tag:yaml.org,2002:float", _DECIMAL, list("-+.0123456789"))

"""One item of a rule file against its shape: the item, or every fault in it.

A good item costs one fast conversion. A bad one is walked field by field, so that all its
faults are named, and is mended where that is safe (a misspelt key is read as the one meant,
a faulty optional part is left out), so that the checks after it do not report the same thing
again. A mended item never leaves the loader: any fault refuses the library.
"""

from __future__ import annotations

import copy
import operator
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any, Generic, NamedTuple, TypeVar

import msgspec
from msgspec import inspect

from vibecheck.knowledge.examples import example
from vibecheck.yamltext import Where

T = TypeVar("T")
_SHOWN = 60  # characters of a wrong value that a message repeats


class Trouble(NamedTuple):
    """One fault inside an item: the path to it, what is wrong, what to write instead."""

    path: Where
    what: str
    instead: str
    meant: str = ""  # for an unknown key: the known key it stands for


@dataclass
class Shaped(Generic[T]):
    """An item as far as it could be made; `whole` if nothing had to be left out."""

    item: T | None
    troubles: list[Trouble] = field(default_factory=list)
    whole: bool = True


def shape(kind: type[T], value: Any) -> Shaped[T]:
    """Make an item of plain data, collecting every fault."""
    try:
        return Shaped(msgspec.convert(value, kind))
    except msgspec.ValidationError as error:
        troubles = list(_walk(inspect.type_info(kind), value, ()))
        if not troubles:
            troubles = [Trouble((), str(error), "")]
    return _mended(kind, value, troubles)


def nearest(word: str, known: Any) -> str:
    """The known word most like this one, or nothing."""
    found = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return found[0] if found else ""


def shown(value: Any) -> str:
    """A value as a message repeats it."""
    text = str(value)
    return f"'{text[:_SHOWN]}...'" if len(text) > _SHOWN else f"'{text}'"


def _mended(kind: type[T], value: Any, troubles: list[Trouble]) -> Shaped[T]:
    value = copy.deepcopy(value)
    for trouble in sorted(troubles, key=lambda each: _order(each.path), reverse=True):
        _mend(value, trouble)
    whole = all(trouble.meant for trouble in troubles)
    try:
        return Shaped(msgspec.convert(value, kind), troubles, whole)
    except msgspec.ValidationError:
        return Shaped(None, troubles, False)


def _order(path: Where) -> list[tuple[int, str]]:
    """Sorts paths so that, backwards, the last item of a list is left out first."""
    return [(step, "") if isinstance(step, int) else (-1, step) for step in path]


def _mend(value: Any, trouble: Trouble) -> None:
    """Rename or remove what a trouble points at; what is not there is left alone."""
    if not trouble.path:
        return
    *way, last = trouble.path
    for step in way:
        value = value[step]
    if isinstance(value, dict) and last in value:
        removed = value.pop(last)
        if trouble.meant:
            value[trouble.meant] = removed
    elif isinstance(value, list) and isinstance(last, int) and last < len(value):
        del value[last]


def _walk(info: inspect.Type, value: Any, path: Where) -> Iterator[Trouble]:
    """Every fault of a value against a type."""
    match info:
        case inspect.StructType():
            yield from _struct(info, value, path)
        case inspect.DictType():
            yield from _mapping(info, value, path)
        case inspect.ListType():
            if not isinstance(value, list):
                yield _wrong(path, value, "a list", f"write {_name(path)}: [...]")
                return
            for index, each in enumerate(value):
                yield from _walk(info.item_type, each, (*path, index))
        case inspect.UnionType():
            yield from _union(info, value, path)
        case inspect.EnumType():
            yield from _word(info, value, path, _name(path))
        case inspect.Metadata():
            yield from _walk(info.type, value, path)
        case _:
            yield from _single(info, value, path)


def _struct(info: inspect.StructType, value: Any, path: Where) -> Iterator[Trouble]:
    if not isinstance(value, dict):
        needed = ", ".join(each.encode_name for each in info.fields if each.required)
        yield _wrong(path, value, "a mapping of keys", f"write its keys, one a line: {needed}")
        return
    fields = {each.encode_name: each for each in info.fields}
    absent = {name for name in fields if name not in value}
    for key in value:
        if key in fields:
            yield from _walk(fields[key].type, value[key], (*path, key))
            continue
        meant = nearest(key, absent)
        absent.discard(meant)
        hint = meant or nearest(key, fields)
        keys = ", ".join(fields)
        instead = f"did you mean '{hint}'?" if hint else f"the keys here are {keys}"
        yield Trouble((*path, key), f"the key {shown(key)} is not known here", instead, meant)
    for name in fields:
        if name in absent and fields[name].required:
            words = example(info.cls.__name__, name)
            yield Trouble(path, f"the key '{name}' is missing", f"write for example {words}")


def _mapping(info: inspect.DictType, value: Any, path: Where) -> Iterator[Trouble]:
    if not isinstance(value, dict):
        yield _wrong(path, value, "a mapping", f"write {_name(path)}: {{key: value}}")
        return
    for key, each in value.items():
        if isinstance(info.key_type, inspect.EnumType):
            troubles = list(_word(info.key_type, key, (*path, key), _name(path)))
        else:
            troubles = list(_walk(info.key_type, key, (*path, key)))
        yield from troubles or _walk(info.value_type, each, (*path, key))


def _union(info: inspect.UnionType, value: Any, path: Where) -> Iterator[Trouble]:
    if value is None and info.includes_none:
        return
    kinds = [each for each in info.types if not isinstance(each, inspect.NoneType)]
    for kind in kinds:
        if isinstance(kind, inspect.DictType) == isinstance(value, dict) or len(kinds) == 1:
            yield from _walk(kind, value, path)
            return


def _word(info: inspect.EnumType, value: Any, path: Where, name: str) -> Iterator[Trouble]:
    words = [str(each.value) for each in info.cls]
    if not isinstance(value, str) or value not in words:
        instead = f"write one of {', '.join(words)}"
        yield Trouble(path, f"{shown(value)} is not a word for '{name}'", instead)


def _single(info: inspect.Type, value: Any, path: Where) -> Iterator[Trouble]:
    """Faults of text, numbers and truth values."""
    match info:
        case inspect.StrType():
            yield from _text(info, value, path)
        case inspect.FloatType() | inspect.IntType():
            whole = isinstance(info, inspect.IntType)
            kinds: Any = int if whole else (int, float)
            if isinstance(value, bool) or not isinstance(value, kinds):
                asked = "a whole number" if whole else "a number"
                yield _wrong(path, value, asked, f"write {asked} without quotes or unit")
            elif bound := _bound(info, value):
                yield Trouble(path, f"{value} is not allowed for '{_name(path)}'", bound)
        case inspect.BoolType():
            if not isinstance(value, bool):
                yield _wrong(path, value, "true or false", "write true or false")


def _text(info: inspect.StrType, value: Any, path: Where) -> Iterator[Trouble]:
    if not isinstance(value, str):
        simple = isinstance(value, (int, float))
        written = str(value).lower() if isinstance(value, bool) else value
        instead = f'put it in quotes: "{written}"' if simple else "write a text"
        yield _wrong(path, value, "text", instead)
    elif info.min_length and len(value) < info.min_length:
        yield Trouble(path, f"'{_name(path)}' is empty", "write a text")
    elif info.max_length and len(value) > info.max_length:
        what = f"{shown(value)} is {len(value)} characters long"
        yield Trouble(path, what, f"keep it to {info.max_length}")
    elif info.pattern and not _is_id(value):
        instead = "write lower case words joined by underscores, such as bent_wheel"
        yield Trouble(path, f"{shown(value)} is not an id", instead)


def _is_id(value: str) -> bool:
    kept = all(ch == "_" or "a" <= ch <= "z" or "0" <= ch <= "9" for ch in value)
    return kept and value[:1].isalpha()


def _bound(info: inspect.FloatType | inspect.IntType, value: float) -> str:
    """What a number must keep to, or nothing if it does."""
    bounds = (
        ("at least", info.ge, operator.ge), ("more than", info.gt, operator.gt),
        ("at most", info.le, operator.le), ("less than", info.lt, operator.lt),
    )  # fmt: skip
    given = [(word, limit, holds) for word, limit, holds in bounds if limit is not None]
    if all(holds(value, limit) for _, limit, holds in given):
        return ""
    return "write " + " and ".join(f"{word} {limit:g}" for word, limit, _ in given)


def _wrong(path: Where, value: Any, asked: str, instead: str) -> Trouble:
    found = {dict: "a mapping", list: "a list", type(None): "nothing"}.get(type(value))
    name = f"'{_name(path)}'" if path else "this item"
    return Trouble(path, f"{name} is {found or shown(value)}, not {asked}", instead)


def _name(path: Where) -> str:
    """The key a path ends in, or the item of which list."""
    if not path:
        return "this item"
    if isinstance(path[-1], int):
        above = path[-2] if len(path) > 1 else "list"
        return f"{above} item {path[-1] + 1}"
    return path[-1]

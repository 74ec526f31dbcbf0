"""From the text of a case file to a case, and back; every fault as one sentence.

Every value stays text exactly as typed, so that 0.10 never becomes 0.1. A file the program saved
begins with `HEADER` and ends with `ENDING`; without the ending it was cut short. A file written
by hand needs neither.

`write_case` refuses whatever `read_case` would refuse: what is saved can be opened again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import msgspec

from vibecheck import yamltext
from vibecheck.casebook.case import LARGEST_CASE, LONGEST_WORD, Case, Entry
from vibecheck.casebook.formats import KEY, upgrade
from vibecheck.casebook.moments import read_moment
from vibecheck.errors import CaseDamagedError, CaseNotSavedError, InputError, YamlError

HEADER = "# A vibecheck case, saved whole: the last line must be three dots.\n"
ENDING = "...\n"
_ENTRIES = "entries"
_MOST_TEXTS = 20_000
_ITEM = re.compile(r"^- ", re.MULTILINE)  # the lines inside an item are indented
_texts: dict[int, tuple[Entry, str]] = {}  # by identity: each is held, so that no other takes it
_UNKNOWN = re.compile(r"Object contains unknown field `(?P<name>.*?)`", re.DOTALL)
_MISSING = re.compile(r"Object missing required field `(?P<name>.*?)`", re.DOTALL)
_ENUM = re.compile(r"Invalid enum value (?P<name>'.*?')", re.DOTALL)
_PATH = re.compile(r" - at (?P<key>`key` in )?`(?P<path>[^`]*)`$")
_STEP = re.compile(r"[.](?P<key>[A-Za-z_]+)|\[(?P<index>[0-9]+|[.]{3})\]")
_WORDS = {
    "corner": "write LF, RF, LR or RR",
    "kind": "write answer, reading, note, retraction, step or remedy",
    "place": "write counter, bay or driveway",
    "state": "write new or used",
    "shipped": "write yes or no",
    "dial": "write mm, 0.01 mm, thou or in",
    "by": "write writer, technician or owner",
}


def read_case(text: str, file: str) -> Case:
    """A case from the text of its file.

    Raises
    ------
    CaseDamagedError : empty, cut short, not YAML, or not of the right shape.
    CaseTooNewError : a newer version wrote it.
    """
    if not text.strip():
        raise CaseDamagedError("the file is empty", file, "begin one with 'vibecheck new'")
    if text.startswith(HEADER[:-1]) and not text.endswith(("\n...\n", "\n...")):
        raise CaseDamagedError(
            "the case is cut short: its last line is not '...'", file,
            "fetch a whole copy of the file",
        )
    data, lines = _read_yaml(text, file)
    if not isinstance(data, dict):
        raise CaseDamagedError("the file is not a case", file, "begin one with 'vibecheck new'")
    raw = upgrade(data, file)
    try:
        case = msgspec.convert(raw, Case, strict=False)
    except msgspec.ValidationError as error:
        path, what, instead = _shape_fault(error, raw)
        raise CaseDamagedError(what, _where(file, lines, path), instead) from None
    for index, what in _entry_faults(case):
        raise CaseDamagedError(what, _where(file, lines, ("entries", index)))
    return case


def write_case(case: Case, file: str = "") -> str:
    """The text of a case file, ending with the mark that says it is whole.

    Raises
    ------
    InputError : a text is too long, or something else could not be read again.
    CaseNotSavedError : the file would be too large.
    """
    data = msgspec.to_builtins(case)
    try:
        msgspec.convert(data, Case)
    except msgspec.ValidationError as error:
        path, what, instead = _shape_fault(error, data)
        raise InputError(f"{what}; nothing was saved", file, instead) from None
    for index, what in _entry_faults(case):
        raise InputError(f"{what}; nothing was saved", f"{file}: entry {index + 1}")
    text = f"{HEADER}{_body(case, data)}\n{ENDING}"
    if len(text.encode("utf-8")) > LARGEST_CASE:
        raise CaseNotSavedError(
            f"the case is NOT saved: it is full, a case file holds {LARGEST_CASE / 1e6:g} MB", file,
            "what was on disk is as it was; begin another visit for what follows",
        )
    return text


def _body(case: Case, data: dict[str, Any]) -> str:
    """The YAML of a case; the text of an entry is made once, since entries never change."""
    whole = {KEY: case.vibecheck_case, **data}
    entries = whole.get(_ENTRIES)
    if not entries:
        return yamltext.write(whole).rstrip("\n")
    names = list(whole)
    place = names.index(_ENTRIES)
    before, after = (
        yamltext.write({name: whole[name] for name in part}) if part else ""
        for part in (names[:place], names[place + 1:])
    )
    texts = _entry_texts(case.entries, entries)
    return f"{before}{_ENTRIES}:\n{''.join(texts)}{after}".rstrip("\n")


def _entry_texts(entries: list[Entry], plain: list[dict[str, Any]]) -> list[str]:
    """The YAML of each entry as an item of a list."""
    fresh = [place for place, entry in enumerate(entries) if id(entry) not in _texts]
    if fresh:
        text = yamltext.write([plain[place] for place in fresh])
        items = _ITEM.split(text)[1:]
        if len(items) != len(fresh):
            return [yamltext.write([each]) for each in plain]
        if len(_texts) + len(fresh) > _MOST_TEXTS:
            _texts.clear()
        _texts.update({
            id(entries[place]): (entries[place], f"- {item}")
            for place, item in zip(fresh, items, strict=True)
        })
    return [
        kept[1] if (kept := _texts.get(id(entry))) else yamltext.write([each])
        for entry, each in zip(entries, plain, strict=True)
    ]


def line_of(text: str, path: yamltext.Where) -> int:
    """The line at which something stands in the text of a case file; 0 if it is not there."""
    return yamltext.survey(text, "", texts=True).lines.get(path, 0)


def _read_yaml(text: str, file: str) -> tuple[Any, yamltext.Lines]:
    try:
        return yamltext.read(text, file, texts=True)
    except YamlError as error:
        first = error.faults[0]
        raise CaseDamagedError(first.what, f"{file}:{first.line}", first.instead) from None


def _shape_fault(error: msgspec.ValidationError, data: Any) -> tuple[yamltext.Where, str, str]:
    """One of msgspec's complaints: the path to it, what is wrong, what to write instead."""
    complaint = str(error)
    at = _PATH.search(complaint)
    path = _path_of(at["path"], data, of_key=bool(at["key"])) if at else ()
    shown = " ".join(
        f"number {key + 1}" if isinstance(key, int) else f"'{key}'" for key in path
    )
    key = str(path[-1]) if path else ""
    instead = _WORDS.get(key, "")
    if unknown := _UNKNOWN.search(complaint):
        what, path = f"the key '{unknown['name']}' is not known here", (*path, unknown["name"])
        instead = "check its spelling, or leave it out"
    elif missing := _MISSING.search(complaint):
        inside = f" of {shown}" if shown else ""
        what = f"the key '{missing['name']}'{inside} is missing"
        instead = _WORDS.get(missing["name"], f"write '{missing['name']}: ...'")
    elif enum := _ENUM.search(complaint):
        what = f"{shown} cannot be {enum['name']}"
    else:
        what = f"{shown or 'the case'} {_kind_of_fault(complaint)}"
    return path, what, instead


def _kind_of_fault(complaint: str) -> str:
    if "`array`" in complaint and (bound := re.search("of length ([<>])= ([0-9]+)", complaint)):
        return f"must have {'at most' if bound[1] == '<' else 'at least'} {bound[2]} in its list"
    if longest := re.search("of length <= ([0-9]+)", complaint):
        return f"is longer than {longest[1]} characters"
    if "matching regex" in complaint:
        return "may hold only letters, digits, - and _, and not too many"
    wanted = re.search("Expected `([a-z]+)", complaint)
    words = {"object": "keys with values", "array": "a list", "str": "a text",
             "bool": "true or false", "int": "a whole number"}
    return f"must be {words.get(wanted[1] if wanted else '', 'something else')}"


def _path_of(text: str, data: Any, *, of_key: bool) -> yamltext.Where:
    """A path as msgspec writes it ("$.entries[2].at") as keys and indices.

    Which key of facts or limits is at fault it leaves open ("$.facts[...]"): found in the data.
    """
    path: list[str | int] = []
    for step in _STEP.finditer(text + ("[...]" if of_key else "")):
        if step["key"]:
            path.append(step["key"])
        elif step["index"] != "...":
            path.append(int(step["index"]))
        elif isinstance(inside := _at(data, path), dict):
            path += [key for key, value in inside.items() if not (_is_word(key) and _is_word(value))
                     ][:1]
    return tuple(path)


def _at(data: Any, path: list[str | int]) -> Any:
    """What stands at a path."""
    for key in path:
        data = data[key]
    return data


def _is_word(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_WORD


def _where(file: str, lines: yamltext.Lines, path: yamltext.Where) -> str:
    """File and line of a path, or of the nearest thing around it that has a line."""
    while path and path not in lines:
        path = path[:-1]
    return f"{file}:{lines.get(path, 1)}"


def _entry_faults(case: Case) -> Iterator[tuple[int, str]]:
    """What the shape alone cannot tell: times that are none, ids used twice, empty entries."""
    seen: set[str] = set()
    needs = {"answer": "finding", "reading": "finding", "step": "check",
             "note": "text", "retraction": "retracts", "remedy": "remedy"}
    for index, entry in enumerate(case.entries):
        try:
            read_moment(entry.at)
        except ValueError:
            yield index, f"'{entry.at}' is not a time in UTC such as 2026-03-02T09:15:00Z"
        if entry.id in seen:
            yield index, f"the id '{entry.id}' stands here a second time"
        seen.add(entry.id)
        if not getattr(entry, needs[entry.kind]):
            yield index, f"this {entry.kind} has no '{needs[entry.kind]}'"
        if (wheel := _wheel_fault(case, entry)) and entry.kind != "retraction":
            yield index, wheel
        if entry.kind in ("answer", "reading", "step") and not entry.value:
            yield index, f"this {entry.kind} has no 'value'"


def _wheel_fault(case: Case, entry: Entry) -> str:
    """Why an entry cannot belong to the wheel that it names, or to none."""
    if case.wheels is None:
        return f"this case has no wheel {entry.wheel}: it is a car's" if entry.wheel else ""
    if not entry.wheel:
        return "" if entry.kind == "note" else "this entry of a set does not say which wheel"
    most = len(case.wheels.names)
    return f"the set has no wheel {entry.wheel}" if int(entry.wheel) > most else ""

"""Which column of an exported table is the clock, which are the axes, which is the speed.

Header names differ between phones; these functions look for the words that people use and for
units in brackets or after the last underscore. What a name does not tell is left open ("") for
the loader to judge by the numbers.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.errors import RecordError

TIME_UNITS_S = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}  # size in seconds
_UNIT_WORDS = {
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s",
    "ms": "ms", "msec": "ms", "millis": "ms", "millisecond": "ms", "milliseconds": "ms",
    "us": "us", "µs": "us", "μs": "us", "usec": "us", "micros": "us", "microseconds": "us",
    "ns": "ns", "nsec": "ns", "nanos": "ns", "nanoseconds": "ns",
    "m/s2": "m/s2", "m/s/s": "m/s2", "ms2": "m/s2", "mps2": "m/s2", "ms-2": "m/s2",
    "g": "g", "gn": "g", "gs": "g", "mg": "mg",
    "m/s": "m/s", "mps": "m/s", "km/h": "km/h", "kmh": "km/h", "kph": "km/h", "mph": "mph",
}
_TIME_WORDS = {"elapsed": 4, "seconds": 3, "sec": 3, "time": 2, "t": 2, "ms": 2, "millis": 2,
               "milliseconds": 2, "microseconds": 2, "nanoseconds": 2,
               "timestamp": 1, "clock": 1, "uptime": 1, "datetime": 0, "date": -1, "loggingtime": 0}
_NOT_TIME = {"zone", "accuracy", "exposure"}
_OTHER_SENSORS = re.compile(
    r"gyr|rot|mag|orient|attitude|quat|euler|angular|omega|\b(?:roll|pitch|yaw|lat|lon|w)\b"
)
_GRAVITY_REMOVED = re.compile(r"lin|user|without|nograv|minus")
_AXIS_WORD = re.compile(
    r"(?:a|acc|accel|acceleration|accelerometer|g|gf|gforce|gravity)[xyz]"
)
_NOT_SPEED = re.compile(r"accuracy|wind|rot|rpm|max|avg|mean|angular|vertical|limit|gyr|acc")


@dataclass(frozen=True)
class Column:
    """One column: its position from 0, its header cell, and the unit named there ("" if none)."""

    index: int
    name: str
    unit: str


@dataclass(frozen=True)
class Columns:
    """The columns of use.

    Attributes
    ----------
    clock : candidates for the clock, most promising first.
    axes : the columns of x, y and z.
    speed : the speed, if any.
    gravity_axes : columns of the gravity vector where it is given apart, else ().
    by_position : whether there was no header and the order time, x, y, z was assumed.
    """

    clock: tuple[Column, ...]
    axes: tuple[Column, Column, Column]
    speed: Column | None
    gravity_axes: tuple[Column, ...]
    by_position: bool


def columns_of(names: Sequence[str], width: int, where: str) -> Columns:
    """Find the columns of use.

    Parameters
    ----------
    names : header cells, () if there is no header.
    width : cells in a data line.
    where : the file, for complaints.

    Raises
    ------
    RecordError : no acceleration, an axis is missing, or there is no clock.
    """
    if not names:
        return _by_position(width, where)
    columns = [Column(index, name, _unit_of(name)) for index, name in enumerate(names[:width])]
    clock = tuple(sorted((c for c in columns if _time_score(c) is not None),
                         key=lambda c: -(_time_score(c) or 0)))
    axes, gravity = _axes(columns, where)
    if not clock:
        raise RecordError(
            "the record has no clock column", where, "export it with a column named time"
        )
    speeds = [c for c in columns if _is_speed(c)]
    return Columns(clock, axes, speeds[0] if speeds else None, gravity, False)


def _by_position(width: int, where: str) -> Columns:
    if width < 4:
        raise RecordError(
            f"a table without header and with {width} columns does not say which axis is missing",
            where, "export time, x, y and z with a header line",
        )
    fields = [Column(index, name, "") for index, name in enumerate(("time", "x", "y", "z"))]
    return Columns((fields[0],), (fields[1], fields[2], fields[3]), None, (), True)


def _words(name: str) -> list[str]:
    bare = re.sub(r"[(\[].*?[)\]]", " ", _plain(name))
    joined = re.sub(r"[_ ]m[_ ]s2\b", " mps2", re.sub(r"[_ ]km[_ ]h\b", " kmh", bare))
    parted = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", joined)
    return [word.lower() for word in re.split(r"[^0-9A-Za-zµμ/]+", parted) if word]


def _plain(name: str) -> str:
    return name.replace("²", "2").replace("**", "").replace("^", "")


def _unit_of(name: str) -> str:
    bracket = re.search(r"[(\[]\s*(.*?)\s*[)\]]", _plain(name))
    if bracket:
        word = bracket[1].lower().replace(" ", "").replace("·", "")
        return _UNIT_WORDS.get(word, "")
    words = _words(name)
    spelled = [_UNIT_WORDS[word] for word in words if word in _UNIT_WORDS and len(word) > 3]
    if spelled:
        return spelled[0]
    return _UNIT_WORDS.get(words[-1], "") if len(words) > 1 else ""


def _time_score(column: Column) -> int | None:
    words = _words(column.name)
    if any(word in _NOT_TIME for word in words) or "speed" in words:
        return None
    if column.unit and column.unit not in TIME_UNITS_S:
        return None
    scores = [_TIME_WORDS[word] for word in words if word in _TIME_WORDS]
    return max(scores) if scores else None


def _is_speed(column: Column) -> bool:
    text = " ".join(_words(column.name))
    if _NOT_SPEED.search(text) or _axis_letter(column.name)[0]:
        return False
    return "speed" in text or "velocity" in text or text in {"v", "kmh", "mph"}


def _axis_letter(name: str) -> tuple[str, str]:
    """Axis letter ("" if none) and the rest of the name without it and without its unit."""
    words = _words(name)
    if len(words) > 1 and words[-2] == "g" and re.fullmatch(r"f(?:orce)?[xyz]", words[-1]):
        words = [*words[:-2], words[-2] + words[-1]]  # gFx: so many g along x
    if words and len(words) > 1 and words[-1] in _UNIT_WORDS and words[-1] not in "xyz":
        words = words[:-1]
    for position in (len(words) - 1, 0):
        if words and words[position] in {"x", "y", "z"}:
            return words[position], " ".join(words[:position] + words[position + 1:])
    if words and _AXIS_WORD.fullmatch(words[-1]):
        return words[-1][-1], " ".join([*words[:-1], words[-1][:-1]])
    return "", ""


def _axes(
    columns: list[Column], where: str
) -> tuple[tuple[Column, Column, Column], tuple[Column, ...]]:
    groups: dict[str, dict[str, Column]] = {}
    for column in columns:
        letter, stem = _axis_letter(column.name)
        if letter and not _OTHER_SENSORS.search(stem):
            groups.setdefault(stem, {}).setdefault(letter, column)
    gravity: tuple[Column, ...] = ()
    for stem in [stem for stem in groups if "grav" in stem and "acc" not in stem]:
        group = groups.pop(stem)
        if len(group) == 3:
            gravity = (group["x"], group["y"], group["z"])
    if not groups:
        raise RecordError(
            "no acceleration columns were found", where,
            "name them for example ax, ay, az, or acceleration x (m/s^2)",
        )
    best = max(groups, key=lambda stem: (_rank(stem), len(groups[stem])))
    complete = groups[best]
    missing = [letter for letter in "xyz" if letter not in complete]
    if missing:
        noun = "axis is" if len(missing) == 1 else "axes are"
        raise RecordError(
            f"the {' and '.join(missing)} {noun} missing", where,
            "export all three axes of the accelerometer",
        )
    return (complete["x"], complete["y"], complete["z"]), gravity


def _rank(stem: str) -> int:
    removed = _GRAVITY_REMOVED.search(stem.replace(" ", "")) is not None
    if "acc" in stem:
        return 3 if removed else 4
    return {"a": 2, "": 1}.get(stem, 0)

"""The visit that another one comes back from: found by its id among the files beside it."""

from __future__ import annotations

import re
from pathlib import Path

from vibecheck.casebook import store
from vibecheck.casebook.case import Case
from vibecheck.errors import CaseError

_HEAD = 4096  # bytes of a file in which its id stands
_ENDINGS = ("*.yaml", "*.yml")


def former_of(path: Path | None, case: Case) -> Case | None:
    """The earlier visit in the same folder; None without one, or where its file cannot be read.

    Parameters
    ----------
    path : the file of the visit that came back; None for one in memory.
    """
    if not case.follows or path is None:
        return None
    wanted = re.compile(rf"^id: *[\"']?{re.escape(case.follows)}[\"']?\s*$", re.MULTILINE)
    for ending in _ENDINGS:
        for each in sorted(path.parent.glob(ending)):
            if each != path and wanted.search(_head(each)):
                try:
                    found = store.load(each).case
                except CaseError:
                    continue
                if found.id == case.follows:
                    return found
    return None


def _head(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return file.read(_HEAD).decode("utf-8", "replace").replace("\r\n", "\n")
    except OSError:
        return ""

"""Visits on disk that were repaired and finished as a shop does it; all invented."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import structs

from vibecheck.casebook import store
from vibecheck.casebook.case import Case
from vibecheck.session.open_case import OpenCase

FOUND = ("complaint_kind=shake", "felt_in_steering_wheel=strong", "bead_radial_inboard@LF=1.0 mm")
FIXED = ("felt_in_steering_wheel=none", "bead_radial_inboard@LF=0.10 mm")


def repaired(
    folder: Path, name: str, *, found: Sequence[str] = FOUND, remedy: str = "replace_wheel@LF",
    after: Sequence[str] = FIXED, cause: str = "bent_wheel@LF", follows: str = "",
    again: Sequence[tuple[str, Sequence[str]]] = (), invented: bool = False,
) -> Path:
    """A visit: what was found, one remedy, what was found after it, more remedies, the fault."""
    path = folder / f"{name}.yaml"
    opened = OpenCase.new(path, place="bay", title=name, facts={"drive": "front"})
    opened.answer(list(found))
    for each, then in ((remedy, after), *again):
        if each:
            what, _, corner = each.partition("@")
            opened.repair(what, corner or None)
        if each and then:
            opened.answer(list(then))
    if cause:
        what, _, corner = cause.partition("@")
        opened.finish(cause=what, corner=corner, confirmed="[red]all fixed[/red]")
    marked(path, follows=follows, invented=invented)
    return path


def marked(path: Path, *, follows: str, invented: bool) -> Case:
    """The visit on disk with a link to a former one, or as invented."""
    stored = store.load(path)
    case = structs.replace(stored.case, follows=follows, invented=invented)
    return store.save(stored, case).case

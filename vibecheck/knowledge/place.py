"""Where the rules and the demo cases are on this machine."""

from __future__ import annotations

from pathlib import Path

import platformdirs

import vibecheck
from vibecheck.errors import InputError

_PACKAGE = Path(vibecheck.__file__).resolve().parent


def find_rules(explicit: Path | None = None) -> Path:
    """The folder of rules: the one named, else the source tree's, else the installed one.

    Raises
    ------
    InputError : the folder named does not exist, or the installation carries none.
    """
    return _find("rules", explicit, "rule")


def find_demo_cases(explicit: Path | None = None) -> Path:
    """The folder of demo cases, found like the rules.

    Raises
    ------
    InputError : the folder named does not exist, or the installation carries none.
    """
    return _find("demo_cases", explicit, "case")


def find_overlay() -> Path | None:
    """The user's own rules in the user's config folder, if there are any."""
    folder = Path(platformdirs.user_config_dir("vibecheck", appauthor=False)) / "rules"
    return folder if folder.is_dir() else None


def layers(named: Path | None) -> tuple[Path, tuple[Path, ...]]:
    """The folder of rules, and what is laid over it, in that order.

    A folder that is named stands alone. A file that is named is laid over the usual rules, after
    the user's own.

    Raises
    ------
    InputError : there is no such folder, or the installation carries no rules.
    """
    if named is not None and not (named.is_file() and named.suffix == ".yaml"):
        return find_rules(named), ()
    own = find_overlay()
    over = [own] if own is not None else []
    return find_rules(), (*over, named) if named is not None else tuple(over)


def _find(name: str, explicit: Path | None, holds: str) -> Path:
    if explicit is not None:
        if explicit.is_dir():
            return explicit
        what = "this is a file, not a folder" if explicit.exists() else "there is no such folder"
        raise InputError(what, str(explicit), f"name a folder that holds {holds} files (.yaml)")
    beside = _PACKAGE.parent / name
    if beside.is_dir() and (_PACKAGE.parent / "pyproject.toml").is_file():
        return beside
    packaged = _PACKAGE / "data" / name
    if packaged.is_dir():
        return packaged
    raise InputError(f"the installed {name} are missing", str(packaged), "install vibecheck again")

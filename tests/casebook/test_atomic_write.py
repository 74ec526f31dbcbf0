"""A path leads to one whole file at every moment. `test_store` breaks every step of a write."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from vibecheck.casebook.atomic_write import write_whole


def test_old_content_gives_way_and_its_permissions_stay(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(b"old")
    path.chmod(0o640)

    write_whole(path, b"new")

    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_what_a_killed_write_left_is_swept_away(tmp_path: Path) -> None:
    (tmp_path / ".a.json.xyz.part").write_bytes(b"half")
    (tmp_path / ".b.json.xyz.part").write_bytes(b"of another file")

    write_whole(tmp_path / "a.json", b"new")

    assert sorted(os.listdir(tmp_path)) == [".b.json.xyz.part", "a.json"]


def test_a_missing_folder_is_an_error_of_the_system(tmp_path: Path) -> None:
    with pytest.raises(OSError):
        write_whole(tmp_path / "none" / "a.json", b"new")

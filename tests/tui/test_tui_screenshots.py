"""The pictures in the docs are of the program as it is: their words, not their pixels."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs"


def maker():
    """The script that makes the pictures."""
    spec = importlib.util.spec_from_file_location("make_screenshots", DOCS / "make_screenshots.py")
    made = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = made
    spec.loader.exec_module(made)
    return made


MAKER = maker()


@pytest.mark.parametrize("shot", MAKER.SHOTS, ids=lambda shot: shot.name)
async def test_a_picture_is_current(shot, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    kept = (DOCS / "screenshots" / f"{shot.name}.svg").read_text(encoding="utf-8")
    now = MAKER.words_of(await MAKER.make(shot, tmp_path))

    assert len(now) > 40
    assert MAKER.words_of(kept) == now, "run: python docs/make_screenshots.py"


def test_every_picture_is_shown_and_every_shown_picture_is_made():
    shown = re.findall(r"\(screenshots/(\w+)\.svg\)", (DOCS / "screens.md").read_text("utf-8"))
    there = [path.stem for path in (DOCS / "screenshots").iterdir()]

    assert sorted(shot.name for shot in MAKER.SHOTS) == sorted(shown) == sorted(there)


def test_pictures_fetch_nothing():
    for path in (DOCS / "screenshots").iterdir():
        assert "url(\"http" not in path.read_text("utf-8") and "url('http" not in path.read_text()

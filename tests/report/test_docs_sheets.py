"""The sheets shown in docs are those the program prints now: `python docs/make_sheets.py`."""

from __future__ import annotations

import importlib.util
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

DOCS = Path(__file__).parents[2] / "docs"
LARGEST = 150_000  # bytes of a picture


@pytest.fixture(scope="module")
def maker() -> Iterator[ModuleType]:
    """The script, with the clock of the pictures."""
    given = importlib.util.spec_from_file_location("make_sheets", DOCS / "make_sheets.py")
    assert given is not None and given.loader is not None
    module = importlib.util.module_from_spec(given)
    sys.modules["make_sheets"] = module
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", "UTC")
        time.tzset()
        given.loader.exec_module(module)
        yield module
    time.tzset()
    del sys.modules["make_sheets"]


def test_every_text_is_current(maker: ModuleType) -> None:
    for shown in maker.SHEETS:
        kept = (maker.FOLDER / f"{shown.name}.txt").read_text(encoding="utf-8")

        assert maker.text_of(shown) == kept, shown.name


def test_the_page_names_every_picture_and_they_are_small(maker: ModuleType) -> None:
    assert maker.index() == (DOCS / "sheets.md").read_text(encoding="utf-8")
    for shown in maker.SHEETS:
        picture = maker.FOLDER / f"{shown.name}.webp"

        assert 0 < picture.stat().st_size < LARGEST
        assert b"WEBP" == picture.read_bytes()[8:12]

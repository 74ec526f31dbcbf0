"""Makes the pictures of docs/screenshots from the program itself.

Run: python docs/make_screenshots.py
Each picture is one screen of the wizard on an invented case, as SVG with its text as text.
"""

from __future__ import annotations

import asyncio
import html
import os
import re
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from textual.pilot import Pilot

from vibecheck.casebook.case import PlaceName
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.app import VibecheckApp
from vibecheck.tui.visit import VisitScreen

FOLDER = Path(__file__).parent / "screenshots"
SIZE = (100, 30)
CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
    "vibration=strong",
)
_FONT_FACES = re.compile(r"@font-face\s*\{.*?\}\s*", re.DOTALL)
_TEXT = re.compile(r"<text[^>]*>(.*?)</text>", re.DOTALL)


@dataclass(frozen=True)
class Shot:
    """One picture: a demo case that is opened, or place and answers of a new one; then keys."""

    name: str
    says: str
    demo: str = ""
    keys: tuple[str, ...] = ()
    place: PlaceName | None = None
    answers: tuple[str, ...] = ()


SHOTS = (
    Shot("start", "The start: where you stand, and what to do"),
    Shot("question", "At the counter: a question, and beside it where the visit stands",
         place="counter", answers=CALM),
    Shot("ranking", "The ranking: causes with reasons for and against",
         demo="two_faults_at_once", keys=("r",)),
    Shot("car", "The car from above: what was measured where, and what is in or out",
         demo="half_a_millimetre_undecided", keys=("k",)),
    Shot("end", "The end of a visit: the remedy, how to prove it, and the word on driving",
         demo="bent_wheel_after_pothole", keys=("e",)),
    Shot("readings", "Readings round the wheel, with runout, shape and the turn as a picture",
         keys=("calculator:round", "f5")),
)


async def make(shot: Shot, folder: Path) -> str:
    """The picture of one shot as SVG; `folder` is empty and takes its case."""
    case = _case(shot, folder)
    app = VibecheckApp(folder / "visits", None, case)
    async with app.run_test(size=SIZE) as pilot:
        await _settle(pilot)
        while case is not None and not (
            isinstance(app.screen, VisitScreen) and app.screen.is_mounted
        ):
            await _settle(pilot)
        await _settle(pilot)
        for key in shot.keys:
            if key.startswith("calculator:"):
                app.open_calculator(key.removeprefix("calculator:"))
            else:
                await pilot.press(key)
            await _settle(pilot)
        picture = app.export_screenshot(title="vibecheck", simplify=True)
    return _FONT_FACES.sub("", picture)


async def _settle(pilot: Pilot[None]) -> None:
    """Wait until what was begun is done and drawn."""
    await pilot.pause(0.15)
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def _case(shot: Shot, folder: Path) -> Path | None:
    path = folder / "visit.yaml"
    if shot.demo:
        shutil.copyfile(find_demo_cases() / f"{shot.demo}.yaml", path)
        return path
    if shot.place is not None:
        opened = OpenCase.new(path, place=shot.place, title="Invented: steering wheel shakes",
                        facts={"drive": "front", "tire_size": "205/55R16"})
        opened.answer(shot.answers)
        return path
    return None


def words_of(picture: str) -> list[str]:
    """The words on a picture, in their order; colors and places left out."""
    return html.unescape(" ".join(_TEXT.findall(picture))).split()


def pictures() -> dict[str, str]:
    """All pictures by their names."""
    made = {}
    before = Path.cwd()
    for shot in SHOTS:
        with tempfile.TemporaryDirectory() as folder:
            os.chdir(folder)
            try:
                made[shot.name] = asyncio.run(make(shot, Path(folder)))
            finally:
                os.chdir(before)
    return made


def main() -> None:
    """Write every picture whose words have changed."""
    FOLDER.mkdir(exist_ok=True)
    for name, picture in pictures().items():
        path = FOLDER / f"{name}.svg"
        same = path.exists() and words_of(path.read_text(encoding="utf-8")) == words_of(picture)
        if not same or "--all" in sys.argv:
            path.write_text(picture, encoding="utf-8")
            print(path)


if __name__ == "__main__":
    main()

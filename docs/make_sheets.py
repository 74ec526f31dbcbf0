"""Makes docs/sheets.md and the pictures and texts of docs/sheets from the program itself.

Run: python docs/make_sheets.py [--pdf FOLDER]
Each picture is one sheet of an invented case as a browser prints it; beside it stands its text.
With --pdf the same sheets go into a folder as PDF, on A4 and on Letter. Needs Chromium and its
driver.
"""

from __future__ import annotations

import argparse
import base64
import os
import re
import socket
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from vibecheck.calculators.runout import CALCULATOR, run
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.metrology.units.choice import units_named
from vibecheck.report.blocks import Block
from vibecheck.report.claim_sheet import claim_sheet
from vibecheck.report.claims import claim_of, wheel_to_claim
from vibecheck.report.html import html_page
from vibecheck.report.sheets import sheet_page, trimmed
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.intake import take_in
from vibecheck.session.open_case import OpenCase

HERE = Path(__file__).parent
FOLDER = HERE / "sheets"
WIDE, MARGIN = 794, 48  # of a page of A4 and about it, at 96 dots per inch
QUALITY = 50
PAPERS = {"A4": (21.0, 29.7), "Letter": (21.59, 27.94)}
US = Wording(units_named("us"))
DENT = (
    "0 0 .01 .01 .02 .02 .02 .03 .02 -.05 -.46 -.82 -.41 .18 .34 .12 .01 0 0 -.01 -.01 -.02 -.02 "
    "-.03 -.03 -.03 -.02 -.02 -.02 -.01 -.01 0 0 0 0 0 mm"
)


@dataclass(frozen=True)
class Shown:
    """One sheet: its name, what it shows, and the case behind it."""

    name: str
    says: str
    reader: str
    opened: Callable[[], OpenCase]

    def page(self) -> tuple[Block, ...]:
        """Its blocks."""
        opened = self.opened()
        if self.reader == "claim":
            corner = wheel_to_claim(opened.diagnosis)
            return claim_sheet(claim_of(opened, corner, US, gauge="lever indicator, 0.01 mm"), US)
        return sheet_page(opened.diagnosis, self.reader, US)


def demo(name: str) -> Callable[[], OpenCase]:
    """Opens a demo case."""
    return lambda: OpenCase.open(find_demo_cases() / f"{name}.yaml")


def dented() -> OpenCase:
    """An invented hatchback with a dent at one bead, read round the turn twice; then repaired."""
    from msgspec import structs

    opened = OpenCase.new(None, place="counter", title="Ambleford Pip: shimmies since a pothole",
                        facts={"drive": "front", "tire_size": "195/55R16"})
    opened.note("shimmies at 70 since I hit a pothole", heard=True)
    opened.answer(["danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no",
                 "fumes_inside=no", "vibration=strong", "feel=shimmy",
                 "felt_in_steering_wheel=strong", "worst_speed=70 mph", "recent_pothole=yes"])
    opened.move("bay")
    for surface, readings in (("inboard", DENT), ("inboard", DENT), ("outboard", "0.12 mm")):
        named = {"readings": readings} if readings == DENT else {"tir": f"{readings} +/- 0.02"}
        take_in(opened, CALCULATOR, run(named), "", "LF", f"bead_radial_{surface}")
    opened.answer(["bead_lateral_inboard@LF=0.18 mm +/- 0.02",
                 "bead_lateral_outboard@LF=0.11 mm +/- 0.02"])
    opened.repair("replace_wheel", "LF", minutes="60")
    opened.answer(["bead_radial_inboard@LF=0.10 mm +/- 0.02",
                 "bead_radial_outboard@LF=0.12 mm +/- 0.02",
                 "bead_lateral_inboard@LF=0.15 mm +/- 0.02",
                 "bead_lateral_outboard@LF=0.11 mm +/- 0.02",
                 "vibration=none", "felt_in_steering_wheel=none"])
    opened.finish(cause="bent_wheel", corner="LF", remedy="replace_wheel",
                confirmed="0.10 to 0.15 mm at four surfaces, calm at 70 mph")
    day = [structs.replace(entry, at=f"2026-03-02T{9 + n // 60:02}:{n % 60:02}:00Z")
           for n, entry in enumerate(opened.case.entries)]
    made = structs.replace(opened.case, id="invented-dent", invented=True, entries=day)
    return OpenCase(None, made, opened.library)


SHEETS = (
    Shown("counter", "The intake sheet, for the counter", "counter", demo("loose_nuts_found")),
    Shown("bay", "The check list, for the bay", "bay", demo("curb_strike")),
    Shown("driveway", "The request to a shop, from the driveway", "driveway",
          demo("driveway_needs_a_shop")),
    Shown("customer", "The customer's sheet, after a verified repair", "customer", dented),
    Shown("claim", "The readings of a wheel, for its seller or shipper", "claim", dented),
)


def text_of(shown: Shown) -> str:
    """A sheet as text, without the small print that changes with every rule."""
    lines = trimmed(text_lines(shown.page(), 80))
    text = "\n".join(lines)
    return re.sub(r"\nCase \S+; ranked with [^()]*\([0-9a-f]{12}\)\.( The\s[^.]*\.)?", "", text) + (
        "\n")


def index() -> str:
    """The page that shows them."""
    parts = ["# Sheets", "",
             "Each is one file of HTML that prints on A4 and Letter, or plain text:",
             "`vibecheck report CASE --for counter|bay|driveway|customer|claim`. In the wizard `p`",
             "opens them, `k` keeps text, `h` a page to print. All cases here are invented.",
             "Made by `python docs/make_sheets.py`."]
    for shown in SHEETS:
        parts += ["", f"## {shown.says}", "",
                  f"![{shown.says}](sheets/{shown.name}.webp)", "",
                  f"As text: [{shown.name}.txt](sheets/{shown.name}.txt)"]
    return "\n".join(parts) + "\n"


def main() -> None:
    """Make all of them."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pdf", type=Path, metavar="FOLDER")
    chosen = parser.parse_args()
    os.environ["TZ"] = "UTC"
    time.tzset()
    sys.path.insert(0, str(HERE.parent / "tests" / "cli"))
    from webdriver import Browser

    FOLDER.mkdir(exist_ok=True)
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = int(door.getsockname()[1])
    with tempfile.TemporaryDirectory() as temporary:
        browser = Browser(Path(temporary) / "profile", port)
        try:
            for shown in SHEETS:
                file = Path(temporary) / f"{shown.name}.html"
                file.write_text(html_page(shown.page(), shown.says), encoding="utf-8")
                (FOLDER / f"{shown.name}.txt").write_text(text_of(shown), encoding="utf-8")
                browser.open(file.as_uri())
                for paper, size in PAPERS.items() if chosen.pdf else ():
                    chosen.pdf.mkdir(parents=True, exist_ok=True)
                    (chosen.pdf / f"{shown.name}-{paper}.pdf").write_bytes(browser.printed(*size))
                picture = browser.pictured(WIDE, MARGIN, QUALITY)
                (FOLDER / f"{shown.name}.webp").write_bytes(base64.b64decode(picture))
                print(f"{shown.name}: {len(picture) * 3 // 4 // 1024} kB")
        finally:
            browser.close()
    (HERE / "sheets.md").write_text(index(), encoding="utf-8")


if __name__ == "__main__":
    main()

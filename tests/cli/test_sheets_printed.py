"""Every sheet printed by a real browser: pages on A4 and Letter, hostile text, no request.

Paper sizes: ISO 216 (A4, 210 x 297 mm) and ANSI/ASME Y14.1 (A, 8.5 x 11 in). Pages are counted in
the PDF itself (ISO 32000-1, 7.7.3.3: each page is an object of /Type /Page).
"""

from __future__ import annotations

import re
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from webdriver import CHROMIUM, DRIVER, Browser

from vibecheck.knowledge.place import find_demo_cases
from vibecheck.metrology.units.choice import units_named
from vibecheck.report.claim_sheet import claim_sheet
from vibecheck.report.claims import claim_of, wheels_read
from vibecheck.report.html import html_page
from vibecheck.report.sheets import READERS, sheet_page
from vibecheck.report.wording import Wording
from vibecheck.session.open_case import OpenCase

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver"),
]

PAPERS = {"A4": (21.0, 29.7), "Letter": (21.59, 27.94)}
MOST_PAGES = {"counter": 1, "bay": 2, "driveway": 2, "customer": 2, "claim": 2}
US = Wording(units_named("us"))  # the longer of the two: four digits after the point
HOSTILE = "<script>document.title='hit'</script><img src=x onerror=alert(1)>[/bad]\x1b[31m\u202e"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = int(door.getsockname()[1])
    opened = Browser(tmp_path_factory.mktemp("profile"), port)
    try:
        yield opened
    finally:
        opened.close()


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def sheets(opened: OpenCase, wording: Wording) -> Iterator[tuple[str, str]]:
    """Every sheet of a case as HTML, by reader."""
    for reader in READERS:
        yield reader, html_page(sheet_page(opened.diagnosis, reader, wording), reader)
    for corner in wheels_read(opened.diagnosis):
        yield "claim", html_page(claim_sheet(claim_of(opened, corner, wording), wording), "claim")


@pytest.mark.parametrize("case", sorted(each.stem for each in find_demo_cases().glob("*.yaml")))
def test_every_sheet_keeps_to_its_pages(browser: Browser, tmp_path: Path, case: str) -> None:
    opened = OpenCase.open(find_demo_cases() / f"{case}.yaml")
    counted = {}
    for reader, page in sheets(opened, US):
        file = tmp_path / f"{reader}.html"
        file.write_text(page, encoding="utf-8")
        browser.open(file.as_uri())
        for paper, size in PAPERS.items():
            counted[reader, paper] = pages(browser.printed(*size))

    assert {} == {
        name: count for name, count in counted.items() if not 1 <= count <= MOST_PAGES[name[0]]
    }


def test_hostile_text_shows_as_text_on_every_sheet(browser: Browser, tmp_path: Path) -> None:
    opened = OpenCase.new(None, place="bay", title=HOSTILE)
    opened.note(HOSTILE, heard=True)
    opened.note(HOSTILE)
    opened.answer(["vibration=strong", "bead_radial_inboard@LF=1.1 mm"])
    opened.repair("replace_wheel", "LF", text=HOSTILE)
    opened.finish(cause="bent_wheel", corner="LF", remedy="replace_wheel", confirmed=HOSTILE)
    for reader, page in sheets(opened, US):
        file = tmp_path / f"{reader}.html"
        file.write_text(page, encoding="utf-8")
        browser.open(file.as_uri())
        shown = browser.run("return document.body.innerText")

        assert "<script>document.title='hit'</script><img src=x onerror=alert(1)>[/bad]" in shown
        assert r"\x1b[31m\u202e" in shown
        assert reader == browser.run("return document.title")
        assert 0 == browser.run("return document.querySelectorAll('script, img, link').length")
        assert 0 == browser.run("return performance.getEntriesByType('resource').length")


def test_fields_can_be_filled_in_on_the_page_and_stay_on_paper(
    browser: Browser, tmp_path: Path
) -> None:
    opened = OpenCase.open(find_demo_cases() / "curb_strike.yaml")
    file = tmp_path / "bay.html"
    file.write_text(dict(sheets(opened, US))["bay"], encoding="utf-8")
    browser.open(file.as_uri())

    assert browser.run("return document.querySelectorAll('input[type=text]').length") > 20
    browser.type("td.fill input", "0.12")
    assert "0.12" == browser.run("return document.querySelector('td.fill input').value")

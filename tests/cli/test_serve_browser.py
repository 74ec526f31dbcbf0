"""The wizard in a real browser, served by the installed program, and who cannot reach it."""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from webdriver import CHROMIUM, DRIVER, Browser

from vibecheck.report.html import html_page
from vibecheck.report.sheets import sheet_page
from vibecheck.session.open_case import OpenCase

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        CHROMIUM is None or DRIVER is None or find_spec("textual_serve") is None,
        reason="no Chromium with its driver, or without the extra 'serve'",
    ),
]

# Keeps what a page's websocket hears: the screen itself is drawn, not written, into the page.
LISTEN = """
window.heard = '';
const Real = window.WebSocket;
window.WebSocket = class extends Real {
  constructor(...words) {
    super(...words);
    const decoder = new TextDecoder();
    this.addEventListener('message', async (event) => {
      const data = event.data;
      if (typeof data === 'string') return;
      const bytes = data instanceof Blob ? await data.arrayBuffer() : data;
      window.heard += decoder.decode(bytes).replace(/\\x1b\\[[0-9;?]*[A-Za-z]/g, '');
    });
  }
};
"""
# Colors on the drawn text: more than a handful only where text stands.
DRAWN = """
const canvas = document.querySelector('canvas.xterm-text-layer');
const data = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
const seen = new Set();
for (let at = 0; at < data.length; at += 4) seen.add(data[at] << 16 | data[at+1] << 8 | data[at+2]);
return seen.size;
"""


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


@pytest.fixture
def browser(tmp_path: Path) -> Iterator[Browser]:
    opened = Browser(tmp_path / "profile", free_port())
    try:
        opened.before_pages(LISTEN)
        yield opened
    finally:
        opened.close()


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """The address that a running `vibecheck serve` prints."""
    command = [sys.executable, "-m", "vibecheck.cli.main", "serve", "--port", "0",
               "--cases", str(tmp_path / "cases")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
                          cwd=tmp_path) as server:
        assert server.stdout is not None
        try:
            yield server.stdout.readline().strip()
        finally:
            server.terminate()
            server.wait(timeout=30)


@pytest.fixture
def stranger() -> Iterator[str]:
    """Another page on this machine: another port counts as the same site for cookies."""

    class Page(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write(b"<title>stranger</title>")

        def log_message(self, *_: object) -> None:
            pass

    # A browser opens connections ahead of need and is silent on them: none is waited for.
    server = ThreadingHTTPServer(("127.0.0.1", 0), Page)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_the_start_screen_is_drawn_and_takes_keys_and_only_for_the_token(
    browser, address, stranger
):
    url = address.split("/?")[0]
    browser.open(url)
    assert "token" in browser.run("return document.body.innerText")
    assert not browser.run("return document.querySelector('#terminal') !== null")

    browser.open(address)
    browser.wait("return window.heard.includes('Begin a new visit')")
    browser.wait(DRAWN.replace("return seen.size", "return seen.size > 8"))
    assert f"{url}/" == browser.run("return location.href")
    assert "" == browser.run("return document.cookie")

    browser.run("window.heard = ''")
    browser.type("textarea.xterm-helper-textarea", "3")
    browser.wait("return window.heard.includes('(x) 3 Driveway')")

    socket_url = f"ws://{urlsplit(url).netloc}/ws"
    asked = (
        f"window.came = ''; const socket = new WebSocket('{socket_url}');"
        "socket.onopen = () => { window.came = 'open'; };"
        "socket.onerror = () => { window.came = window.came || 'refused'; };"
    )
    browser.open(stranger)
    browser.run(asked)
    assert "refused" == browser.wait("return window.came")

    browser.open(url)
    browser.run(asked)
    assert "open" == browser.wait("return window.came")


def test_keys_work_without_a_click(browser, address):
    browser.open(address)
    browser.wait("return window.heard.includes('Begin a new visit')")
    browser.wait(DRAWN.replace("return seen.size", "return seen.size > 8"))

    browser.press("1")
    browser.wait("return window.heard.includes('(x) 1 Counter')")
    browser.run("window.heard = ''")
    browser.press("n")
    browser.wait("return window.heard.includes('to find the visit again')")


def test_nothing_is_loaded_from_elsewhere(browser, address):
    browser.open(address)
    browser.wait("return window.heard.includes('Begin a new visit')")
    hosts = browser.run(
        "return performance.getEntriesByType('resource')"
        ".filter(each => each.responseStatus !== 0 || each.transferSize > 0)"
        ".map(each => new URL(each.name).host)"
    )

    assert {urlsplit(address).netloc} == set(hosts)


def test_a_sheet_is_downloaded_not_left_on_the_server(browser, tmp_path):
    case = tmp_path / "invented.yaml"
    opened = OpenCase.new(case, place="bay", title="invented hatchback")
    opened.answer(["danger_seen=none", "vibration=strong"])
    command = [sys.executable, "-m", "vibecheck.cli.main", "serve", "--port", "0", str(case)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
                          cwd=tmp_path) as server:
        assert server.stdout is not None
        try:
            browser.open(server.stdout.readline().strip())
            browser.wait("return window.heard.includes('Ranking')")  # the keys of the open visit
            browser.run("window.opened = []; window.open = (url) => { window.opened.push(url); };")
            browser.type("textarea.xterm-helper-textarea", "p")
            browser.wait("return window.heard.includes('Sheet for')")
            browser.type("textarea.xterm-helper-textarea", "h")
            browser.wait("return window.opened.length > 0")
            kind, name, page = browser.run(
                "return fetch(window.opened[0]).then((found) => found.text().then((text) => "
                "[found.headers.get('content-type'), found.headers.get('content-disposition'),"
                " text]))")
        finally:
            server.terminate()
            server.wait(timeout=30)

    assert kind.startswith("text/html") and "attachment" in name and "invented-bay.html" in name
    assert page == html_page(sheet_page(OpenCase.open(case).diagnosis, "bay"),
                             "invented hatchback - bay")
    assert ["invented.yaml"] == [each.name for each in tmp_path.glob("invented*")]

"""The served wizard under hostile use: killed servers, huge sizes, messages that are none."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import subprocess
import sys
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest

pytest.importorskip("textual_serve")

from aiohttp import ClientSession, ClientWebSocketResponse, CookieJar, WSMsgType  # noqa: E402

from vibecheck.cli.browser import messages  # noqa: E402
from vibecheck.cli.browser.screens import PAGE  # noqa: E402
from vibecheck.cli.guard import Guard  # noqa: E402
from vibecheck.cli.serve import make_app  # noqa: E402

ROOT = Path(__file__).parents[2]
PATIENCE_S = 30.0
needs_proc = pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="looks into /proc")


class Served:
    """A running `vibecheck serve`, and a browser's way to it."""

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-m", "vibecheck.cli.main", "serve", "--port", "0",
                   "--cases", str(folder / "cases")]
        self.said = (folder / "said").open("w+", encoding="utf-8")
        self.server = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=self.said, text=True, cwd=folder,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        assert self.server.stdout is not None
        self.address = self.server.stdout.readline().strip()

    @property
    def url(self) -> str:
        return self.address.split("/?")[0]

    @property
    def complaints(self) -> str:
        """What the operator was told."""
        self.said.seek(0)
        return self.said.read()

    @asynccontextmanager
    async def page(self, query: str = "") -> AsyncIterator[ClientWebSocketResponse]:
        """An open page whose start screen is drawn."""
        async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as browser:
            async with browser.get(self.address) as answer:
                assert 200 == answer.status
            headers = {"Origin": self.url}
            async with browser.ws_connect(f"{self.url}/ws{query}", headers=headers) as opened:
                await drawn(opened, "Begin a new visit")
                yield opened

    def screens(self) -> list[int]:
        """The process ids of the screens' programs."""
        found = []
        for each in Path("/proc").iterdir():
            if each.name.isdecimal() and parent_of(int(each.name)) == self.server.pid:
                found.append(int(each.name))
        return found

    def close(self) -> None:
        if self.server.poll() is None:
            self.server.kill()
        self.server.wait(timeout=PATIENCE_S)
        assert self.server.stdout is not None
        self.server.stdout.close()
        self.said.close()


def status_of(pid: int) -> str:
    """What the system tells of a process; "" where it is gone or only waits to be buried."""
    try:
        text = Path(f"/proc/{pid}/status").read_text("utf-8")
    except OSError:
        return ""
    return "" if re.search(r"^State:\s*[ZX]", text, re.MULTILINE) else text


def parent_of(pid: int) -> int:
    found = re.search(r"^PPid:\s*(\d+)", status_of(pid), re.MULTILINE)
    return int(found[1]) if found else 0


async def drawn(opened: ClientWebSocketResponse, words: str) -> None:
    """Wait until words stand on the screen; between them a program may move the cursor."""
    seen = ""
    async with asyncio.timeout(PATIENCE_S):
        while words not in seen:
            message = await opened.receive()
            assert message.type in (WSMsgType.BINARY, WSMsgType.TEXT), message
            if message.type is WSMsgType.BINARY:
                seen += re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", message.data.decode("utf-8"))


async def gone(pid: int) -> None:
    """Wait until a process has ended."""
    async with asyncio.timeout(PATIENCE_S):
        while status_of(pid):
            await asyncio.sleep(0.02)


async def closed(opened: ClientWebSocketResponse) -> int | None:
    """Wait until the server closes the page; the code it gives."""
    async with asyncio.timeout(PATIENCE_S):
        while (await opened.receive()).type not in (WSMsgType.CLOSE, WSMsgType.CLOSED):
            pass
    return opened.close_code


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    made = Served(tmp_path)
    try:
        yield made
    finally:
        made.close()


@needs_proc
@pytest.mark.parametrize("end", [signal.SIGHUP, signal.SIGTERM, signal.SIGKILL])
async def test_screens_end_with_the_server_however_it_ends(served: Served, end: int) -> None:
    async with served.page():
        [screen] = served.screens()
        served.server.send_signal(end)
        await gone(screen)
    await asyncio.to_thread(served.server.wait, PATIENCE_S)

    assert "Traceback" not in served.complaints
    assert served.server.returncode == (0 if end != signal.SIGKILL else -signal.SIGKILL)


@needs_proc
async def test_a_stopped_screen_does_not_outlive_its_page(served: Served) -> None:
    """A program that does nothing any more heeds no signal but the last."""
    async with served.page():
        [screen] = served.screens()
        os.kill(screen, signal.SIGSTOP)
    await gone(screen)


@needs_proc
@pytest.mark.parametrize("size", ['{"width": 1000000, "height": 1000000}',
                                  '{"width": -5, "height": 0}'])
async def test_a_screen_is_never_drawn_larger_than_can_be(served: Served, size: str) -> None:
    async with served.page("?width=99999999999&height=1000000") as opened:
        await opened.send_str(f'["resize", {size}]')
        await opened.send_str('["resize", {"width": 80, "height": 24}]')
        await drawn(opened, "Begin a new visit")
        [screen] = served.screens()
        peak = re.search(r"^VmHWM:\s*(\d+) kB", status_of(screen), re.MULTILINE)

        assert peak and int(peak[1]) < 500_000  # kB; a million columns took 4.3 GB


@needs_proc
@pytest.mark.parametrize(
    "message",
    ["", "x", "[]", "{}", "null", '["dance"]', '["stdin"]', '["stdin", 5]', '["resize", "big"]',
     '["resize", {"width": "1", "height": 2}]', '["ping", {}]', "[" * 30_000, "9" * 6_000],
)
async def test_a_message_that_is_none_is_one_sentence_and_closes_its_page_alone(
    served: Served, message: str
) -> None:
    async with served.page() as other:
        before = set(served.screens())
        async with served.page() as opened:
            [screen] = set(served.screens()) - before
            await opened.send_str(message)
            assert 1008 == await closed(opened)
        await gone(screen)
        await other.send_str('["ping", "7"]')
        await asyncio.wait_for(said(other, '["pong", "7"]'), PATIENCE_S)

    [told] = [each for each in served.complaints.splitlines() if "was not taken" in each]
    assert len(told) <= 300 and "Traceback" not in served.complaints


async def said(opened: ClientWebSocketResponse, text: str) -> None:
    """Wait until the server says something to the page."""
    while (await opened.receive()).data != text:
        pass


@needs_proc
@pytest.mark.parametrize("message", ["x" * 2_000_000, f'["stdin", "{"x" * 2_000_000}"]'])
async def test_a_huge_message_ends_its_screen_at_once(served: Served, message: str) -> None:
    async with served.page() as opened:
        [screen] = served.screens()
        await opened.send_str(message)
        assert 1009 == await closed(opened)
    await gone(screen)

    assert 1 == served.complaints.count("was not taken")
    assert "Traceback" not in served.complaints


async def test_noise_on_the_port_is_no_traceback(served: Served) -> None:
    host = urlsplit(served.url)
    for noise in (b"\x00\xff\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"GET /\x01 HTTP/1.1\r\n\r\n"):
        reader, writer = await asyncio.open_connection(host.hostname, host.port)
        writer.write(noise)
        await asyncio.wait_for(reader.read(), PATIENCE_S)
        writer.close()
    async with served.page():
        pass

    assert "Traceback" not in served.complaints
    assert all(len(each) <= 300 for each in served.complaints.splitlines())


async def test_a_screen_that_cannot_begin_is_one_sentence() -> None:
    """Its last line is told, as in a traceback, and its page is closed."""
    from aiohttp import web

    told: list[str] = []
    fails = [sys.executable, "-c", "raise ValueError('no [/bad] screen')"]
    guard = Guard("http://127.0.0.1:0")
    runner = web.AppRunner(await make_app(fails, guard, told.append))
    await runner.setup()
    site = web.TCPSite(runner, "127.0.0.1", 0)
    await site.start()
    port = runner.addresses[0][1]
    headers = {"Host": "127.0.0.1:0", "Origin": guard.url, "Cookie": f"{guard.cookie}={guard.token}"}
    try:
        async with (
            ClientSession() as browser,
            browser.ws_connect(f"http://127.0.0.1:{port}/ws", headers=headers) as opened,
        ):
            await closed(opened)
    finally:
        await runner.cleanup()

    assert ["a screen ended with a complaint: ValueError: no [/bad] screen"] == told


async def test_the_page_and_all_that_it_loads_name_no_other_place(served: Served) -> None:
    async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as browser:
        async with browser.get(served.address) as answer:
            page = await answer.text()
        links = re.findall(r"""(?:href|src|url)\s*[=(]\s*["']?([^"')\s>]+)""", page)
        assets = {each for each in links if each.startswith("http")}
        for url in assets:
            async with browser.get(url) as answer:
                assert 200 == answer.status, url

    assert {served.url} == {"://".join(urlsplit(each)[:2]) for each in assets}
    assert 4 == len(assets)
    assert "http" not in (PAGE / "app_index.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("asked", "drawn_as"),
    [(("80", "24"), (80, 24)), ((None, None), (80, 24)), (("NaN", "24"), (80, 24)),
     (("1000000", "1000000"), (500, 200)), (("-7", "0"), (20, 5)), (("9" * 9_999, "1"), (500, 5))],
)
def test_the_size_in_the_address(asked: tuple[str, str], drawn_as: tuple[int, int]) -> None:
    assert drawn_as == messages.size_asked(*asked)


def test_the_longest_note_can_be_pasted_at_once() -> None:
    """As a browser writes it: UTF-8, a line end as an escape of two signs."""
    from vibecheck.casebook.case import LONGEST_NOTE

    pasted = "\x1b[200~" + "\u2019" * LONGEST_NOTE + "\x1b[201~"
    as_sent = f'["stdin", "{pasted}"]'.replace("\x1b", "\\u001b")

    assert len(as_sent.encode("utf-8")) <= messages.LARGEST_MESSAGE
    assert messages.Typed(pasted.encode("utf-8")) == messages.read_message(as_sent)

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
from typing import Any
from urllib.parse import urlsplit

import pytest

pytest.importorskip("textual_serve")

from aiohttp import (  # noqa: E402
    ClientSession,
    ClientWebSocketResponse,
    CookieJar,
    WSCloseCode,
    WSMsgType,
    web,
)

from vibecheck.cli.browser import messages, screens  # noqa: E402
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
@pytest.mark.parametrize("end", [signal.SIGHUP, signal.SIGKILL])
async def test_screens_end_with_the_server_however_it_ends(served: Served, end: int) -> None:
    async with served.page():
        [screen] = served.screens()
        served.server.send_signal(end)
        await gone(screen)
    await asyncio.to_thread(served.server.wait, PATIENCE_S)

    assert "Traceback" not in served.complaints
    assert served.server.returncode == (0 if end != signal.SIGKILL else -signal.SIGKILL)


@needs_proc
async def test_a_page_is_told_that_its_server_ends(served: Served) -> None:
    async with served.page() as opened:
        served.server.terminate()
        assert WSCloseCode.GOING_AWAY == await closed(opened)
    await asyncio.to_thread(served.server.wait, PATIENCE_S)


@needs_proc
async def test_a_screen_is_never_drawn_larger_than_can_be(served: Served) -> None:
    async with served.page("?width=99999999999&height=1000000") as opened:
        await opened.send_str('["resize", {"width": 1000000, "height": 1000000}]')
        await opened.send_str('["resize", {"width": 80, "height": 24}]')
        await drawn(opened, "Begin a new visit")
        [screen] = served.screens()
        peak = re.search(r"^VmHWM:\s*(\d+) kB", status_of(screen), re.MULTILINE)

        assert peak and int(peak[1]) < 500_000  # kB; a million columns took 4.3 GB


# A program in the place of the wizard's: says what it hears, and ends at its input's end.
ECHO = """
import sys, os
def packet(data):
    os.write(1, b"D" + len(data).to_bytes(4, "big") + data)
os.write(1, b"__GANGLION__\\n")
packet(b"[%d]" % os.getpid())
while kind := sys.stdin.buffer.read(1):
    data = sys.stdin.buffer.read(int.from_bytes(sys.stdin.buffer.read(4), "big"))
    if b'"quit"' in data:
        break
    packet(data)
"""
DEAF = ECHO.replace("packet(b", "import signal; signal.signal(15, signal.SIG_IGN); packet(b", 1)
DEAF = DEAF.replace("while kind", "import time\nwhile True: time.sleep(60)\nwhile kind")


class Stand:
    """The server in this process, with another program for its screens."""

    def __init__(self, browser: ClientSession, guard: Guard, port: int, told: list[str]) -> None:
        self.browser, self.guard, self.told = browser, guard, told
        self.url = f"http://127.0.0.1:{port}/ws"

    @asynccontextmanager
    async def page(self) -> AsyncIterator[tuple[ClientWebSocketResponse, int]]:
        """An open page, and the process id of its screen's program (0 if it said none)."""
        headers = {"Host": "127.0.0.1:0", "Origin": self.guard.url,
                   "Cookie": f"{self.guard.cookie}={self.guard.token}"}
        async with self.browser.ws_connect(self.url, headers=headers) as opened:
            first = await opened.receive(timeout=PATIENCE_S)
            yield opened, int(first.data.strip(b"[]")) if first.type is WSMsgType.BINARY else 0


@asynccontextmanager
async def standing(program: str) -> AsyncIterator[Stand]:
    told: list[str] = []
    guard = Guard("http://127.0.0.1:0")
    runner = web.AppRunner(await make_app([sys.executable, "-c", program], guard, told.append))
    await runner.setup()
    try:
        await web.TCPSite(runner, "127.0.0.1", 0).start()
        async with ClientSession() as browser:
            yield Stand(browser, guard, runner.addresses[0][1], told)
    finally:
        await runner.cleanup()


async def test_messages_reach_the_screen_within_what_it_can_be() -> None:
    async with standing(ECHO) as stand, stand.page() as (opened, _):
        for sent, heard in (
            ('["stdin", "a\\ud800b"]', b"a?b"),
            ('["resize", {"width": 1000000, "height": -3}]',
             b'{"type": "resize", "width": 500, "height": 5}'),
            ('["focus"]', b'{"type": "focus"}'),
            ('["ping", "7"]', '["pong", "7"]'),
        ):
            await opened.send_str(sent)
            assert heard == (await opened.receive(timeout=PATIENCE_S)).data


@needs_proc
@pytest.mark.parametrize(
    ("message", "code"),
    [("x", 1008), ("[" * 30_000, 1008), ('["resize", "big"]', 1008),
     ("x" * 2_000_000, 1009), (f'["stdin", "{"x" * 2_000_000}"]', 1009)],
)
async def test_a_message_that_is_none_is_one_sentence_and_closes_its_page_alone(
    message: str, code: int
) -> None:
    async with standing(ECHO) as stand, stand.page() as (other, _):
        async with stand.page() as (opened, screen):
            await opened.send_str(message)
            assert code == await closed(opened)
        await gone(screen)
        await other.send_str('["stdin", "still here"]')
        assert b"still here" == await other.receive_bytes(timeout=PATIENCE_S)

        [told] = stand.told
        assert "was not taken" in told and len(told) <= 300


@pytest.mark.parametrize(
    "message",
    ["", "x", "[]", "{}", "null", '["dance"]', '["stdin"]', '["stdin", 5]', '["resize", "big"]',
     '["resize", {"width": "1", "height": 2}]', '["resize", {"width": 1.5, "height": 2}]',
     '["ping", {}]', "[" * 100_000, "9" * 6_000, '["resize", {"width": NaN, "height": 2}]'],
)
def test_what_is_no_message(message: str) -> None:
    with pytest.raises(ValueError):
        messages.read_message(message)


@needs_proc
@pytest.mark.parametrize("program", [ECHO, DEAF])
async def test_a_screen_never_outlives_its_page(monkeypatch: Any, program: str) -> None:
    """Also where its program heeds neither a word nor a signal."""
    monkeypatch.setattr(screens, "END_S", 0.2)
    async with standing(program) as stand:
        async with stand.page() as (_, screen):
            assert status_of(screen)
        await gone(screen)

        assert [] == stand.told


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
    """The last line of its complaint is told, and its page is closed."""
    async with standing("raise ValueError('no [/bad] screen')") as stand:
        async with stand.page() as (opened, screen):
            assert 0 == screen and opened.closed

        assert ["a screen ended with a complaint: ValueError: no [/bad] screen"] == stand.told


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

"""One program for each page that is open, and the messages between them.

The serving library brings the page's script and the packets. What it leaves open is settled here:
how large a message and a screen may be, what happens to a message that is none, and that a
screen's program always ends. Nothing that goes wrong is told with a traceback.
"""

from __future__ import annotations

import asyncio
import logging
import os
import signal
from asyncio.subprocess import PIPE, Process
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from weakref import WeakSet

from aiohttp import WSCloseCode, WSMessage, WSMsgType, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager
from textual_serve.server import Server

from vibecheck.cli.browser.messages import (
    LARGEST_MESSAGE,
    Focused,
    Message,
    Pinged,
    Resized,
    Typed,
    read_message,
    size_asked,
)
from vibecheck.cli.browser.parent import PARENT
from vibecheck.errors import sentence

PAGE = Path(__file__).parent / "page"
HEARTBEAT_S = 15.0
LEAVE_S = 1.0  # for a page to answer that the server ends
END_S = 2.0  # for a screen's program to end by itself, and again after it was told to
READY = b"__GANGLION__\n"  # the library's word before the first packet
MOST_BEFORE_READY = 10  # lines
MOST_SAID = 4_096  # bytes of what a program complains of
Tell = Callable[[str], None]


class Screen(AppService):
    """The program behind one page.

    Parameters
    ----------
    words : the command.
    websocket : the way to the page.
    downloads : the files on their way to pages.
    tell : says a sentence to whoever runs the server.
    """

    def __init__(
        self, words: Sequence[str], websocket: web.WebSocketResponse, downloads: DownloadManager,
        tell: Tell,
    ) -> None:

        async def close() -> None:
            await websocket.close()

        super().__init__(
            "", write_bytes=websocket.send_bytes, write_str=websocket.send_str, close=close,
            download_manager=downloads,
        )
        self._words, self._tell = words, tell

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        environment = self._build_environment(width=width, height=height)
        environment[PARENT] = str(os.getpid())
        process = await asyncio.create_subprocess_exec(
            *self._words, stdin=PIPE, stdout=PIPE, stderr=PIPE, env=environment
        )
        self._process, self._stdin = process, process.stdin
        return process

    async def run(self) -> None:
        """Pass on what the program draws, until it ends."""
        process = self._process
        assert process is not None and process.stdout is not None and process.stderr is not None
        complaint = asyncio.create_task(_last_line(process.stderr))
        try:
            await self._pass_on(process.stdout)
        finally:
            if said := await complaint:
                self._tell(sentence(f"a screen ended with a complaint: {said}"))
            with suppress(ConnectionError, RuntimeError):
                await self.remote_close()

    async def _pass_on(self, drawn: asyncio.StreamReader) -> None:
        takers = {b"D": self.on_data, b"M": self.on_meta, b"P": self.on_packed}
        for _ in range(MOST_BEFORE_READY):
            if await drawn.readline() in (b"", READY):
                break
        with suppress(asyncio.IncompleteReadError):
            while True:
                kind = await drawn.readexactly(1)
                size = int.from_bytes(await drawn.readexactly(4), "big")
                packet = await drawn.readexactly(size)
                with suppress(ConnectionError, RuntimeError):  # the page may be gone already
                    if kind in takers:
                        await takers[kind](packet)

    async def stop(self) -> None:
        """End the program: asked, then told, then made to."""
        process, task, self._task = self._process, self._task, None
        if task is None or process is None:
            return
        await self._download_manager.cancel_app_downloads(app_service_id=self.app_service_id)
        with suppress(asyncio.TimeoutError):
            async with asyncio.timeout(END_S):
                await self.send_meta({"type": "quit"})
                await process.wait()
        for end in (process.terminate, process.kill):
            if process.returncode is None:
                end()
                with suppress(asyncio.TimeoutError):
                    async with asyncio.timeout(END_S):
                        await process.wait()
        await task

    async def take(self, message: Message, websocket: web.WebSocketResponse) -> None:
        """Do what the page says."""
        match message:
            case Typed(text):
                await self.send_bytes(text)
            case Resized(width, height):
                await self.set_terminal_size(width, height)
            case Pinged(mark):
                await websocket.send_json(["pong", mark])
            case Focused(here):
                await (self.focus() if here else self.blur())


class Screens(Server):
    """The server: our page, and a program for each one that opens it.

    Parameters
    ----------
    words : the command for each screen.
    url : the address as a browser writes it.
    tell : says a sentence to whoever runs the server.
    """

    def __init__(self, words: Sequence[str], url: str, tell: Tell) -> None:
        super().__init__("", title="vibecheck", public_url=url, templates_path=PAGE)
        self._words, self._tell = words, tell
        self._pages: WeakSet[web.WebSocketResponse] = WeakSet()

    async def application(self) -> web.Application:
        """The application, without the library's greeting."""
        app: web.Application = await self._make_app()
        app.on_startup.clear()
        app.on_startup.append(_heed_hang_up)
        app.on_shutdown.append(self._leave_pages)
        return app

    async def _leave_pages(self, _: web.Application) -> None:
        """Tell every page that the server ends; one that does not answer is not waited for."""
        leaving = [asyncio.ensure_future(page.close(code=WSCloseCode.GOING_AWAY))
                   for page in self._pages]
        if leaving:
            await asyncio.wait(leaving, timeout=LEAVE_S)

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """One page, from its opening to its end."""
        websocket = web.WebSocketResponse(heartbeat=HEARTBEAT_S, max_msg_size=LARGEST_MESSAGE)
        await websocket.prepare(request)
        self._pages.add(websocket)
        screen = Screen(self._words, websocket, self.download_manager, self._tell)
        await screen.start(*size_asked(request.query.get("width"), request.query.get("height")))
        try:
            async for each in websocket:
                if word := await _taken(each, screen, websocket):
                    self._tell(sentence(f"a page's message was not taken ({word}); "
                                        "its screen is closed"))
                    await websocket.close(code=WSCloseCode.POLICY_VIOLATION)
        except ConnectionError:
            pass  # the page is gone
        finally:
            await screen.stop()
        return websocket


async def _taken(each: WSMessage, screen: Screen, websocket: web.WebSocketResponse) -> str:
    """Do what a message says; gives "", or why it is none."""
    if each.type is WSMsgType.ERROR:
        return str(websocket.exception() or "it broke off")
    if each.type is not WSMsgType.TEXT:
        return "not a text"
    try:
        message = read_message(each.data)
    except ValueError as error:
        return str(error)
    await screen.take(message, websocket)
    return ""


async def _last_line(said: asyncio.StreamReader) -> str:
    """The last line that a program complained with; everything is read, so that it never waits."""
    kept = b""
    while piece := await said.read(MOST_SAID):
        kept = (kept + piece)[-MOST_SAID:]
    lines = kept.decode("utf-8", "replace").strip().splitlines()
    return lines[-1].strip() if lines else ""


async def _heed_hang_up(_: web.Application) -> None:
    """A closed terminal ends the server as Ctrl-C does, with all screens."""
    if hasattr(signal, "SIGHUP"):
        with suppress(NotImplementedError, RuntimeError, ValueError):
            asyncio.get_running_loop().add_signal_handler(signal.SIGHUP, _leave)


def _leave() -> None:
    raise web.GracefulExit


class OneSentence(logging.Handler):
    """Tells what a library has to say in one sentence, without its traceback."""

    def __init__(self, tell: Tell) -> None:
        super().__init__(logging.WARNING)
        self._tell_one = tell

    def emit(self, record: logging.LogRecord) -> None:
        """Say it."""
        error = record.exc_info[1] if record.exc_info else None
        why = f" ({type(error).__name__}: {error})" if error else ""
        self._tell_one(sentence(f"{record.getMessage()}{why}"))


def quiet_libraries(tell: Tell) -> None:
    """Let the libraries of the server speak through `tell` alone."""
    for name in ("aiohttp", "asyncio", "textual-serve"):
        logger = logging.getLogger(name)
        logger.handlers, logger.propagate = [OneSentence(tell)], False

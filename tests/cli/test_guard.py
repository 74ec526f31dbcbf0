"""The guard before the wizard in a browser, over real requests on the loopback address."""

from __future__ import annotations

import socket
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest

pytest.importorskip("textual_serve")

from aiohttp import ClientSession, CookieJar, WSServerHandshakeError, web  # noqa: E402

from vibecheck.cli import guard as guarding  # noqa: E402
from vibecheck.cli.guard import Guard  # noqa: E402
from vibecheck.cli.serve import make_app  # noqa: E402


def echoing(guard: Guard) -> web.Application:
    """A page and a websocket that says back what it hears."""

    async def page(_: web.Request) -> web.Response:
        return web.Response(text="page")

    async def echo(request: web.Request) -> web.WebSocketResponse:
        answer = web.WebSocketResponse()
        await answer.prepare(request)
        async for message in answer:
            await answer.send_str(message.data)
        return answer

    app = web.Application()
    app.add_routes([web.get("/", page), web.get("/ws", echo)])
    guarding.put_before(app, guard)
    return app


@asynccontextmanager
async def served(*, echo: bool = False) -> AsyncIterator[tuple[Guard, ClientSession]]:
    """A guarded server on a free port, and a browser that keeps cookies.

    With `echo` a small application of this test stands behind the guard, else the real one.
    """
    door = socket.create_server(("127.0.0.1", 0))
    guard = Guard(f"http://127.0.0.1:{door.getsockname()[1]}")
    ends_at_once = [sys.executable, "-c", ""]
    app = echoing(guard) if echo else await make_app(ends_at_once, guard, print)
    runner = web.AppRunner(app)
    await runner.setup()
    await web.SockSite(runner, door).start()
    try:
        async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as browser:
            yield guard, browser
    finally:
        await runner.cleanup()


async def status(browser: ClientSession, url: str, **headers: str) -> int:
    async with browser.get(url, headers=headers, allow_redirects=False) as answer:
        return answer.status


@pytest.mark.parametrize("path", ["/", "/ws", "/static/js/textual.js", "/download/x", "/nothing"])
async def test_without_the_token_nothing_is_given(path):
    async with served() as (guard, browser):
        assert 403 == await status(browser, guard.url + path)


@pytest.mark.parametrize("token", ["", "x", "é", "%00", "A" * 4_000])
async def test_a_wrong_token_is_refused_and_sets_no_cookie(token):
    async with served() as (guard, browser):
        async with browser.get(guard.url, params={"token": token}) as answer:
            assert 403 == answer.status
            assert "Set-Cookie" not in answer.headers


async def test_a_wrong_cookie_is_refused():
    async with served() as (guard, browser):
        browser.cookie_jar.update_cookies({guard.cookie: guard.token[:-1]})
        assert 403 == await status(browser, guard.url)


async def test_the_right_token_becomes_a_cookie_that_no_script_and_no_other_site_can_use():
    async with served() as (guard, browser):
        async with browser.get(guard.address, allow_redirects=False) as answer:
            cookie = answer.headers["Set-Cookie"]

            assert 303 == answer.status and "/" == answer.headers["Location"]
            assert "HttpOnly" in cookie and "SameSite=Strict" in cookie and "Domain" not in cookie


async def test_the_right_token_gives_the_page_and_what_it_needs():
    async with served() as (guard, browser):
        async with browser.get(guard.address) as answer:
            page = await answer.text()

            assert 200 == answer.status and f"{guard.url}/" == str(answer.url)
            assert f"ws{guard.url.removeprefix('http')}/ws" in page
            assert guard.token not in page
        assert 200 == await status(browser, f"{guard.url}/static/js/textual.js")


async def test_every_answer_forbids_frames_foreign_content_and_referrers():
    async with served() as (guard, browser):
        for url in (guard.url, guard.address, f"{guard.url}/static/js/textual.js"):
            async with browser.get(url) as answer:
                assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]
                assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
                assert "no-referrer" == answer.headers["Referrer-Policy"]
                assert "no-store" == answer.headers["Cache-Control"]


@pytest.mark.parametrize("host", ["evil.example", "localhost", "127.0.0.1", "127.0.0.1:1", ""])
async def test_a_foreign_name_for_this_machine_is_refused_even_with_the_token(host):
    """A name that a stranger's server points to 127.0.0.1 (rebinding) carries itself in Host."""
    async with served() as (guard, browser):
        assert 403 == await status(browser, guard.address, Host=host)
        await status(browser, guard.address)
        assert 403 == await status(browser, guard.url, Host=host)


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:1", "https://"])
async def test_a_foreign_origin_is_refused_with_cookie_and_token(origin):
    async with served() as (guard, browser):
        await status(browser, guard.address)
        assert 403 == await status(browser, guard.url, Origin=origin)
        assert 403 == await websocket(browser, guard, Origin=origin)


async def websocket(browser: ClientSession, guard: Guard, **headers: str) -> int:
    """The status of the answer to a websocket handshake; 101 if it also says back."""
    try:
        async with browser.ws_connect(f"{guard.url}/ws", headers=headers) as opened:
            await opened.send_str("hello")
            return 101 if "hello" == await opened.receive_str() else 0
    except WSServerHandshakeError as refused:
        return refused.status


@pytest.mark.parametrize("echo", [False, True])
async def test_the_websocket_needs_cookie_and_origin(echo):
    async with served(echo=echo) as (guard, browser):
        assert 403 == await websocket(browser, guard, Origin=guard.url)
        await status(browser, guard.address)
        assert 403 == await websocket(browser, guard)


async def test_the_right_cookie_and_origin_open_the_websocket():
    async with served(echo=True) as (guard, browser):
        await status(browser, guard.address)
        assert 101 == await websocket(browser, guard, Origin=guard.url)


async def test_a_token_in_the_websocket_s_address_is_no_way_in():
    async with served() as (guard, browser):
        url = f"{guard.url}/ws?token={guard.token}"
        with pytest.raises(WSServerHandshakeError) as refused:
            await browser.ws_connect(url, headers={"Origin": guard.url})

        assert 403 == refused.value.status


async def test_no_more_screens_than_there_may_be_and_a_closed_one_makes_room(monkeypatch):
    monkeypatch.setattr(guarding, "MOST_OPEN", 1)
    async with served(echo=True) as (guard, browser):
        await status(browser, guard.address)
        async with browser.ws_connect(f"{guard.url}/ws", headers={"Origin": guard.url}):
            assert 503 == await websocket(browser, guard, Origin=guard.url)
        assert 101 == await websocket(browser, guard, Origin=guard.url)


def test_two_guards_have_two_long_tokens_and_never_show_them():
    one, other = Guard("http://127.0.0.1:8000"), Guard("http://127.0.0.1:8000")

    assert one.token != other.token and len(one.token) >= 43
    assert one.token not in repr(one)
    assert "vibecheck_8000" == one.cookie and "vibecheck_80" == Guard("http://127.0.0.1").cookie

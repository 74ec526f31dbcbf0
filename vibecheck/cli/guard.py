"""Who may reach the wizard in a browser: a token, the right Host, the right Origin.

The serving library asks for no login and looks at no Origin, so any page open in the same browser
could connect to it, and a name that suddenly points to this machine would count as this machine.
Every request, the websocket's too, passes here first:

* Host must be the very address that was printed (stops a foreign name for this machine);
* an Origin, where one is sent, must be that address, and the websocket must send one;
* the token must come in the address once; then it is a cookie that no script can read and that
  no other site's page makes the browser send.
"""

from __future__ import annotations

import secrets
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from aiohttp import web

MOST_OPEN = 8  # screens at once: each is a program of its own
TOKEN_BYTES = 32
NO_TOKEN = "open the whole address that 'vibecheck serve' printed, with its token"
OTHER_HOST = "this is reached only by the address that 'vibecheck serve' printed"
OTHER_ORIGIN = "another page's request is not taken"
FULL = f"{MOST_OPEN} screens are open already; close one"


@dataclass(frozen=True)
class Guard:
    """The address that was printed, and the secret in it.

    Parameters
    ----------
    url : scheme, host and port, without a path: "http://127.0.0.1:8000".
    token : the secret; a fresh one if not given.
    """

    url: str
    token: str = field(default_factory=lambda: secrets.token_urlsafe(TOKEN_BYTES), repr=False)

    @property
    def address(self) -> str:
        """What a person opens."""
        return f"{self.url}/?token={self.token}"

    @property
    def cookie(self) -> str:
        """The cookie's name; a browser shares cookies between ports, so the port is in it."""
        return f"vibecheck_{urlsplit(self.url).port or 80}"

    def foreign(self, headers: Mapping[str, str], *, websocket: bool) -> str:
        """Why a request does not come from the page that was printed, or ""."""
        if headers.get("Host", "").lower() != urlsplit(self.url).netloc.lower():
            return OTHER_HOST
        origin = headers.get("Origin")
        if (origin is None and websocket) or (origin is not None and origin != self.url):
            return OTHER_ORIGIN
        return ""

    def knows(self, secret: str | None) -> bool:
        """True for the token; takes as long for any other text of its length."""
        given = (secret or "").encode("utf-8", "replace")
        return secrets.compare_digest(given, self.token.encode("ascii"))

    def headers(self) -> dict[str, str]:
        """What every answer says: nothing from elsewhere, in no frame, kept nowhere."""
        socket = f"ws{self.url.removeprefix('http')}"
        policy = (
            f"default-src 'none'; script-src 'self' '{_own_script()}'; "
            "style-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src 'self'; "
            f"connect-src 'self' {socket}; base-uri 'none'; form-action 'none'; "
            "frame-ancestors 'none'"
        )
        return {
            "Content-Security-Policy": policy, "Referrer-Policy": "no-referrer",
            "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
            "Cache-Control": "no-store",
        }


@cache
def _own_script() -> str:
    """The one script that stands in the page itself, by its hash (W3C CSP level 2, 4.2.4)."""
    page = (Path(__file__).parent / "browser" / "page" / "app_index.html").read_text("utf-8")
    script = page.partition("<script>")[2].partition("</script>")[0]
    return f"sha256-{b64encode(sha256(script.encode()).digest()).decode()}"


def put_before(app: web.Application, guard: Guard) -> None:
    """Let every request of an application pass the guard."""
    from aiohttp import web

    opened = 0

    @web.middleware
    async def passed(request: web.Request, handler: object) -> web.StreamResponse:
        nonlocal opened
        websocket = request.headers.get("Upgrade", "").lower() == "websocket"
        refused = guard.foreign(request.headers, websocket=websocket)
        if refused:
            raise web.HTTPForbidden(text=refused)
        if "token" in request.query and guard.knows(request.query["token"]) and not websocket:
            raise _welcome(guard)
        if not guard.knows(request.cookies.get(guard.cookie)):
            raise web.HTTPForbidden(text=NO_TOKEN)
        if not websocket:
            return await handler(request)  # type: ignore[operator, no-any-return]
        if opened >= MOST_OPEN:
            raise web.HTTPServiceUnavailable(text=FULL)
        opened += 1
        try:
            return await handler(request)  # type: ignore[operator, no-any-return]
        finally:
            opened -= 1

    async def say_headers(_: web.Request, response: web.StreamResponse) -> None:
        response.headers.update(guard.headers())

    app.middlewares.append(passed)
    app.on_response_prepare.append(say_headers)


def _welcome(guard: Guard) -> web.HTTPException:
    """Keep the token in a cookie and take it out of the address line."""
    from aiohttp import web

    answer = web.HTTPSeeOther("/")
    answer.set_cookie(guard.cookie, guard.token, httponly=True, samesite="Strict", path="/")
    return answer

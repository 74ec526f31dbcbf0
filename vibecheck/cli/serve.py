"""The command `serve`: the wizard in a browser, on this machine alone unless told otherwise."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, UsageError, add_rules, command
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import AddOnMissingError, InputError

if TYPE_CHECKING:
    import socket

    from aiohttp import web

    from vibecheck.cli.guard import Guard

HERE = "127.0.0.1"
USUAL_PORT = 8000
MOST_PORT = 65535
SHUTDOWN_S = 2.0  # an open page must not keep Ctrl-C waiting
WARNING = (
    "WARNING: other machines can reach this address. Nothing is encrypted: whoever reads the "
    "traffic reads the token, and with it can use the wizard and all your cases. All who open the "
    "address share all visits: everyone sees, changes and finishes everyone's. Do this only in a "
    "network that you trust, and stop it as soon as you are done."
)


def add(commands: Commands) -> None:
    """The command."""
    parser = command(
        commands, "serve", run_serve, "Show the wizard in a browser (needs the extra 'serve')",
        "  vibecheck serve\n  vibecheck serve --port 0 visit.yaml",
    )
    parser.add_argument("case", metavar="CASE", type=Path, nargs="?", help="a case to open at once")
    parser.add_argument("--port", type=int, default=USUAL_PORT, metavar="N",
                        help=f"the port, 0 for any free one (usually {USUAL_PORT})")
    parser.add_argument("--host", default=HERE, metavar="ADDRESS",
                        help="the address to listen at (usually this machine alone)")
    parser.add_argument("--let-others-in", action="store_true",
                        help="allow an address that other machines can reach; all who can reach "
                             "it share all visits; read the warning")
    parser.add_argument("--cases", metavar="FOLDER", type=Path, default=argparse.SUPPRESS,
                        help="where visits are kept (else the user's data folder)")
    add_rules(parser)


def run_serve(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Serve until stopped."""
    from vibecheck.cli.guard import Guard

    only_here = is_loopback(chosen.host)
    check_address(chosen.host, chosen.port, allowed=chosen.let_others_in)
    _check_add_on()
    with _listening(chosen.host, chosen.port) as door:
        guard = Guard(url_of(chosen.host, door.getsockname()[1]))
        if not only_here:
            terminal.talk(WARNING)
        terminal.talk("Open this address in a browser; whoever has it can use the wizard and see "
                      "your cases. Ctrl-C stops.")
        terminal.lines([guard.address])
        terminal.out.flush()
        words = wizard_command(chosen.case, chosen.cases, chosen.rules)
        _serve(words, guard, door, terminal.complain)
    return ExitCode.FINE


def check_address(host: str, port: int, *, allowed: bool) -> None:
    """Refuse an address that more than this machine reaches, unless that was asked for.

    Raises
    ------
    UsageError : the address or the port cannot be taken.
    """
    if not 0 <= port <= MOST_PORT:
        raise UsageError(f"there is no port {port}", "--port", f"write 0 to {MOST_PORT}")
    if is_loopback(host):
        return
    if not host or host in ("*",) or _is_every_address(host):
        raise UsageError(
            f"'{host[:60]}' means every address of this machine", "--host",
            "name the one address to listen at",
        )
    if not allowed:
        raise UsageError(
            f"other machines can reach '{host[:60]}', and nothing is encrypted", "--host",
            f"leave it at {HERE}, or add --let-others-in in a network that you trust",
        )


def is_loopback(host: str) -> bool:
    """True for an address that only this machine reaches."""
    from ipaddress import ip_address

    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host.lower() == "localhost"


def _is_every_address(host: str) -> bool:
    from ipaddress import ip_address

    try:
        return ip_address(host).is_unspecified
    except ValueError:
        return False


def url_of(host: str, port: int) -> str:
    """Scheme, host and port as a browser writes them in Host and Origin."""
    name = f"[{host}]" if ":" in host else host.lower()
    return f"http://{name}" if port == 80 else f"http://{name}:{port}"


def wizard_command(case: Path | None, cases: Path | None, rules: Path | None) -> list[str]:
    """The program that is run for each screen, with its words."""
    words = [sys.executable, "-m", "vibecheck.cli.main", "wizard"]
    words += ["--cases", str(cases.absolute())] if cases else []
    words += ["--rules", str(rules.absolute())] if rules else []
    words += ["--", str(case.absolute())] if case else []
    return words


async def make_app(
    wizard: Sequence[str], guard: Guard, tell: Callable[[str], None]
) -> web.Application:
    """The application with the guard before it; `tell` says what goes wrong in it."""
    from vibecheck.cli.browser.screens import Screens
    from vibecheck.cli.guard import put_before

    app = await Screens(wizard, guard.url, tell).application()
    put_before(app, guard)
    return app


def _serve(
    wizard: Sequence[str], guard: Guard, door: socket.socket, tell: Callable[[str], None]
) -> None:
    from aiohttp import web

    from vibecheck.cli.browser.screens import quiet_libraries

    quiet_libraries(tell)
    web.run_app(make_app(wizard, guard, tell), sock=door, print=None, access_log=None,
                shutdown_timeout=SHUTDOWN_S)


def _listening(host: str, port: int) -> socket.socket:
    import socket

    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except (OSError, UnicodeError) as error:
        reason = getattr(error, "strerror", None) or error
        raise InputError(
            f"port {port} cannot be taken ({reason})", host[:60],
            "stop what uses it, or write --port 0 for any free one",
        ) from error


def _check_add_on() -> None:
    try:
        import textual_serve.server  # noqa: F401
    except ImportError as error:
        raise AddOnMissingError(
            "the wizard in a browser needs the package 'textual-serve'", "",
            "install it with: pip install 'vibecheck[serve]'",
        ) from error

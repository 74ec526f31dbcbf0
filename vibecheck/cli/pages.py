"""How a page leaves the program: its options, and its blocks as text or HTML, or data as JSON."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from vibecheck.cli.parser import Parser, UsageError
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import safe

if TYPE_CHECKING:
    from vibecheck.report.blocks import Block
    from vibecheck.report.wording import Wording

FORMATS = ("text", "html", "json")


def add_units(parser: Parser) -> None:
    """The reader's units."""
    parser.add_argument("--units", default="metric", metavar="UNITS",
                        help="metric or us, or units such as mm,mph or us,thou (else metric)")


def add_format(parser: Parser, *, data: bool = True) -> None:
    """The form of the page, and where it goes."""
    parser.add_argument("--format", choices=FORMATS if data else FORMATS[:2], default="text",
                        help="what the page is printed as (else text)")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path,
                        help="write it to this file instead; an old one is replaced")


def wording_of(chosen: argparse.Namespace) -> Wording:
    """The units asked for.

    Raises
    ------
    InputError : no such unit.
    """
    from vibecheck.metrology.units.choice import units_named
    from vibecheck.report.wording import Wording

    return Wording(units_named(chosen.units))


def give(
    chosen: argparse.Namespace, terminal: Terminal, title: str,
    page: Callable[[], Iterable[Block]], data: Callable[[], Any] | None = None,
    width: int | None = None,
) -> None:
    """Print a page, or write it to the file named, as text, as HTML, or its data as JSON."""
    form = "json" if getattr(chosen, "json", False) else chosen.format
    if form == "json" and data is not None:
        text = terminal.json_text(data())
    elif form == "html":
        from vibecheck.report.html import html_page

        text = html_page(page(), title)
    else:
        from vibecheck.report.text import text_lines

        lines = text_lines(page(), width or terminal.width)
        text = "\n".join(line.rstrip() for line in lines).strip("\n") + "\n"
    if chosen.output is None:
        terminal.raw(text)
    else:
        _write(chosen.output, text)
        terminal.talk(f"written to {safe(chosen.output)}")


def _write(path: Path, text: str) -> None:
    from vibecheck.casebook.atomic_write import write_whole

    try:
        write_whole(path, text.encode("utf-8"))
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        raise UsageError(f"the page is NOT written ({reason})", str(path),
                         "make room there, or name another file") from None

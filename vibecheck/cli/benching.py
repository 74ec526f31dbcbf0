"""What every bench command shares: its options, complaints by option, text, JSON, and --into."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from vibecheck.cli.case_writing import leading
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Parser, UsageError, add_by, add_json, add_rules
from vibecheck.cli.plots import plot_lines
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import InputError
from vibecheck.report.case_page import entry_text
from vibecheck.report.lines import heading, safe, wrapped

if TYPE_CHECKING:
    from vibecheck.casebook.case import Entry
    from vibecheck.session.benches.result import BenchView, Section
    from vibecheck.session.benches.wheel import WheelView
    from vibecheck.session.open_case import OpenCase

Typed = TypeVar("Typed")
OWN_FIELDS = ("corner", "surface")


def add_into(parser: Parser, surface: bool = False) -> None:
    """Options to add the result to a case, and those that all benches share."""
    parser.add_argument("--into", metavar="CASE", type=Path, help="add the result to this case")
    parser.add_argument("--corner", metavar="CORNER", help="where it was read: LF, RF, LR, RR")
    if surface:
        parser.add_argument("--surface", metavar="FINDING", default="",
                            help="what was read, such as bead_radial_inboard or assembly_radial")
    add_by(parser)
    add_json(parser)
    add_rules(parser)


def typed_fields(chosen: argparse.Namespace, kind: type[Typed], **others: Any) -> Typed:
    """The request of a bench from the options of the same names."""
    names = [name for name in kind.__struct_fields__  # type: ignore[attr-defined]
             if name not in others and getattr(chosen, name, None) is not None]
    return kind(**{name: getattr(chosen, name) for name in names}, **others)


@contextmanager
def option_names(kind: type[Any], renamed: Mapping[str, str] | None = None) -> Iterator[None]:
    """Name the option in a complaint that names a field of the request."""
    try:
        yield
    except InputError as error:
        name, comma, rest = error.where.partition(",")
        if name not in (*kind.__struct_fields__, *OWN_FIELDS):
            raise
        option = (renamed or {}).get(name, f"--{name.replace('_', '-')}")
        raise type(error)(error.what, f"{option}{comma}{rest}", error.instead) from None


def open_into(chosen: argparse.Namespace) -> OpenCase | None:
    """The case to add to, if one is named."""
    if chosen.into is None:
        for name in OWN_FIELDS:
            if getattr(chosen, name, ""):
                raise UsageError(f"--{name} says where a result goes", f"--{name}",
                                 "name the case with --into CASE")
        return None
    from vibecheck.session.open_case import OpenCase

    return OpenCase.open(chosen.into, chosen.rules)


def finish(
    chosen: argparse.Namespace, terminal: Terminal, kind: type[Any],
    calculate: Callable[[OpenCase | None], BenchView], renamed: Mapping[str, str] | None = None,
    draw: bool = True, wheel: Callable[[OpenCase], WheelView | None] | None = None,
) -> ExitCode:
    """Calculate, add to the case if one is named, and print; `draw` a plot of letters.

    `wheel` says what the case then holds of the whole wheel.
    Nothing is printed before all of it is done.
    """
    desk = open_into(chosen)
    with option_names(kind, renamed):
        result = calculate(desk)
        entries = _take_in(chosen, desk, result)
    whole = wheel(desk) if wheel is not None and desk is not None else None
    if chosen.json:
        terminal.json(as_data(result, entries, whole))
    else:
        terminal.lines(text_lines(result, terminal.width, draw))
        terminal.lines(wheel_lines(whole, terminal.width) if whole is not None else [])
    if desk is not None:
        for entry in entries:
            terminal.talk(f"{entry.id} {entry_text(entry)}")
        terminal.talk(leading(desk))
    return ExitCode.FINE


def check_into(chosen: argparse.Namespace, desk: OpenCase | None, kind: type[BenchView]) -> None:
    """Refuse a corner or surface that cannot be before any work is done."""
    if desk is not None:
        from vibecheck.session.benches.intake import check_place

        check_place(desk.library, kind, chosen.corner, getattr(chosen, "surface", ""))


def _take_in(
    chosen: argparse.Namespace, desk: OpenCase | None, result: BenchView
) -> tuple[Entry, ...]:
    if desk is None:
        return ()
    from vibecheck.session.benches.intake import take_in

    surface = getattr(chosen, "surface", "")
    return take_in(desk, result, chosen.corner, surface, by=chosen.by)


def wheel_lines(whole: WheelView, width: int) -> list[str]:
    """The verdict on a wheel from all of its bead surfaces in the case."""
    lines = heading(f"The wheel at {whole.corner} so far: {whole.verdict}", width)
    for sentence in whole.sentences:
        lines += wrapped(sentence, width, "  * ")
    return lines


def as_data(
    result: BenchView, entries: tuple[Entry, ...], whole: WheelView | None = None
) -> dict[str, Any]:
    """The result for programs, what was saved of it, and the wheel as the case has it."""
    from msgspec import to_builtins

    data: dict[str, Any] = to_builtins(result)
    data["saved"] = [
        {"entry": entry.id, "finding": entry.finding, "corner": entry.corner, "value": entry.value}
        for entry in entries
    ]
    data["wheel"] = to_builtins(whole)
    return data


def text_lines(result: BenchView, width: int, draw: bool = True) -> list[str]:
    """The result for people."""
    lines = wrapped(result.headline, width)
    for section in result.sections:
        lines += _section_lines(section, width)
    if result.plot is not None and draw:
        lines += plot_lines(result.plot, width)
    if result.notes:
        lines += heading("Mind", width)
        for note in result.notes:
            lines += wrapped(note, width, "  * ")
    if result.next:
        lines += heading("Next", width)
        for step in result.next:
            lines += wrapped(step, width, "  > ")
    return lines


def _section_lines(section: Section, width: int) -> list[str]:
    lines = heading(section.title, width) if section.title else []
    for line in section.lines:
        lines += wrapped(line, width, "  * " if section.bullets else "  ")
    return [safe(line) for line in lines]

"""The command `demo`: an invented case from the demo garage, ranked."""

from __future__ import annotations

import argparse
from pathlib import Path

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, add_units, give, wording_of
from vibecheck.cli.parser import Commands, UsageError, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import did_you_mean
from vibecheck.report.lines import safe, wrapped

FIRST = "bent_wheel_after_pothole"


def add(commands: Commands) -> None:
    """The command."""
    parser = command(
        commands, "demo", run_demo, "Rank an invented case from the demo garage",
        "  vibecheck demo\n  vibecheck demo --list\n  vibecheck demo NAME --copy play.yaml",
    )
    parser.add_argument("name", metavar="NAME", nargs="?", help="which demo case")
    parser.add_argument("--list", action="store_true", help="list the demo cases")
    parser.add_argument("--copy", metavar="FILE", type=Path, help="copy the case, to play with")
    add_units(parser)
    add_format(parser)
    add_rules(parser)
    add_json(parser)


def run_demo(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """List the demo cases, copy one, or rank one."""
    cases = demo_cases()
    if chosen.list:
        list_cases(cases, terminal)
        return ExitCode.FINE
    path = case_named(chosen.name, cases)
    if chosen.copy is not None:
        copy_case(path, chosen.copy)
        terminal.lines([safe(chosen.copy)])
        terminal.talk(f"try: vibecheck rank {chosen.copy}")
        return ExitCode.FINE
    rank_demo(path, chosen, terminal)
    return ExitCode.FINE


def rank_demo(path: Path, chosen: argparse.Namespace, terminal: Terminal) -> None:
    """The story of a case, then its ranking; of a set of wheels its sheet."""
    from vibecheck.casebook import store
    from vibecheck.report.blocks import Block, Paragraph
    from vibecheck.report.json_view import rank_data
    from vibecheck.report.rank_page import rank_page
    from vibecheck.session.open_case import OpenCase

    wording = wording_of(chosen)
    case = store.load(path).case
    story = (Paragraph(case.story), Paragraph(" ")) if case.story else ()
    if case.wheels is not None:
        from vibecheck.report.wheel_set_sheet import set_data, set_sheet
        from vibecheck.session.wheel_set import OpenSet

        bench = OpenSet.open(path, chosen.rules)
        give(chosen, terminal, case.title, lambda: (*story, *set_sheet(bench, wording)),
             lambda: set_data(bench))
    else:
        found = OpenCase.open(path, chosen.rules).diagnosis

        def page() -> tuple[Block, ...]:
            return (*story, *rank_page(found, wording))

        give(chosen, terminal, case.title, page, lambda: rank_data(found))
    if chosen.json or chosen.format == "json":
        return
    terminal.talk(f"\nThis is the invented case '{path.stem}'; 'vibecheck demo --list' names more.")


def demo_cases() -> dict[str, Path]:
    """The demo cases by name."""
    from vibecheck.knowledge.place import find_demo_cases

    return {path.stem: path for path in sorted(find_demo_cases().rglob("*.yaml"))}


def case_named(name: str | None, cases: dict[str, Path]) -> Path:
    """The demo case of that name, or the first to look at."""
    if name is None:
        return cases.get(FIRST) or next(iter(cases.values()))
    if name not in cases:
        hint = did_you_mean(name, cases, "see 'vibecheck demo --list'")
        raise UsageError(f"there is no demo case '{name[:60]}'", "vibecheck demo", hint)
    return cases[name]


def list_cases(cases: dict[str, Path], terminal: Terminal) -> None:
    """Names and titles."""
    from vibecheck.casebook import store

    for name, path in cases.items():
        title = store.load(path).case.title
        terminal.lines(wrapped(title, terminal.width, f"{name:<34} ", " " * 35))


def copy_case(path: Path, target: Path) -> None:
    """A copy of a demo case; an existing file is never overwritten."""
    from vibecheck.casebook import store

    store.create(target, store.load(path).case)

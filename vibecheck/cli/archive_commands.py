"""The commands over many visits: list and search them, share their index, hand one out."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, add_case, add_json, command
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import InputError

_FIELDS = ("title", "customer", "plate", "vin", "fault", "remedy", "outcome")
_DAY = re.compile(r"20[0-9]{2}-[0-9]{2}-[0-9]{2}")


def add(commands: Commands) -> None:
    """The commands."""
    cases = command(
        commands, "cases", run_cases, "List and search the visits of a folder",
        "  vibecheck cases\n"
        "  vibecheck cases --find 'shimmies winter' --since 2026-01-01\n"
        "  vibecheck cases /srv/visits --plate 'KLM 482' --json",
    )
    cases.add_argument("folder", nargs="?", type=Path, help="the folder (else the usual one)")
    cases.add_argument("--find", default="", metavar="WORDS", help="words anywhere in a visit")
    for name in _FIELDS:
        cases.add_argument(f"--{name}", default="", metavar="TEXT", help=f"part of the {name}")
    for name in ("since", "until"):
        cases.add_argument(f"--{name}", default="", metavar="DAY", help="a day, as 2026-03-02")
    cases.add_argument("--archived", action="store_true", help="also visits that were put away")
    cases.add_argument("--most", type=int, default=60, metavar="N", help="how many to show (60)")
    cases.add_argument("--in", dest="url", default="", metavar="URL",
                       help="search a shared index, filled by 'vibecheck archive', instead")
    add_json(cases)
    archive = command(
        commands, "archive", run_archive, "Bring a folder of visits into a shared index",
        "  vibecheck archive /srv/visits --to postgresql+psycopg://shop@db/visits",
    )
    archive.add_argument("folder", nargs="?", type=Path, help="the folder (else the usual one)")
    archive.add_argument("--to", dest="url", required=True, metavar="URL",
                         help="the database; its index is made where it is missing")
    export = command(
        commands, "export", run_export, "Copy a visit without the customer, to hand it out",
        "  vibecheck export visit.yaml --without-customer -o for_the_claim.yaml",
    )
    add_case(export)
    export.add_argument("--without-customer", action="store_true", required=True,
                        help="leave out name, phone, plate, odometer, VIN and all notes")
    export.add_argument("--with-notes", action="store_true",
                        help="keep notes, with what the customer's fields hold taken out of them")
    export.add_argument("-o", "--output", type=Path, required=True, metavar="FILE",
                        help="the new file; one that exists is never overwritten")


def run_cases(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """List what matches."""
    from vibecheck.casebook.archive import Archive, Search
    from vibecheck.report.text import text_lines
    from vibecheck.report.visits import visits_page

    if chosen.most < 1:
        raise InputError(f"{chosen.most} visits cannot be shown", "--most", "write 1 or more")
    wanted = Search(
        words=chosen.find, archived=chosen.archived, since=_day(chosen, "since"),
        until=_day(chosen, "until"), **{name: getattr(chosen, name) for name in _FIELDS},
    )
    folder = None if chosen.url and chosen.folder is None else _folder(chosen.folder)
    with Archive(chosen.url) if chosen.url else Archive.beside(_folder(chosen.folder)) as archive:
        if not chosen.url and folder is not None:
            archive.refresh(folder)
        found = archive.search(wanted, folder, chosen.most)
        every = archive.count(folder)
    if chosen.json:
        terminal.json({"visits": [_plain(visit) for visit in found], "of": every})
    else:
        terminal.lines(text_lines(visits_page(found, every), terminal.width))
    return ExitCode.FINE


def run_archive(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Fill a shared index from a folder."""
    from vibecheck.casebook.archive import Archive

    folder = _folder(chosen.folder)
    with Archive(chosen.url) as archive:
        done = archive.refresh(folder)
        terminal.talk(f"{done.read} read, {done.gone} gone; "
                      f"{archive.count(folder)} visits of this folder in the index")  # fmt: skip
    return ExitCode.FINE


def run_export(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Write the copy."""
    from vibecheck.casebook import store
    from vibecheck.casebook.without_customer import without_customer

    case = store.load(chosen.case).case
    store.create(chosen.output, without_customer(case, notes=chosen.with_notes))
    terminal.lines([str(chosen.output)])
    return ExitCode.FINE


def _folder(given: Path | None) -> Path:
    from vibecheck.casebook.folders import usual_folder

    return usual_folder() if given is None else given


def _day(chosen: argparse.Namespace, name: str) -> str:
    text = str(getattr(chosen, name))
    if text and not _DAY.fullmatch(text):
        raise InputError(f"'{text[:40]}' is no day", f"--{name}", "write it as 2026-03-02")
    return text


def _plain(visit: object) -> dict[str, object]:
    from dataclasses import asdict

    return asdict(visit)  # type: ignore[call-overload, no-any-return]

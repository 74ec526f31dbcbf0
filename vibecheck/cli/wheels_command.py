"""The command `wheels`: a set of wheels without a car, on screen or from the command line."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.casebook.case import DialName, WheelState, YesNo
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, add_units, give, wording_of
from vibecheck.cli.parser import Commands, UsageError, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import InputError

if TYPE_CHECKING:
    from vibecheck.session.wheel_set import OpenSet

_SIDES = ("inboard", "outboard")
_SURFACES = tuple(f"{side}.{way}" for side in _SIDES for way in ("radial", "lateral"))
_LOOK = "look"
_HELP = """\
Each READING is WHEEL.WHAT=VALUE, with WHEEL the number of the wheel or its name:
  2.inboard='14 18'         radial and lateral of one slow turn, high minus low
  2.outboard.radial=119     one surface
  2.outboard.radial='9/-5'  its high and its low
  2.outboard.radial='0 .05 .13 .21 .24 .22 .15 .06 ...'
                            6 or more places round the wheel, clockwise from the
                            valve; joined with the high and low before them
  2.look=dent               clean, lip, dent, repaired or cracked
A bare number counts as --dial says. All of it is saved, or nothing."""


def add(commands: Commands) -> None:
    """The command."""
    from typing import get_args

    parser = command(
        commands, "wheels", run_wheels, "Measure wheels without a car: one to eight, tires off",
        "  vibecheck wheels set.yaml                       the table, in a terminal\n"
        "  vibecheck wheels set.yaml --state new --shipped yes --dial '0.01 mm' \\\n"
        "      1.inboard='14 18' 1.outboard='11 12' 1.look=clean\n"
        "  vibecheck wheels set.yaml --sheet set --format html -o set.html\n"
        "  vibecheck wheels set.yaml --sheet claim --wheel 2 --photo dent.jpg\n\n" + _HELP,
    )
    parser.add_argument("set", metavar="SET", type=Path, help="its file; begun where it is missing")
    parser.add_argument("readings", metavar="READING", nargs="*", help="see below")
    parser.add_argument("--names", metavar="NAMES", help="of the wheels, with commas (1, 2, 3, 4)")
    parser.add_argument("--title", help="name of the set")
    parser.add_argument("--state", choices=[each for each in get_args(WheelState) if each],
                        help="whether the wheels are new or used")
    parser.add_argument("--shipped", choices=[each for each in get_args(YesNo) if each],
                        help="whether a carrier brought them")
    parser.add_argument("--dial", choices=get_args(DialName),
                        help="what a bare number counts in (mm)")
    parser.add_argument("--by", help="who measures")
    parser.add_argument("--gauge", help="with what")
    for way in ("radial", "lateral"):
        parser.add_argument(f"--limit-{way}", metavar="SIZE",
                            help=f"the seller's or maker's own {way} limit")
    parser.add_argument("--afresh", action="store_true",
                        help="places round the wheel were read after setting up anew")
    parser.add_argument("--undo", action="store_true", help="take back the reading taken last")
    parser.add_argument("--sheet", choices=("set", "claim"), help="the sheet to print")
    parser.add_argument("--wheel", metavar="WHEEL", help="the wheel of the claim")
    parser.add_argument("--photo", metavar="FILE", type=Path, action="append", default=[],
                        help="a picture that belongs to the claim; its name and hash are stated")
    add_units(parser)
    add_format(parser)
    add_json(parser)
    add_rules(parser)


def run_wheels(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Take what was said, then print, or open the table."""
    bench = _bench(chosen)
    said = _take_all(bench, chosen)
    if bench.path is None:  # a new set, once nothing of it was refused
        bench.keep(chosen.set)
    asked = chosen.sheet or chosen.json or chosen.output or chosen.format != "text"
    if not said and not asked:
        from vibecheck.cli.wizard import can_show, open_wizard

        if can_show():
            terminal.out.flush()
            return open_wizard(None, chosen.rules, chosen.set)
    _print(bench, chosen, terminal)
    return ExitCode.FINE


def _bench(chosen: argparse.Namespace) -> OpenSet:
    """The set in the file; one in memory where the file is missing."""
    from vibecheck.session.wheel_set import OpenSet

    if chosen.set.exists():
        return OpenSet.open(chosen.set, chosen.rules)
    if chosen.sheet or chosen.undo:
        return OpenSet.open(chosen.set, chosen.rules)  # says that there is none
    return OpenSet.new(
        None, title=chosen.title or "", names=_names(chosen), state=chosen.state or "",
        shipped=chosen.shipped or "", dial=chosen.dial or "mm", by=chosen.by or "",
        gauge=chosen.gauge or "", limits=_limits(chosen), rules=chosen.rules,
    )


def _names(chosen: argparse.Namespace) -> Sequence[str]:
    return [each.strip() for each in chosen.names.split(",")] if chosen.names is not None else ()


def _limits(chosen: argparse.Namespace) -> dict[str, str]:
    given = {"wheel_bead_radial": chosen.limit_radial, "wheel_bead_lateral": chosen.limit_lateral}
    return {name: size for name, size in given.items() if size is not None}


def _take_all(bench: OpenSet, chosen: argparse.Namespace) -> bool:
    """Everything said on the command line; True if there was something."""
    words = {name: getattr(chosen, name) for name in ("state", "shipped", "dial", "by", "gauge")
             if getattr(chosen, name) is not None}
    described = bool(words or chosen.title or chosen.names is not None or _limits(chosen))
    with bench.together() if chosen.readings else nullcontext():
        if described:
            bench.set_all(
                title=chosen.title or bench.case.title,
                names=_names(chosen) or bench.about.names,
                limits={**bench.case.limits, **_limits(chosen)}, **words)
        if chosen.undo and not bench.undo():
            raise UsageError("there is no reading to take back", str(chosen.set))
        for text in chosen.readings:
            _take(bench, text, afresh=chosen.afresh)
    return described or chosen.undo or bool(chosen.readings)


def _take(bench: OpenSet, text: str, *, afresh: bool) -> None:
    """One WHEEL.WHAT=VALUE."""
    from vibecheck.session.wheel_table import Look

    name, equals, value = text.partition("=")
    wheel, dot, what = name.strip().partition(".")
    if not (equals and dot and value.strip()):
        raise InputError(f"'{text[:60]}' is no reading of a wheel", "",
                         "write for example 2.inboard='14 18' or 2.look=dent")
    key = key_named(bench, wheel)
    if what == _LOOK:
        if value.strip() not in list(Look):
            raise InputError(f"'{value[:40]}' is no answer to a look", name,
                             f"write one of {', '.join(Look)}")
        bench.see(key, Look(value.strip()))
    elif what in (*_SIDES, *_SURFACES):
        _read(bench, key, what, value, name, afresh=afresh)
    else:
        raise InputError(f"'{what[:40]}' is nothing to read of a wheel", name,
                         f"write one of {', '.join((*_SIDES, *_SURFACES, _LOOK))}")


def _read(
    bench: OpenSet, key: str, what: str, value: str, where: str, *, afresh: bool
) -> None:
    from vibecheck.calculators.wheel_row import slow_turn, split_row
    from vibecheck.metrology.runout.turn_list import FEWEST_READINGS
    from vibecheck.metrology.runout.wheel_verdict import Surface

    side, _, way = what.partition(".")
    surfaces = [Surface(f"{side}_{each}") for each in ((way,) if way else ("radial", "lateral"))]
    pieces = split_row(value)
    if way and len(pieces) >= FEWEST_READINGS:
        _read_round(bench, key, surfaces[0], pieces, where, afresh=afresh)
        return
    if len(pieces) > len(surfaces):
        raise InputError(
            f"{len(pieces)} values for {len(surfaces)}", where,
            "write high minus low of each surface, or of one surface 6 places or more")
    bench.take(key, {
        surface: slow_turn(piece, bench.dial, bench.limit_mm(surface), where)
        for surface, piece in zip(surfaces, pieces, strict=False)})


def _read_round(
    bench: OpenSet, key: str, surface: object, pieces: Sequence[str], where: str, *, afresh: bool
) -> None:
    from vibecheck.calculators.wheel_row import place_text, turn_texts
    from vibecheck.metrology.runout.wheel_verdict import Surface

    assert isinstance(surface, Surface)
    kept = [place_text(piece, bench.dial, where) for piece in pieces]
    angles = [f"{360.0 * place / len(kept):.6g}" for place in range(len(kept))]
    slow = {} if afresh else bench.slow_turn_of(key, surface)
    bench.take(key, {surface: turn_texts(kept, angles, "", slow)}, same_setup=bool(slow))


def key_named(bench: OpenSet, wheel: str) -> str:
    """The number of a wheel that is named by it or by its name.

    Raises
    ------
    InputError : no such wheel.
    """
    plain = wheel.strip().lower()
    for key, name in bench.names.items():
        if plain == name.lower():
            return key
    if plain in bench.names:
        return plain
    raise InputError(f"there is no wheel '{wheel[:40]}'", "",
                     f"write one of {', '.join(bench.names.values())}")


def _print(bench: OpenSet, chosen: argparse.Namespace, terminal: Terminal) -> None:
    from vibecheck.casebook.photos import photo_of
    from vibecheck.report.wheel_claims import wheel_claim
    from vibecheck.report.wheel_set_sheet import set_data, set_sheet, table_page

    wording = wording_of(chosen)
    title = bench.case.title
    if chosen.sheet == "claim":
        if chosen.wheel is None:
            raise UsageError("a claim is for one wheel", "--wheel",
                             f"write one of {', '.join(bench.names.values())}")
        key = key_named(bench, chosen.wheel)
        page = wheel_claim(bench, key, wording, [photo_of(each) for each in chosen.photo])
        title = f"{title} - claim for wheel {bench.names[key]}"
    else:
        page = (set_sheet if chosen.sheet else table_page)(bench, wording)
    give(chosen, terminal, title, lambda: page, lambda: set_data(bench))

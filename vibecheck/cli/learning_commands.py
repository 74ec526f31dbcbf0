"""The commands that look back over many visits: what they teach, and a shop's own figures."""

from __future__ import annotations

import argparse
from pathlib import Path

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, give
from vibecheck.cli.parser import Commands, Parser, UsageError, add_json, add_rules, command
from vibecheck.cli.rule_folders import library_of
from vibecheck.cli.terminal import Terminal


def add(commands: Commands) -> None:
    """The commands."""
    learn = command(
        commands, "learn", run_learn,
        "Propose rates and strengths from confirmed outcomes; nothing is applied",
        "  vibecheck learn\n"
        "  vibecheck learn /srv/visits -o counted.yaml\n"
        "  vibecheck rank visit.yaml --rules counted.yaml",
    )
    _add_folder(learn)
    learn.add_argument("-o", "--output", type=Path, metavar="FILE",
                       help="write the proposals as rules (.yaml); an old file is replaced")
    shop = command(
        commands, "shop", run_shop,
        "A shop's own figures: faults behind complaints, remedies that held, minutes",
        "  vibecheck shop\n"
        "  vibecheck shop /srv/visits --format html -o figures.html",
    )
    _add_folder(shop)
    add_format(shop)


def _add_folder(parser: Parser) -> None:
    parser.add_argument("folder", nargs="?", type=Path,
                        help="the folder of visits (else the usual one)")
    parser.add_argument("--with-invented", action="store_true",
                        help="count visits that are marked as invented, too, for practice")
    add_json(parser)
    add_rules(parser)


def run_learn(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the proposals, and write them where asked."""
    from vibecheck.casebook.atomic_write import write_whole
    from vibecheck.report.learning_page import learning_data, learning_page
    from vibecheck.report.lines import safe
    from vibecheck.report.overlay import overlay_text
    from vibecheck.report.text import text_lines
    from vibecheck.session.learning import learn
    from vibecheck.session.outcomes import read_visits

    if chosen.output is not None and chosen.output.suffix != ".yaml":
        raise UsageError("rule files end in .yaml", str(chosen.output), "write for example "
                         "-o counted.yaml")  # fmt: skip
    library = library_of(chosen)
    visits = read_visits(_folder(chosen), library, invented=chosen.with_invented)
    learned = learn(library, visits.confirmed)
    if chosen.output is not None:
        try:
            write_whole(chosen.output, overlay_text(library, learned).encode("utf-8"))
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else error
            raise UsageError(f"the proposals are NOT written ({reason})", str(chosen.output),
                             "make room there, or name another file") from None
        terminal.talk(f"written to {safe(chosen.output)}")
    if chosen.json:
        terminal.json(learning_data(visits, learned))
    else:
        terminal.lines(text_lines(learning_page(library, visits, learned), terminal.width))
    return ExitCode.FINE


def run_shop(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print a shop's figures."""
    from vibecheck.report.shop_page import shop_data, shop_page
    from vibecheck.session.outcomes import read_visits
    from vibecheck.session.shop import shop_of

    library = library_of(chosen)
    shop = shop_of(library, read_visits(_folder(chosen), library, invented=chosen.with_invented))
    give(chosen, terminal, "The shop's visits", lambda: shop_page(library, shop),
         lambda: shop_data(shop))  # fmt: skip
    return ExitCode.FINE


def _folder(chosen: argparse.Namespace) -> Path:
    from vibecheck.casebook.folders import usual_folder

    return usual_folder() if chosen.folder is None else Path(chosen.folder)

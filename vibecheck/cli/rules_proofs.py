"""What tries the rules out: rules prove, and the simulated visits of rules check."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.rule_folders import folders
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import safe

if TYPE_CHECKING:
    from vibecheck.knowledge.library import Library


def run_prove(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Every proof that does not hold, and how many there are."""
    from vibecheck.knowledge.loader import load
    from vibecheck.knowledge.proofs import FOLDER, read_proofs
    from vibecheck.session.proving import try_proofs

    folder, overlays = folders(chosen.rules)
    library = load(folder, overlays)
    tried = try_proofs(library, read_proofs(folder / FOLDER, library))
    failed = [each for each in tried if not each.holds]
    terminal.lines(safe(each) for each in failed)
    terminal.lines([f"{len(tried)} proofs, {len(failed)} do not hold"])
    return ExitCode.RULES_FAULTY if failed else ExitCode.FINE


def name_unasked(library: Library, terminal: Terminal) -> None:
    """Advice on checks that none of the simulated visits, one for every cause, asks for."""
    from vibecheck.session.rule_simulation import simulate

    tally = simulate(library)
    for name in tally.never:
        origin = library.origins["checks", name]
        what = f"check {name}: none of {tally.visits} simulated visits asked for it"
        terminal.lines([safe(f"advice: {origin.file}:{origin.line}: {what}")])
    terminal.talk(f"{tally.visits} simulated visits asked for {tally.steps} checks")

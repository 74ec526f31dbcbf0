"""The command that tries the proofs beside the rules: rules prove."""

from __future__ import annotations

import argparse

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import safe


def run_prove(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Every proof that does not hold, and how many there are."""
    from vibecheck.cli.rules_commands import folders
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

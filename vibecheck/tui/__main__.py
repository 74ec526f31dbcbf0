"""Opens the wizard: python -m vibecheck.tui [--cases FOLDER] [--rules FOLDER] [CASE]."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from vibecheck.tui.app import run


def main() -> int:
    """Read the options and run the wizard."""
    parser = argparse.ArgumentParser(prog="python -m vibecheck.tui")
    parser.add_argument("case", nargs="?", type=Path, metavar="CASE", help="a case file to open")
    parser.add_argument("--cases", type=Path, metavar="FOLDER", help="the folder for visits")
    parser.add_argument("--rules", type=Path, metavar="FOLDER", help="a folder of rules to use")
    chosen = parser.parse_args()
    return run(chosen.cases, chosen.rules, chosen.case)


if __name__ == "__main__":
    sys.exit(main())

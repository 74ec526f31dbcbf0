"""Running the command line in the same process, with small invented rules.

Lets the test modules of this folder import `hand_made` and `cli_helpers`.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from vibecheck.cli.main import main

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
SMALL_RULES = HERE.parent / "knowledge" / "small_rules"

NEED_RULES = {"rank", "next", "why", "new", "answer", "retract", "note", "facts", "findings",
              "rules"}


@dataclass(frozen=True)
class Ran:
    """How a command ended and what it wrote."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """The output as JSON."""
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command; those that need rules get the small ones."""

    def ran(*arguments: str | Path, rules: Path | None = SMALL_RULES) -> Ran:
        typed = [str(argument) for argument in arguments]
        if rules is not None and typed and typed[0] in NEED_RULES:
            typed += ["--rules", str(rules)]
        capsys.readouterr()
        code = main(typed)
        captured = capsys.readouterr()
        return Ran(code, captured.out, captured.err)

    return ran


@pytest.fixture
def visit(tmp_path: Path, run: Run) -> Path:
    """A case at the bay, begun by the command itself."""
    path = tmp_path / "visit.yaml"
    begun = run("new", path, "drive=rear", "--title", "a [/red] van")
    assert 0 == begun.code, begun.err
    return path

"""The session in the README, typed in again: it must still run and still say the same.

Numbers, bars and ids may differ a little as the rules grow; the words may not. To renew the block:
`python tests/test_readme_session.py` in the folder of the project.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
BLOCK = re.compile(r"(## A session\n.*?```console\n)(.*?)(```)", re.DOTALL)


def session_of(readme: str) -> list[tuple[str, str]]:
    """Every command of the session with its output."""
    found = BLOCK.search(readme)
    assert found is not None
    parts = re.split(r"^\$ ", found[2], flags=re.MULTILINE)[1:]
    return [(part.split("\n", 1)[0], part.split("\n", 1)[1]) for part in parts]


def typed_again(commands: list[str], folder: Path) -> list[str]:
    """What each command prints now, with `| head -n N` done here."""
    said = []
    for command in commands:
        words, _, lines = command.partition(" | head -n ")
        arguments = [sys.executable, "-m", "vibecheck.cli.main", *shlex.split(words)[1:]]
        done = subprocess.run(
            arguments, cwd=folder, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}, check=True,
        )
        kept = done.stdout.splitlines(keepends=True)
        said.append("".join(kept[: int(lines)] if lines else kept))
    return said


def words_of(text: str) -> list[str]:
    """The words of an output, without ids, numbers and bars."""
    plain = re.sub(r"^[0-9a-z]{11} ", "", text, flags=re.MULTILINE)
    return re.findall(r"[A-Za-z_]{3,}", plain)


def test_the_readme_session_runs_and_says_the_same(tmp_path: Path) -> None:
    session = session_of(README.read_text(encoding="utf-8"))
    said = typed_again([command for command, _ in session], tmp_path)

    assert len(session) >= 4
    assert any(command.startswith("vibecheck rank") for command, _ in session)
    for (command, written), now in zip(session, said, strict=True):
        assert words_of(written) == words_of(now), command


def renew() -> None:
    """Write what the commands print now into the README."""
    readme = README.read_text(encoding="utf-8")
    commands = [command for command, _ in session_of(readme)]
    with tempfile.TemporaryDirectory() as folder:
        said = typed_again(commands, Path(folder))
    block = "".join(f"$ {command}\n{text}" for command, text in zip(commands, said, strict=True))
    README.write_text(BLOCK.sub(lambda found: found[1] + block + found[3], readme), "utf-8")


if __name__ == "__main__":
    renew()

"""docs/first_case.md typed in again: the same commands say the same things, and they are true.

What may differ from run to run is left out: entry ids, and the ranking's numbers and bars, which
move a little as the rules grow. To renew the outputs: `python tests/test_first_case.py` in the
folder of the project.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from first_case_truth import BENT, CORNERS, bead_text, tread_text  # noqa: E402

from vibecheck.cli.main import main  # noqa: E402

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "first_case.md"
BLOCK = re.compile(r"(?<=```console\n).*?(?=```)", re.DOTALL)
CLOCKINGS = ((0, 0), (180, 0), (0, 144))


def steps_of(block: str) -> list[tuple[str, str]]:
    """Each command of a block, continued lines and all, with the output under it."""
    found = []
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        lines = part.split("\n")
        last = next(place for place, line in enumerate(lines) if not line.endswith("\\"))
        found.append(("\n".join(lines[: last + 1]), "\n".join(lines[last + 1:])))
    return found


def session() -> list[tuple[str, str]]:
    """Every command of the page with its output."""
    text = PAGE.read_text(encoding="utf-8")
    return [step for block in BLOCK.findall(text) for step in steps_of(block)]


def unbroken() -> str:
    """The page with every command on one line."""
    return " ".join(PAGE.read_text(encoding="utf-8").replace("\\\n", " ").split())


def typed(command: str, folder: Path) -> str:
    """What a command prints, both streams as they come; without a process where none is needed."""
    words = shlex.split(command.replace("\\\n", " "))
    if "|" in words:
        return typed_in_a_shell(command, folder)
    said = io.StringIO()
    with (pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(said),
          contextlib.redirect_stderr(said)):
        patch.chdir(folder)
        patch.setenv("XDG_CONFIG_HOME", str(folder))
        assert 0 == main(words[1:]), said.getvalue()
    return said.getvalue()


def typed_in_a_shell(command: str, folder: Path) -> str:
    """What a command prints in a shell."""
    shim = folder / "bin" / "vibecheck"
    if not shim.exists():
        shim.parent.mkdir(exist_ok=True)
        shim.write_text(f"#!/bin/sh\nexec '{sys.executable}' -m vibecheck.cli.main \"$@\"\n")
        shim.chmod(0o755)
    env = {**os.environ, "PATH": f"{shim.parent}:{os.environ['PATH']}", "PYTHONPATH": str(ROOT),
           "PYTHONUNBUFFERED": "1", "XDG_CONFIG_HOME": str(folder)}
    done = subprocess.run(
        ["bash", "-c", command], cwd=folder, env=env, text=True, check=True, timeout=60,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )
    return done.stdout


def steady(text: str) -> str:
    """An output without what may differ: ids, and percentages with their bars."""
    text = re.sub(r"^[0-9a-z]{11} ", "ID ", text, flags=re.MULTILINE)
    text = re.sub(r"\[[#.]{20}\]", "[]", text)
    return re.sub(r"[<> ]{0,2}\d+%", " N%", text)


@pytest.fixture(scope="module")
def replayed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[tuple[str, str, str]]]:
    """The folder, and each command with the output written and the output now."""
    folder = tmp_path_factory.mktemp("first")
    return folder, [(command, written, typed(command, folder)) for command, written in session()]


def test_the_page_says_what_the_program_says(
    replayed: tuple[Path, list[tuple[str, str, str]]]
) -> None:
    assert len(replayed[1]) >= 10
    for command, written, now in replayed[1]:
        assert steady(written).split() == steady(now).split(), command


def test_a_shell_gets_the_same(
    tmp_path: Path, replayed: tuple[Path, list[tuple[str, str, str]]]
) -> None:
    """A command that keeps nothing, by a process of its own."""
    command, _, now = replayed[1][-1]

    assert command.startswith("vibecheck runout") and "--into" not in command
    assert now == typed_in_a_shell(command, tmp_path)


def test_the_readings_are_what_a_gauge_reads_on_this_car() -> None:
    """Every list on the page comes from the forward model of the car described in it."""
    page = unbroken()
    for corner in CORNERS:
        for tire, wheel in CLOCKINGS:
            assert f"'tire {tire}, wheel {wheel}: {tread_text(corner, tire, wheel)}'" in page
    assert f'"{bead_text()}"' in page


def found_at(corner: str, folder: Path) -> dict[str, Any]:
    """The stack's result for a corner, as the page types it."""
    command = next(command for command, _ in session()
                   if command.startswith("vibecheck stack") and f"--corner {corner}" in command)
    words = command.partition(" --into")[0]
    result: dict[str, Any] = json.loads(typed(f"{words} --json", folder))
    return result


@pytest.mark.parametrize(("corner", "leads"), [("LF", "tire"), ("RF", "wheel"), ("LR", "hub")])
def test_three_clockings_give_back_what_was_put_in(
    tmp_path: Path, corner: str, leads: str
) -> None:
    """Bent wheel, eccentric tire and hub runout, each within its own stated uncertainty."""
    found = found_at(corner, tmp_path)

    parts = found["separation"]["parts"]
    assert {"tire", "wheel", "hub"} == {part["part"] for part in parts}
    for part in parts:
        true = getattr(CORNERS[corner], part["part"])
        assert abs(2.0 * part["vector"]["amplitude"] - true.tir) <= 2.0 * part["uncertainty"]
    assert leads == max(parts, key=lambda part: float(part["vector"]["amplitude"]))["part"]


def test_the_predicted_match_is_what_the_forward_model_gives(tmp_path: Path) -> None:
    turn = found_at("LF", tmp_path)["tire_turn"]
    after = CORNERS["LF"].total(turn["turn_deg"], 0.0).tir
    best = min(CORNERS["LF"].total(float(angle), 0.0).tir for angle in range(360))
    uncertainty = 2.0 * turn["uncertainty_after"]  # high to low, as the values it is held against

    assert abs(after - 2.0 * turn["after"]["amplitude"]) <= uncertainty
    assert after <= best + uncertainty
    assert f"'{tread_text('LF', round(turn['turn_deg']), 0.0)}'" in unbroken()
    high = after / 2.0
    assert f"--high '{high:.2f} mm' --low '{-high:.2f} mm'" in unbroken()


def test_the_faults_lead_and_the_bend_is_found(
    replayed: tuple[Path, list[tuple[str, str, str]]]
) -> None:
    ranked = json.loads(typed("vibecheck rank first.yaml --json", replayed[0]))
    first = {(each["cause"], each["corner"]) for each in ranked["ranking"][:3]}

    # radial runout that stays with the hub: a pilot off center (a face would tilt the wheel)
    assert {("bent_wheel", "RF"), ("tire_radial_runout", "LF"), ("hub_pilot_off", "LR")} == first
    assert BENT.tir_mm > 0.5


def renew() -> None:
    """Type everything in again and write what is said now."""
    text = PAGE.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as name:
        fresh = BLOCK.sub(
            lambda block: "".join(f"$ {command}\n{typed_in_a_shell(command, Path(name))}"
                                  for command, _ in steps_of(block[0])), text)
    PAGE.write_text(fresh, encoding="utf-8")


if __name__ == "__main__":
    renew()

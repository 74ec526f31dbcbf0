"""The README's commands, the project's metadata, and `.ci/run` agree with one another."""

from __future__ import annotations

import re
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def block_after(heading: str) -> str:
    """The first block of shell after a heading of the README."""
    after = README.split(f"\n{heading}\n", 1)[1]
    found = re.search(r"```sh\n(.*?)```", after, re.DOTALL)
    assert found is not None
    return found[1].strip()


def test_the_readme_opens_with_the_job_and_then_the_two_commands():
    headings = re.findall(r"^#+ .*$", README, re.MULTILINE)

    assert ["# vibecheck", "## Try it", "## Run the tests", "## A session"] == headings[:4]
    assert len(README.split("\n## Try it")[0].split()) > 60


@pytest.mark.parametrize("heading", ["## Try it", "## Run the tests"])
def test_each_command_makes_its_own_environment(heading: str):
    command = block_after(heading)
    folder = re.match(r"python3 -m venv (\S+) && ", command)

    assert folder is not None
    assert f"{folder[1]}/bin/pip install" in command
    assert not any(line.startswith("cd ") for line in command.split("\n"))
    ignored = subprocess.run(["git", "check-ignore", "-q", f"{folder[1]}/bin"], cwd=ROOT)
    assert ignored.returncode in (0, 128)  # 128: not a clone, as in an unpacked archive


def test_the_test_command_installs_every_extra_and_ends_with_pytest():
    command = block_after("## Run the tests")
    extras = PROJECT["project"]["optional-dependencies"]

    assert f"-e '.[{','.join(sorted(extras))}]'" in command
    assert command.endswith("/bin/python -m pytest -n auto --dist loadfile")


def test_ci_takes_the_test_command_from_the_readme():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")

    assert "readme_block '## Run the tests'" in script
    more = [line for line in script.splitlines() if "pytest" in line]
    one = r'VIBECHECK_[A-Z]+=\d+ "\$bin/python" -m pytest (-q|-n auto) tests/\S+'
    assert all(re.fullmatch(one, line) for line in more)  # one part, never the suite
    found = subprocess.run(
        ["bash", "-c", f"{script[script.index('readme_block() {'):].split('scratch=')[0]}\n"
                       "readme_block '## Run the tests'"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )
    assert block_after("## Run the tests") == found.stdout.strip()


def test_every_dependency_says_why():
    lines = (ROOT / "pyproject.toml").read_text(encoding="utf-8").split("\n")
    wanted = [line for line in lines if re.match(r'    "[a-zA-Z-]+[><=][><=,.0-9]*",', line)]

    assert len(wanted) >= 10
    assert [] == [line for line in wanted if "# " not in line and "types-" not in line]


def test_rules_and_demo_cases_travel_with_the_wheel():
    wheel = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]

    assert {"rules": "vibecheck/data/rules", "demo_cases": "vibecheck/data/demo_cases"} == wheel

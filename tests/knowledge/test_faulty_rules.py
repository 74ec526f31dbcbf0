"""Every file in tests/faulty_rules has one fault, named by the file and by the comment

    # fault: words of the message

on the line it must be reported at. Each is read as an overlay of the small rules.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from vibecheck.errors import RuleFault

FAULTY = sorted((Path(__file__).parent.parent / "faulty_rules").glob("*.yaml"))
SMALL = Path(__file__).parent / "small_rules"
Faults = Callable[..., list[RuleFault]]
MARK = "# fault: "


def expected(path: Path) -> tuple[int, str]:
    marked = [
        (number, line.split(MARK)[1])
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if MARK in line
    ]
    assert 1 == len(marked)
    return marked[0]


def test_there_are_faulty_rules() -> None:
    assert len(FAULTY) > 90


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_the_one_fault_is_reported_at_its_line(
    path: Path, tmp_path: Path, faults_of: Faults
) -> None:
    line, words = expected(path)
    shutil.copy(path, tmp_path)
    found: list[RuleFault] = faults_of(SMALL, tmp_path)

    assert [(path.name, line)] == [(Path(fault.file).name, fault.line) for fault in found]
    assert words in str(found[0])


def test_all_faults_of_many_files_are_listed_in_one_run(tmp_path: Path, faults_of: Faults) -> None:
    """Faults of YAML, shape, names and style side by side, and none of them twice."""
    names = ("repeated_key", "not_a_word", "unknown_tool", "empty_band")
    for name in names:
        shutil.copy(FAULTY[0].parent / f"{name}.yaml", tmp_path)
    text = (tmp_path / "not_a_word.yaml").read_text(encoding="utf-8")
    text = text.replace("bent_hoop", "other_hoop")
    (tmp_path / "not_a_word.yaml").write_text(text, encoding="utf-8")
    found: list[RuleFault] = faults_of(SMALL, tmp_path)

    wanted = sorted((f"{name}.yaml", expected(tmp_path / f"{name}.yaml")[0]) for name in names)
    assert wanted == [(Path(fault.file).name, fault.line) for fault in found]


def test_a_file_cut_short_does_not_make_everything_it_held_a_fault(
    small_rules: Path, faults_of: Faults
) -> None:
    path = small_rules / "basics.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "\n  - [\n", encoding="utf-8")

    assert ["basics.yaml"] == [Path(fault.file).name for fault in faults_of(small_rules)]

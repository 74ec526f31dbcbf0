"""Every file in tests/faulty_rules/laws breaks one law, at the line with the comment "fault:"."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from vibecheck.knowledge.book import Issue, Weight
from vibecheck.knowledge.loader import examine

SMALL = Path(__file__).parent / "small_rules"
BROKEN = sorted((Path(__file__).parent.parent / "faulty_rules" / "laws").glob("*.yaml"))
MARK = "# fault: "


def laws_broken(folder: Path) -> list[Issue]:
    library, issues = examine(SMALL, [folder])

    assert library is not None, issues
    return [issue for issue in issues if issue.level is Weight.LAW]


def test_the_small_rules_keep_the_laws() -> None:
    library, issues = examine(SMALL)

    assert library is not None
    assert [] == [str(issue) for issue in issues if issue.level is Weight.LAW]


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_the_one_broken_law_is_named_at_its_line(path: Path, tmp_path: Path) -> None:
    shutil.copy(path, tmp_path)
    lines = path.read_text(encoding="utf-8").splitlines()
    ((number, words),) = [(n, line.split(MARK)[1]) for n, line in enumerate(lines, 1)
                          if MARK in line]  # fmt: skip
    (found,) = laws_broken(tmp_path)

    assert (path.name, number) == (Path(found.file).name, found.line)
    assert words in str(found)


@pytest.mark.parametrize(
    ("key", "name"), [("yes_means", "yes_is_the_good_answer"),
                      ("one_thing", "two_questions_in_one")],
)  # fmt: skip
def test_a_reason_in_the_rule_keeps_the_law(key: str, name: str, tmp_path: Path) -> None:
    text = next(path for path in BROKEN if path.stem == name).read_text(encoding="utf-8")
    text = text.replace("    ask:\n", f"    {key}: so it is asked in the trade\n    ask:\n", 1)
    (tmp_path / "law.yaml").write_text(text, encoding="utf-8")

    assert [] == laws_broken(tmp_path)

"""The project's own rules, read as a whole."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from vibecheck import yamltext
from vibecheck.errors import RuleFault
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules

RULES = find_rules()
BREAKS = [
    ("causes/wheel.yaml", "- id: bent_wheel", "- id: bent_wheel\n    shape: bent", "'shape'"),
    ("causes/tire.yaml", "family: tire", "family: tyre", "'tyre' is not a word for 'family'"),
    ("causes/brake.yaml", "confirm_by: [", "confirm_by: [no_such_check, ", "'no_such_check'"),
    ("checks/trials.yaml", "minutes: ", "minutes: -", "is not allowed for 'minutes'"),
    ("facts.yaml", "- id: drive\n", "- id: &d drive\n", "the anchor &d"),
    ("tools.yaml", "tools:\n", "tools:\n  - {id: hammer}\n", "the key 'name' is missing"),
    ("tolerances.yaml", " mm\n", " furlongs\n", "is not a number above zero with a unit"),
]


def test_the_rules_have_no_fault() -> None:
    assert 64 == len(load(RULES).digest)


@pytest.mark.parametrize(
    "path", sorted(RULES.rglob("*.yaml")), ids=lambda path: str(path.relative_to(RULES))
)
def test_both_yaml_parsers_read_the_same(path: Path) -> None:
    """A computer without PyYAML's fast parser gets the same rules."""
    text = path.read_text(encoding="utf-8")
    fast = yamltext.survey(text, path.name, loader=yaml.CSafeLoader)
    plain = yamltext.survey(text, path.name, loader=yaml.SafeLoader)

    assert [] == fast.faults
    assert fast == plain


def test_a_broken_copy_lists_every_fault_in_one_run(
    tmp_path: Path, faults_of: Callable[..., list[RuleFault]]
) -> None:
    rules = Path(shutil.copytree(RULES, tmp_path / "rules"))
    wanted = set()
    for name, old, new, words in BREAKS:
        text = (rules / name).read_text(encoding="utf-8")
        assert old in text
        (rules / name).write_text(text.replace(old, new, 1), encoding="utf-8")
        line = text[: text.index(old)].count("\n") + 1
        wanted.add((name, words, line))
    found = faults_of(rules)

    assert len(wanted) == len(found)
    for name, words, line in wanted:
        near = [each for each in found if each.file.endswith(name) and words in str(each)]
        assert 1 == len(near), (name, words)
        assert 0 <= near[0].line - line <= 1

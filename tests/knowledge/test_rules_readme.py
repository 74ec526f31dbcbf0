"""The worked example of rules/README.md is a rule that loads."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from vibecheck.errors import RulesError
from vibecheck.knowledge.loader import load

RULES = Path(__file__).parents[2] / "rules"


def _example() -> str:
    text = (RULES / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```yaml\n(.*?)```", text, flags=re.DOTALL)

    assert len(blocks) == 1
    return str(blocks[0])


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The rules in a folder that may be changed."""
    return Path(shutil.copytree(RULES, tmp_path / "rules"))


def test_the_worked_example_loads(copy: Path) -> None:
    (copy / "causes" / "example.yaml").write_text(_example(), encoding="utf-8")

    assert "part_under_wheel" in load(copy).causes


@pytest.mark.parametrize(
    ("right", "wrong"), [("seating_gap:", "seating_gop:"), ("usually", "very often")]
)
def test_a_slip_in_the_example_is_named(copy: Path, right: str, wrong: str) -> None:
    path = copy / "causes" / "example.yaml"
    path.write_text(_example().replace(right, wrong, 1), encoding="utf-8")

    with pytest.raises(RulesError) as caught:
        load(copy)

    assert "causes/example.yaml" in str(caught.value)
    assert wrong.rstrip(":") in str(caught.value)

"""Rule files damaged at random are refused with faults or read, never anything else."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from vibecheck.errors import RulesError
from vibecheck.knowledge.loader import load

SMALL = Path(__file__).parent / "small_rules"
ODD = ["", "[]", "{}", "null", "-1", "0", "1.5", "true", "x", "[x]", "{x: y}", "[{}]", '""', "*x",
       "&x y", "!t", "'", "{", "- a", "? b", "| c", "\t", "\x00", "\u202e", "[[x]]"]  # fmt: skip


def damaged(text: str, draw: random.Random) -> str:
    """The text with one or two lines lost, doubled, moved, or with another value."""
    lines = text.split("\n")
    for _ in range(draw.randint(1, 2)):
        at = draw.randrange(len(lines))
        key, colon, _ = lines[at].partition(": ")
        change = draw.randrange(5)
        if change == 0:
            lines.insert(at, lines[at])
        elif change == 1:
            lines[at] = draw.choice(["", " ", "  "]) + lines[at].lstrip()
        elif change == 2 and colon:
            lines[at] = f"{key}: {draw.choice(ODD)}"
        elif change == 3:
            lines[at] = lines[at].replace(draw.choice("abcdeilnorstu"), draw.choice("xyz:"), 1)
        elif len(lines) > 1:
            del lines[at]
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(8))
def test_damage_is_a_fault_at_a_line_that_exists(small_rules: Path, seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(40):
        name = draw.choice(["library", "basics", "findings", "causes", "checks"]) + ".yaml"
        good = (SMALL / name).read_text(encoding="utf-8")
        bad = damaged(good, draw)
        (small_rules / name).write_text(bad, encoding="utf-8")
        try:
            load(small_rules)
        except RulesError as error:
            assert error.faults
            for fault in error.faults:
                text = Path(fault.file).read_text() if Path(fault.file).is_file() else "\n"
                assert 1 <= fault.line <= text.count("\n") + 1
                assert str(fault).isprintable()
        (small_rules / name).write_text(good, encoding="utf-8")

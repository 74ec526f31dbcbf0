"""Advice on findings that tell nothing and on strengths far from their neighbours'."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.knowledge.loader import examine

SMALL = Path(__file__).parent / "small_rules"
CAUSE = """  - id: {id}
    name: Invented
    family: wheel
    scope: corner
    says: It is invented.
    rate: rare
    shows: {shows}
    confirm_by: [{check}]
    remedies: {{new_hoop: usually}}
    {note}source: [made_up]
"""
FINDING = """findings:
  - id: colour
    name: Colour
    kind: complaint
    states: {grey: Grey, blue: Blue}
    leak: often
    ask: {plain: What colour is it}
    source: [made_up]
"""


SCALE = {"almost never": 0.01, "rarely": 0.04, "seldom": 0.12, "sometimes": 0.3,
         "half the time": 0.5, "often": 0.7, "usually": 0.85, "nearly always": 0.95,
         "always": 0.99}  # fmt: skip


def advice_on(folder: Path, text: str) -> list[str]:
    words = "".join(f"  - {{word: {word}, probability: {p}}}\n" for word, p in SCALE.items())
    (folder / "words.yaml").write_text("strengths:\n" + words, encoding="utf-8")
    (folder / "own.yaml").write_text(text, encoding="utf-8")
    library, issues = examine(SMALL, [folder])

    assert library is not None, issues
    return [str(issue) for issue in issues]


def five(last: str, check: str = "measure_wobble", note: str = "", name: str = "shake") -> str:
    """Four causes that agree about a finding, and a fifth."""
    words = ["often", "often", "often", "usually", last]
    return "causes:\n" + "".join(
        CAUSE.format(
            id=f"made_{index}", check=check, note=note,
            shows=f"{{{name}: {word}, wobble: {['often', 'rarely'][index % 2]}}}",
        )
        for index, word in enumerate(words)
    )  # fmt: skip


def in_line(advice: list[str]) -> list[str]:
    return [each for each in advice if "is far from those" in each]


def test_a_strength_far_from_its_neighbours(tmp_path: Path) -> None:
    found = in_line(advice_on(tmp_path, five("almost never")))

    assert 1 == len(found)
    assert "own.yaml:48: cause made_4: its strength for 'shake' (not normal)" in found[0]


@pytest.mark.parametrize("word", ["half the time", "sometimes", "always"])
def test_a_strength_near_its_neighbours(tmp_path: Path, word: str) -> None:
    assert [] == in_line(advice_on(tmp_path, five(word)))


def test_a_note_is_taken_for_the_reason(tmp_path: Path) -> None:
    note = 'note: "it cannot shake"\n    '

    assert [] == in_line(advice_on(tmp_path, five("almost never", note=note)))


def test_what_its_own_check_proves_may_differ(tmp_path: Path) -> None:
    """A finding that the cause's check yields is meant to part it from the others."""
    found = advice_on(tmp_path, five("almost never", check="look_at_wheel", name="loose"))

    assert [] == in_line(found)


def test_few_neighbours_set_no_line(tmp_path: Path) -> None:
    text = five("almost never").split("  - id: made_1")[0]
    last = five("almost never").rpartition("  - id: made_4")[2]

    assert [] == in_line(advice_on(tmp_path, f"{text}  - id: made_4{last}"))


def test_a_finding_that_tells_hardly_anything(tmp_path: Path) -> None:
    """The leak says `often`, so that no cause with `often` can speak."""
    cause = CAUSE.format(id="made", check="measure_wobble", note="",
                         shows="{colour: often, wobble: often}")  # fmt: skip
    found = advice_on(tmp_path, f"{FINDING}causes:\n{cause}")

    assert any("finding colour: it tells hardly anything (at most 0.0 bits" in each
               for each in found)  # fmt: skip
    louder = cause.replace("colour: often", "colour: always")
    found = advice_on(tmp_path, FINDING.replace("often", "sometimes") + "causes:\n" + louder)
    assert not any("hardly anything" in each for each in found)

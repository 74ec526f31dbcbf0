"""House-style checks that need more than one faulty line, and advice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from vibecheck.errors import RuleFault
from vibecheck.knowledge import checks
from vibecheck.knowledge.book import Book
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import examine
from vibecheck.knowledge.quantities import UNITS, limit_unit
from vibecheck.metrology.units import values as units

SMALL = Path(__file__).parent / "small_rules"
HIDDEN = """
findings:
  - id: hidden
    name: Hidden
    kind: inspection
    states: {none: No, seen: Yes}
    ask: {plain: Is it hidden}
    source: [made_up]
causes:
  - id: ghost
    name: Ghost
    family: body
    says: Nobody can see it.
    rate: rare
    shows: {hidden: often}
    confirm_by: [look_at_wheel]
    remedies: {tighten: often}
    source: [made_up]
"""


def advice_on(folder: Path, text: str) -> str:
    folder.mkdir(exist_ok=True)
    (folder / "own.yaml").write_text(text, encoding="utf-8")
    library, issues = examine(SMALL, [folder])

    assert library is not None
    return "\n".join(str(issue) for issue in issues)


def test_the_small_rules_have_no_issue(small: Library) -> None:
    assert [] == checks.errors(Book(small))
    assert [] == checks.advice(Book(small))


def test_every_check_is_in_one_list_once_and_says_what_it_holds() -> None:
    every = [*checks.SINGLE, *checks.NAMES, *checks.WHOLE, *checks.ADVICE]

    assert len({check.__name__ for check in every}) == len(every)
    assert all(check.__doc__ for check in every)


def test_a_cause_that_nothing_leads_to(
    tmp_path: Path, faults_of: Callable[..., list[RuleFault]]
) -> None:
    (tmp_path / "own.yaml").write_text(HIDDEN, encoding="utf-8")
    found = {fault.line: fault.what for fault in faults_of(SMALL, tmp_path)}

    assert "finding hidden: no check yields it" == found[3]
    assert "cause ghost: nothing leads to it: no check yields anything it shows" == found[15]
    assert "the check 'look_at_wheel' yields nothing that this cause shows" in found[16]


def test_a_misspelt_check_is_reported_once(
    small_rules: Path, faults_of: Callable[..., list[RuleFault]]
) -> None:
    """The check that was meant does not count as one that nobody asks for."""
    path = small_rules / "causes.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("[measure_wobble]", "[measure_woble]"), encoding="utf-8")

    assert 1 == len(faults_of(small_rules))


def test_a_misspelt_yield_is_reported_once(
    small_rules: Path, faults_of: Callable[..., list[RuleFault]]
) -> None:
    path = small_rules / "checks.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("[wobble]", "[woble]"), encoding="utf-8")

    assert 1 == len(faults_of(small_rules))


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("rates:\n  - {word: common, probability: 0.9}\n", 2, "sum to 3.64; keep the sum"),
        ("tools:\n  - {id: gauge, name: x}\n", 2, "tool gauge: nothing uses this tool"),
        (
            "cautions:\n  - {id: idle, level: note, text: x, source: [made_up]}\n",
            2, "caution idle: nothing uses this caution",
        ),
        (
            "tolerances:\n  - {id: idle, name: x, value: 2 g, source: [made_up]}\n",
            2, "tolerance idle: nothing uses this tolerance",
        ),
        (
            "findings:\n  - id: idle\n    name: x\n    kind: history\n    states: {a: x, b: y}\n"
            "    ask: {plain: x}\n    source: [made_up]\n",
            2, "finding idle: it moves nothing",
        ),
    ],
)  # fmt: skip
def test_advice(tmp_path: Path, text: str, line: int, words: str) -> None:
    found = advice_on(tmp_path / "own", text)

    assert words in found
    assert f"own.yaml:{line}: " in found or "sum to" in words


def test_advice_on_strengths_that_say_nothing(tmp_path: Path) -> None:
    text = (
        "causes:\n  - id: odd\n    name: Odd\n    family: body\n    says: It is odd.\n"
        "    rate: rare\n    shows:\n      loose: often\n      shake: {none: often}\n"
        "    shows_front: {shake: often}\n    confirm_by: [look_at_wheel]\n"
        "    remedies: {tighten: often}\n    source: [made_up]\n"
    )
    found = advice_on(tmp_path / "own", text)

    assert "own.yaml:9: cause odd: only the normal state 'none' is named" in found
    assert "own.yaml:10: cause odd: shows_front is never used" in found


TWIN = """
causes:
  - id: twin
    name: Twin
    family: mounting
    scope: corner
    says: It looks like a loose wheel.
    rate: rare
    shows: {shake: often, side: {left: often}, loose: usually}
    confirm_by: [look_at_wheel]
    remedies: {tighten: often}
    source: [made_up]
"""


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("", "", True),
        ("loose: usually", "loose: often", True),
        ("loose: usually", "loose: rarely", False),
        ("side: {left: often}", "side: {right: often}", False),
        ("scope: corner", "scope: vehicle", False),
        ("rate: rare", "rate: rare\n    inseparable: {loose_wheel: Both are loose.}", False),
        ("rate: rare", "rate: rare\n    fits: {drive: [rear]}", True),
        (
            "rate: rare",
            "rate: rare\n    excites: [{order: 1, law: constant, path: vertical}]",
            False,
        ),
    ],
)
def test_causes_that_nothing_tells_apart(tmp_path: Path, old: str, new: str, told: bool) -> None:
    found = advice_on(tmp_path / "own", TWIN.replace(old, new, 1))

    assert told == ("own.yaml:3: cause twin: no finding tells it from loose_wheel" in found)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("0.5 mm", "mm"), (".020 in", "in"), ("10 g", "g"), ("1.6 mm", "mm"), ("3", ""),
        ("0.315 m/s2", "m/s2"), ("0", None), ("0.5mm", None), ("-1 mm", None), ("1 cubit", None),
        ("1e3 mm", None), ("nan mm", None), ("0.5 mm ", None), ("", None),
    ],
)  # fmt: skip
def test_a_limit_is_a_number_above_zero_with_a_unit(text: str, unit: str | None) -> None:
    assert unit == limit_unit(text)


@pytest.mark.parametrize("quantity", list(UNITS))
def test_the_measuring_room_reads_every_unit_that_rules_may_write(quantity: str) -> None:
    for unit in UNITS[quantity]:
        read = units.parse(f"2.5 {unit}", units.Quantity(quantity))
        assert unit == read.unit

"""Every screen with hostile text in every field of the case and of the rules: it shows as text."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from textual.widgets import Input, OptionList, Static, TextArea

from vibecheck.knowledge.place import find_rules
from vibecheck.tui.plain import line, plain
from vibecheck.tui.visit import VisitScreen

MARKUP = "[/bad] [red]x[/red] [@click=app.quit]y"
CONTROL = "\x1b[2J\x07\u202e\u2066\u200f"
LONG = "w" * 10_000
TEXTS = {  # keys of rule files whose values are texts for people
    "name", "plain", "counter", "bay", "driveway", "help", "text", "question", "says", "note",
    "verify", "comeback", "shop_request", "title", "example", "part", "publisher",
}


def hostile(rule: Any, key: str = "") -> Any:
    """A rule with hostile text at the end of every text for people."""
    if isinstance(rule, dict):
        labels = key in ("states", "values")
        return {
            name: f"{value} {MARKUP}" if labels and isinstance(value, str) else hostile(value, name)
            for name, value in rule.items()
        }
    if isinstance(rule, list):
        return [
            f"{each} {MARKUP}" if key == "steps" and isinstance(each, str) else hostile(each)
            for each in rule
        ]
    return f"{rule} {MARKUP}" if key in TEXTS and isinstance(rule, str) and rule else rule


@pytest.fixture(scope="module")
def bad_rules(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The real rules, every text for people made hostile."""
    folder = tmp_path_factory.mktemp("bad_rules")
    for path in find_rules().rglob("*.yaml"):
        if "proofs" in path.parts:
            continue
        known = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
        target = folder / path.relative_to(find_rules())
        target.parent.mkdir(parents=True, exist_ok=True)
        text = yaml.safe_dump(hostile(_numbers(known)), allow_unicode=True, sort_keys=False)
        target.write_text(re.sub(r"(?m)^(\s*)(- )?(y|n): ", r"\1\2'\3': ", text), encoding="utf-8")
    return folder


def _numbers(value: Any, key: str = "") -> Any:
    """Texts that stand for numbers and truth values as such, except where texts are meant."""
    if isinstance(value, dict):
        return {name: _numbers(each, name) for name, each in value.items()}
    if isinstance(value, list):
        return [_numbers(each, key) for each in value]
    if key in {*TEXTS, "version", "example", "value", "values", "when", "fits", "words", "steps"}:
        if key != "steps":
            return value
    if value in ("true", "false"):
        return value == "true"
    try:
        return int(value) if re.fullmatch(r"-?\d+", value) else float(value)
    except ValueError:
        return value


@pytest.mark.parametrize("size", [(80, 24), (170, 50)])
async def test_every_screen_of_a_visit(
    stage: Any, kept: Any, bad_rules: Path, size: tuple[int, int]
) -> None:
    path = kept(
        "vibration=strong", "feel=shimmy", "bead_radial_inboard@LF=0.49 mm", "tire_bulge@RF=no",
        title=f"{MARKUP} title", rules=bad_rules,
    )
    async with stage(path, size=size, rules=bad_rules) as it:
        assert isinstance(it.app.screen, VisitScreen)
        assert "[/bad]" in it.words
        it.opened.note(f"{MARKUP} {CONTROL} {LONG}")
        for keys in (
            ("f1", "escape"), ("w", "escape"), ("a", "escape"), ("x", "right", "escape"),
            ("r", "2", "3", "4", "5", "g", "f1", "escape", "escape"), ("k", "escape"),
            ("f", "escape"), ("t", "escape"), ("m", "escape"), ("n", "escape"), ("e", "escape"),
            ("p", "c", "escape"), ("h", "down", "escape", "escape"), ("u",), ("b",),
            ("escape",), ("s",), ("ctrl+p", "escape"),
        ):
            for key in keys:
                await it.press(key)
                text = it.text
                assert "\x1b" not in text and "\u202e" not in text
        assert isinstance(it.app.screen, VisitScreen)
        assert it.app.is_running


async def test_markup_of_rules_stands_as_it_is(stage: Any, kept: Any, bad_rules: Path) -> None:
    path = kept("vibration=strong", "feel=shimmy", rules=bad_rules)
    async with stage(path, size=(170, 50), rules=bad_rules) as it:
        question = str(it.app.screen.query_one("#question", Static).content)
        ranked = it.app.screen.query_one("#ranked", OptionList).options
        assert MARKUP in question
        assert MARKUP in str(ranked[0].prompt)
        assert MARKUP in str(it.app.screen.query_one("#procedure", Static).content)


async def test_hostile_typing_is_refused_and_kept(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        screen = it.app.screen
        screen.interview.jump("bead_radial_inboard", "LF")
        screen.show_all()
        await it.settle()
        entry = screen.query_one("#entry", Input)
        for bad in (MARKUP, "1\u202e2", "9" * 200):
            entry.value = bad
            await it.press("enter")
            assert entry.value == bad
            assert str(screen.query_one("#refusal", Static).content).startswith("! ")
            assert "\u202e" not in it.text


async def test_hostile_note_is_kept_letter_by_letter(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        await it.press("n")
        said = f"{MARKUP} \u202e shalom \u05e9\u05dc\u05d5\u05dd {LONG}"
        it.app.screen.query_one("#note", TextArea).text = said
        await it.press("ctrl+s", "escape", "a")
        assert it.opened.case.entries[-1].text == said
        assert "\\u202e" in it.words
        assert it.app.is_running


async def test_title_of_ten_thousand_letters_is_cut_to_what_a_case_holds(stage: Any) -> None:
    async with stage() as it:
        await it.press("n")
        title = it.app.screen.query_one("#visit-title", Input)
        title.insert_text_at_cursor(LONG[:200])
        title.insert_text_at_cursor(MARKUP)
        await it.press("ctrl+s")
        await it.past_opening()
        assert isinstance(it.app.screen, VisitScreen)
        assert it.opened.case.title.startswith("www")


async def test_hostile_file_name_is_listed_as_text(stage: Any, tmp_path: Path) -> None:
    folder = tmp_path / "visits"
    folder.mkdir()
    (folder / "[red]a[bad] \u202e.yaml").write_text("vibecheck_case: [", encoding="utf-8")
    async with stage() as it:
        row = str(it.app.screen.query_one("#visits", OptionList).options[0].prompt)
        assert "[red]a[bad]" in row
        assert "\u202e" not in row


def test_plain_spells_out_what_steers() -> None:
    assert plain("a\x1b[31mb\u202ec\n[/d]").plain == "a\\x1b[31mb\\u202ec\n[/d]"
    assert line("a\n b\tc", most=4).plain == "a b…"
    assert len(plain(LONG).plain) == 10_000
    assert not plain(MARKUP).spans

"""Loading a folder of rules with its overlays."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from vibecheck import yamltext
from vibecheck.errors import RuleFault, RulesError
from vibecheck.knowledge.book import Weight
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import examine, load
from vibecheck.knowledge.words import Corner, Place

SMALL = Path(__file__).parent / "small_rules"
Faults = Callable[..., list[RuleFault]]


def said(faults: list[RuleFault]) -> str:
    return "\n".join(str(fault) for fault in faults)


def test_a_library_holds_every_rule_by_its_id_in_the_order_written(small: Library) -> None:
    assert ["bent_hoop", "loose_wheel"] == list(small.causes)
    assert ["none", "slight", "strong"] == list(small.findings["shake"].states)
    assert 0.85 == small.strength("usually")
    assert 0.06 == small.rate("common")
    assert "strong" == small.lexicon[0].state
    assert 3.0 == small.access.places[Place.BAY].moves[0].minutes
    assert ("measure_wobble",) == small.checks_yielding["wobble"]
    assert () == small.checks_yielding["shake"]


def test_origins_give_the_line_of_a_rule_and_of_its_parts(small: Library) -> None:
    origin = small.origins["causes", "bent_hoop"]
    lines = (SMALL / "causes.yaml").read_text(encoding="utf-8").splitlines()

    assert origin.file.endswith("tests/knowledge/small_rules/causes.yaml")
    assert "- id: bent_hoop" == lines[origin.line - 1].strip()
    assert lines[origin.at("shows", "wobble", "beyond") - 1].strip().startswith("wobble:")
    assert lines[origin.at("remedies", "no_such_key") - 1].strip().startswith("remedies:")
    assert origin.line == origin.at("no_such_key")


def test_every_fault_names_its_file_from_the_working_folder(
    small_rules: Path, monkeypatch: pytest.MonkeyPatch, faults_of: Faults
) -> None:
    (small_rules / "more.yaml").write_text("tools: 3\n", encoding="utf-8")
    monkeypatch.chdir(small_rules.parent)

    assert ["small/more.yaml"] == [fault.file for fault in faults_of(Path("small"))]
    assert ["small/more.yaml"] == [fault.file for fault in faults_of(small_rules)]


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("latin.yaml", "tools: [{id: a, name: \xe9}]".encode("latin-1"), "is not UTF-8 text"),
        ("empty.yaml", b"", "holds no lists of rules"),
        ("remarks.yaml", b"# only a remark\n", "holds no lists of rules"),
        ("list.yaml", b"- id: x\n", "holds no lists of rules"),
        ("short.yml", b"tools: []\n", "rule files end in .yaml; call it short.yaml"),
        ("big.yaml", b"x" * (yamltext.LARGEST_TEXT + 1), "MB long"),
        ("deep.yaml", b"tools: " + b"[" * 5000, "nest"),
    ],
)
def test_files_that_are_no_rule_files(
    small_rules: Path, faults_of: Faults, name: str, content: bytes, words: str
) -> None:
    (small_rules / name).write_bytes(content)
    found = faults_of(small_rules)

    assert 1 == len(found)
    assert found[0].file.endswith(name)
    assert words in str(found[0])


def test_a_file_that_cannot_be_opened_is_a_fault(
    small_rules: Path, faults_of: Faults, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, mode: str) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)

    assert "the file cannot be read (Permission denied)" in said(faults_of(small_rules))


def test_a_folder_that_is_missing(tmp_path: Path, faults_of: Faults) -> None:
    assert "there is no such folder" in said(faults_of(tmp_path / "nowhere"))


def test_a_folder_without_library_and_access(tmp_path: Path, faults_of: Faults) -> None:
    (tmp_path / "tools.yaml").write_text("tools: []\n", encoding="utf-8")
    found = said(faults_of(tmp_path))

    assert "no file holds the part 'library:'" in found
    assert "no file holds the part 'access:'" in found


def test_hidden_files_and_proofs_are_passed_over(small_rules: Path, small: Library) -> None:
    (small_rules / ".draft.yaml").write_text("nonsense", encoding="utf-8")

    assert small.digest == load(small_rules).digest


class TestOverlay:
    """An overlay of a shop's own rules."""

    def test_a_known_id_replaces_and_a_new_one_is_added(self, tmp_path: Path) -> None:
        (tmp_path / "own.yaml").write_text(
            "tolerances:\n  - {id: wobble_limit, name: Ours, value: 0.3 mm, source: [made_up]}\n"
            "tools:\n  - {id: gauge, name: gauge}\n",
            encoding="utf-8",
        )
        library = load(SMALL, [tmp_path])

        assert "0.3 mm" == library.tolerances["wobble_limit"].value
        assert ["dial", "gauge"] == list(library.tools)
        assert library.origins["tolerances", "wobble_limit"].file.endswith("own.yaml")
        assert load(SMALL).digest != library.digest

    def test_the_same_id_twice_within_an_overlay_is_a_fault(
        self, tmp_path: Path, faults_of: Faults
    ) -> None:
        for name in ("a.yaml", "b.yaml"):
            text = "tools:\n  - {id: gauge, name: gauge}\n"
            (tmp_path / name).write_text(text, encoding="utf-8")
        found = faults_of(SMALL, tmp_path)

        assert ["b.yaml"] == [Path(fault.file).name for fault in found]
        assert "the tool 'gauge' stands here a second time" in str(found[0])
        assert "a.yaml:2" in str(found[0])

    def test_one_file_is_an_overlay_too(self, tmp_path: Path, faults_of: Faults) -> None:
        file, beside = tmp_path / "own.yaml", tmp_path / "beside.yaml"
        file.write_text("rates:\n  - {word: counted, probability: 0.07}\n", encoding="utf-8")
        beside.write_text("this: is not read\n", encoding="utf-8")

        assert 0.07 == load(SMALL, [file]).rate("counted")
        file.write_text("rates:\n  - {word: counted, probability: 7}\n", encoding="utf-8")
        (fault,) = faults_of(SMALL, file)
        assert 2 == fault.line and fault.file.endswith("own.yaml")

    def test_a_missing_overlay_is_a_fault(self, tmp_path: Path, faults_of: Faults) -> None:
        assert "there is no such folder" in said(faults_of(SMALL, tmp_path / "nowhere"))


class TestDigest:
    """The fingerprint follows the content, not the layout."""

    def test_order_of_files_rules_and_keys_and_layout_do_not_matter(
        self, tmp_path: Path, small: Library
    ) -> None:
        draw = random.Random(4)
        for number, path in enumerate(sorted(SMALL.glob("*.yaml"))):
            data, _ = yamltext.read(path.read_text(encoding="utf-8"), path.name)
            for kind, rules in data.items():
                if isinstance(rules, list):
                    draw.shuffle(rules)
                    data[kind] = [dict(sorted(rule.items(), reverse=True)) for rule in rules]
            text = "# another remark\n" + yamltext.write(data)
            (tmp_path / f"{9 - number}.yaml").write_text(text, encoding="utf-8")

        assert small.digest == load(tmp_path).digest

    @pytest.mark.parametrize(
        ("file", "old", "new"),
        [
            ("basics.yaml", "probability: 0.85", "probability: 0.86"),
            ("basics.yaml", "Use stands.", "Use four stands."),
            ("basics.yaml", "[shakes, jumps]", "[shakes, hops]"),
            ("findings.yaml", "{none: No shake, slight: A little,", "{slight: A little, none: No,"),
            ("causes.yaml", "shake: usually", "shake: often"),
            ("library.yaml", "minutes: 15,", "minutes: 16,"),
            ("library.yaml", 'version: "1"', 'version: "2"'),
        ],
    )
    def test_any_change_of_content_changes_it(
        self, small_rules: Path, small: Library, file: str, old: str, new: str
    ) -> None:
        path = small_rules / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

        assert small.digest != load(small_rules).digest


class TestExamine:
    """Errors and advice as a list, for the command that checks rules."""

    def test_good_rules_give_a_library_and_advice(self) -> None:
        library, issues = examine(SMALL)

        assert library is not None
        assert {issue.level for issue in issues} <= {Weight.ADVICE}

    def test_faulty_rules_give_the_same_faults_as_loading(
        self, small_rules: Path, faults_of: Faults
    ) -> None:
        (small_rules / "more.yaml").write_text("tools: 3\nsources: [{}]\n", encoding="utf-8")
        library, issues = examine(small_rules)

        assert library is None
        assert faults_of(small_rules) == [issue.fault for issue in issues]
        assert {Weight.ERROR} == {issue.level for issue in issues}


def test_hostile_ids_and_texts_are_shown_not_sent(small_rules: Path) -> None:
    """Control characters in a rule never reach the terminal by way of a message."""
    text = 'tools:\n  - {id: "\\e[2J[/bad]", name: x}\n'
    (small_rules / "more.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(RulesError) as caught:
        load(small_rules)

    assert "\x1b" not in str(caught.value)
    assert "[/bad]" in str(caught.value)


def test_corners_are_seen_by_the_driver() -> None:
    assert "left front" == Corner.LF.spoken
    assert Corner.RF.front
    assert not Corner.RR.front

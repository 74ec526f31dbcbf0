"""Bad input on a case: one sentence, an exit code, and not one byte changed on disk."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cli_helpers import SMALL_RULES

from vibecheck.cli.exitcodes import ExitCode


class TestBadAnswers:
    @pytest.mark.parametrize(
        ("answers", "says"),
        [
            (["shaek=strong"], "there is no finding 'shaek'; did you mean shake"),
            (["shake=sometimes"], "'sometimes' is no answer to 'Shake'"),
            (["shake"], "'shake' is not an answer"),
            (["=strong"], "is not an answer"),
            (["shake="], "is not an answer"),
            (["wobble@LF=-0.2 mm"], "-0.2 mm is impossible here"),
            (["wobble@LF=900 mm"], "900 mm is impossible here"),
            (["wobble@LF=NaN"], "'NaN' is not a reading"),
            (["wobble@LF=inf mm"], "is not a reading"),
            (["wobble@LF=much"], "'much' is not a reading"),
            (["wobble@LF=0.1 psi"], "'psi' is not a unit of length"),
            (["wobble@LF=0..1 mm"], "'0..1 mm'"),
            (["wobble@XX=0.2 mm"], "the car has no corner 'XX'"),
            (["wobble@5=0.2 mm"], "the car has no corner '5'"),
            (["wobble=0.2 mm"], "'wobble' needs a corner"),
            (["shake@LF=strong"], "belongs to the whole vehicle"),
            (["wobble@LF=0.2 mm", "wobble@LF=0.9 mm"], "contradict each other"),
            (["shake=none", "shake=strong"], "contradict each other"),
            (["shake=strong", "wobble@LF=much"], "'much' is not a reading"),
            (["shake=\x1b[31m"], "\\x1b[31m"),
            (["x" * 5000 + "=1"], "there is no finding"),
        ],
    )
    def test_nothing_of_a_bad_list_is_saved(
        self, run: Any, visit: Path, answers: list[str], says: str
    ):
        before = visit.read_bytes()
        ran = run("answer", visit, *answers)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err
        assert 1 == ran.err.count("\n")
        assert "\x1b" not in ran.err
        assert "" == ran.out
        assert before == visit.read_bytes()

    @pytest.mark.parametrize(
        ("command", "says", "code"),
        [
            (["retract", "zzz"], "the case has no entry 'zzz'", ExitCode.CASE_UNUSABLE),
            (["retract", "shake"], "the case has no entry 'shake'", ExitCode.CASE_UNUSABLE),
            (["note", "  "], "the note is empty", ExitCode.WRONG_INPUT),
            (["note", "x" * 20_001], "the text has 20001 characters", ExitCode.WRONG_INPUT),
            (["note", "\udcff"], "not UTF-8", ExitCode.WRONG_INPUT),
            (["facts", "drive=rear", "cylinders=99"], "'99' is impossible", ExitCode.WRONG_INPUT),
            (["facts", "cylinders=4", "limit.wobble_limit=x"], "'x' is not", ExitCode.WRONG_INPUT),
            (["facts", "cylinders=4", "limit.none=1mm"], "no tolerance", ExitCode.WRONG_INPUT),
            (["answer", "shake=none", "--check", "no"], "no check 'no'", ExitCode.WRONG_INPUT),
        ],
    )
    def test_other_commands(
        self, run: Any, visit: Path, command: list[str], says: str, code: ExitCode
    ):
        before = visit.read_bytes()
        ran = run(command[0], visit, *command[1:])

        assert code == ran.code
        assert says in ran.err
        assert 1 == ran.err.count("\n")
        assert before == visit.read_bytes()


class TestBadFiles:
    @pytest.mark.parametrize("command", [["rank"], ["next"], ["why", "x"], ["show"],
                                         ["answer", "shake=none"], ["note", "x"]])
    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "the file is empty"),
            (b"\x00\x01", "U+0000"),
            (b"\xff\xfe", "not UTF-8"),
            (b"vibecheck_case: 99\n", "install a newer vibecheck"),
            (b"vibecheck_case: 1\nid: a\ntitle: t\nplace: moon\n", ":4: 'place' cannot be"),
            (b"vibecheck_case: 1\nid: a\nfacts: {drive: [\n", "this is not YAML"),
            (b"just words\n", "the file is not a case"),
            (b"a: &a [x]\n", "the anchor &a"),
        ],
    )
    def test_one_sentence_with_the_file_and_no_change(
        self, run: Any, tmp_path: Path, command: list[str], content: bytes, says: str
    ):
        path = tmp_path / "bad.yaml"
        path.write_bytes(content)
        ran = run(command[0], path, *command[1:])

        assert ExitCode.CASE_UNUSABLE == ran.code
        assert says in ran.err
        assert "bad.yaml" in ran.err
        assert 1 == ran.err.count("\n")
        assert content == path.read_bytes()

    def test_half_a_case(self, run: Any, visit: Path):
        run("answer", visit, "shake=strong", "wobble@LF=0.3 mm")
        whole = visit.read_bytes()
        half = whole[: whole.rindex(b"- id")]
        visit.write_bytes(half)
        ran = run("rank", visit)

        assert ExitCode.CASE_UNUSABLE == ran.code
        assert "the case is cut short" in ran.err
        assert half == visit.read_bytes()

    def test_no_file(self, run: Any, tmp_path: Path):
        ran = run("rank", tmp_path / "none.yaml")

        assert ExitCode.CASE_UNUSABLE == ran.code
        assert "none.yaml: there is no such file" in ran.err

    def test_a_folder(self, run: Any, tmp_path: Path):
        assert ExitCode.CASE_UNUSABLE == run("rank", tmp_path).code

    @pytest.mark.parametrize(
        ("entry", "says"),
        [
            ("finding: nothing, value: x", "nothing"),
            ("finding: shake, value: purple", "purple"),
            ("finding: wobble, corner: LF, value: 900 mm", "900 mm"),
            ("finding: wobble, value: 1 mm", "corner"),
        ],
    )
    def test_an_entry_the_rules_do_not_know(
        self, run: Any, tmp_path: Path, entry: str, says: str
    ):
        path = tmp_path / "odd.yaml"
        path.write_text(
            "vibecheck_case: 1\nid: a\ntitle: t\nplace: bay\nentries:\n"
            "- {id: e, at: '2026-03-02T12:00:00Z', kind: answer, place: bay, by: owner, "
            f"{entry}}}\n", encoding="utf-8",
        )
        ran = run("rank", path)

        assert ran.code in (ExitCode.CASE_UNUSABLE, ExitCode.WRONG_INPUT)
        assert says in ran.err
        assert "odd.yaml" in ran.err
        assert 1 == ran.err.count("\n")


class TestBadRules:
    def test_every_fault_in_one_run(self, run: Any, tmp_path: Path):
        for path in SMALL_RULES.glob("*.yaml"):
            (tmp_path / path.name).write_bytes(path.read_bytes())
        causes = (tmp_path / "causes.yaml").read_text(encoding="utf-8")
        causes = causes.replace("rate: common", "rate: wild").replace("[look_at_wheel]", "[dance]")
        (tmp_path / "causes.yaml").write_text(causes, encoding="utf-8")
        ran = run("rules", "check", rules=tmp_path)

        assert ExitCode.RULES_FAULTY == ran.code
        for name in ("wild", "dance"):
            line = next(n for n, text in enumerate(causes.split("\n"), 1) if name in text)
            assert any(f"causes.yaml:{line}: " in said and name in said
                       for said in ran.out.split("\n"))

    def test_a_case_cannot_be_ranked_with_faulty_rules(
        self, run: Any, visit: Path, tmp_path: Path
    ):
        (tmp_path / "rules").mkdir()
        (tmp_path / "rules" / "a.yaml").write_text("causes: 7\n", encoding="utf-8")
        ran = run("rank", visit, rules=tmp_path / "rules")

        assert ExitCode.RULES_FAULTY == ran.code
        assert "a.yaml:1: " in ran.err

    def test_no_such_folder(self, run: Any, visit: Path, tmp_path: Path):
        ran = run("rank", visit, rules=tmp_path / "none")

        assert ExitCode.WRONG_INPUT == ran.code
        assert "none: there is no such folder" in ran.err


LONG = "x'y\x1b é" * 20_000


@pytest.mark.parametrize(
    "words",
    [
        ("answer", "V", LONG), ("answer", "V", f"shake={LONG}"),
        ("answer", "V", f"wobble@{LONG}=1"),
        ("answer", "V", f"wobble@LF={LONG}"), ("answer", "V", "shake=strong", "--by", LONG),
        ("answer", "V", "shake=strong", "--check", LONG), ("retract", "V", LONG),
        ("note", "V", LONG),
        ("facts", "V", LONG), ("facts", "V", f"drive={LONG}"), ("facts", "V", f"limit.{LONG}=1"),
        ("finish", "V", LONG), ("rank", LONG), ("new", LONG), ("new", "n.yaml", "--title", LONG),
        ("why", "V", LONG), (LONG,), (f"--{LONG}",), ("next", "V", "--count", LONG),
        ("runout", "--high", LONG, "--low", "1"), ("orders", "--size", LONG), ("record", LONG),
        ("serve", "--host", LONG), ("serve", "--port", LONG), ("ask", "V", "--fact", LONG),
        ("demo", LONG), ("rules", "show", LONG), ("report", "V", "--for", LONG),
    ],
)
def test_no_complaint_is_longer_than_can_be_read(
    run: Any, visit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    """120,000 characters typed at every door: one short sentence, nothing saved."""
    monkeypatch.chdir(tmp_path)
    before = visit.read_bytes()
    ran = run(*(visit if word == "V" else word for word in words))

    assert ran.code not in (ExitCode.FINE, ExitCode.BROKEN)
    assert 1 == ran.err.count("\n") and len(ran.err) <= 301
    assert "\x1b" not in ran.err
    assert before == visit.read_bytes()

"""The command `ask`: the interview line by line, over a pipe and with a person."""

from __future__ import annotations

import io
import re
import subprocess
import sys

import pytest
from cli_helpers import SMALL_RULES, case_in

from vibecheck.casebook import store
from vibecheck.cli.ask import fresh_name
from vibecheck.cli.dialogue import Dialogue
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.talk import Talk, plain_ascii
from vibecheck.errors import CaseNotSavedError
from vibecheck.metrology.units.choice import Units
from vibecheck.report.wording import Wording
from vibecheck.session.interview import Interview
from vibecheck.session.open_case import OpenCase


@pytest.fixture
def ask(run, monkeypatch, tmp_path):
    """Run `ask` with lines on standard input; small rules unless told otherwise."""

    def asked(*lines: str, options: tuple[str, ...] = (), rules=SMALL_RULES, path="v.yaml"):
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        chosen = ["--rules", str(rules)] if rules else []
        return run("ask", tmp_path / path, *options, *chosen)

    return asked


class Person(io.StringIO):
    """Somebody at a keyboard, whose terminal shows what is typed."""

    def __init__(self, lines: str, shown: io.StringIO) -> None:
        super().__init__(lines)
        self._shown = shown

    def isatty(self) -> bool:
        return True

    def readline(self, *_: object) -> str:
        line = super().readline()
        self._shown.write(line)
        return line


def talked(opened: OpenCase, *lines: str, width: int = 80, units: Units | None = None) -> str:
    """What a person with these lines gets to read."""
    out = io.StringIO()
    source = Person("".join(f"{line}\n" for line in lines), out)
    Dialogue(opened, Talk(source, out, width), Wording(units or Units())).run()
    return out.getvalue()


def begun(*answers: str, place: str = "bay") -> OpenCase:
    opened = OpenCase.new(None, place=place, rules=SMALL_RULES)
    if answers:
        opened.answer(answers)
    return opened


def test_the_same_questions_in_the_same_order_as_the_interview(ask, tmp_path):
    ask("1", "u", "1", "1")
    opened = begun()
    interview = Interview(opened)
    for number in (0, None, 0, 0):
        question = interview.current()
        if number is None:
            interview.unsure()
        else:
            interview.answer(list(question.field.rule.states)[number])
    made = case_in(tmp_path / "v.yaml").entries

    assert 4 == len(made)
    kept = opened.case.entries
    assert [(each.finding, each.corner, each.value, each.check) for each in kept] == [
        (each.finding, each.corner, each.value, each.check) for each in made
    ]


def test_the_end_of_input_is_a_stop_and_everything_is_saved(ask, tmp_path):
    done = ask("2")

    assert ExitCode.FINE == done.code
    assert 1 == len(case_in(tmp_path / "v.yaml").entries)
    assert done.out.endswith(f"Everything is saved in {tmp_path / 'v.yaml'}\n")


def test_q_stops_before_the_next_line(ask, tmp_path):
    ask("q", "1")

    assert [] == case_in(tmp_path / "v.yaml").entries


def test_skip_and_cannot_are_kept_as_such(ask, tmp_path):
    ask("s", "c")

    assert ["skipped", "cannot"] == [each.value for each in case_in(tmp_path / "v.yaml").entries]


def test_back_shows_the_answer_and_takes_another(ask, tmp_path):
    done = ask("1", "b", "2")
    first, second = case_in(tmp_path / "v.yaml").entries

    assert "Earlier answer (question 1)" in done.out
    assert "Answer so far: Not seen" in done.out
    assert (first.finding, first.corner) == (second.finding, second.corner)
    assert ("none", "seen") == (first.value, second.value)


def test_enter_leaves_an_earlier_answer_as_it_is(ask, tmp_path):
    done = ask("1", "b", "", "1")
    values = [(each.corner, each.value) for each in case_in(tmp_path / "v.yaml").entries]

    assert 2 == len(set(values)) and 2 == len(values)
    assert 2 == done.out.count("\nQuestion 2")


def test_a_number_of_the_list_changes_that_answer(ask, tmp_path):
    done = ask("1", "u", "a", "a 1", "2")
    entries = case_in(tmp_path / "v.yaml").entries

    assert "1. Loose wheel" in done.out and "2. Loose wheel" in done.out
    assert entries[0].corner == entries[2].corner and "seen" == entries[2].value


def test_answers_in_words_count_too(ask, tmp_path):
    ask("", "not seen", "Seen")

    assert ["none", "seen"] == [each.value for each in case_in(tmp_path / "v.yaml").entries]


def test_rules_without_kinds_of_complaint_take_the_words_and_go_on(ask, tmp_path):
    done = ask("the neighbor rang", "1")
    note, first = case_in(tmp_path / "v.yaml").entries

    assert ("the neighbor rang", "none") == (note.text, first.value)
    assert ExitCode.FINE == done.code


@pytest.mark.parametrize("typed", ["9", "0", "maybe", "1.5", "999999999999999999999999", "a x"])
def test_what_is_no_answer_gets_a_sentence_and_only_the_prompt_again(ask, tmp_path, typed):
    done = ask("", typed, "1")

    assert 1 == len(case_in(tmp_path / "v.yaml").entries)
    assert 1 == len(re.findall("^! ", done.out, re.MULTILINE))
    assert 1 == done.out.count("\nQuestion 1:")


def test_enter_says_the_question_again(ask):
    assert 2 == ask("", "").out.count("\nQuestion 1:")


def test_why_and_help_change_nothing(ask, tmp_path):
    done = ask("?", "h", "r", "p")

    assert "Value: " in done.out
    assert "u  not sure" in done.out
    assert "Possible causes" in done.out
    assert "CHECK LIST FOR THE BAY" in done.out
    assert [] == case_in(tmp_path / "v.yaml").entries


def test_the_standing_is_said_when_it_changes_and_not_before():
    text = talked(begun("shake=strong"), "1", "1", "h", "?", "2")

    asked = text.split("> 2\n")[0]
    said = [part.split("\n  ! ")[0] for part in asked.split("DRIVING: ")[1:]]
    assert all(each.startswith("NOT YET CHECKED - DRIVE GENTLY, STRAIGHT TO THE CHECK\n")
               for each in said)
    assert 3 == len(said) == len(set(said))  # at first, and after each of the two looks
    assert "DRIVING: DO NOT DRIVE" in text.split("> 2\n")[1]
    assert 1 == text.count("! STOP: Do not drive with a loose wheel.")
    assert "Most likely: " in text and " so far" in text


def test_the_end_page_says_stop_and_can_be_left_to_ask_on():
    text = talked(begun("shake=strong"), "2", "words", "g", "q")

    assert "\nDo not drive this car\n---------------------\n(the car must not be driven)\n" in text
    assert "There is no question now" in text
    assert "\nQuestion " in text.split("Do not drive this car")[1]


def test_the_counter_asks_at_most_twelve_questions(ask, tmp_path):
    done = ask(*["u"] * 30, options=("--place", "counter"), rules=None)
    said = re.findall(r"\nQuestion (\d+) of at most (\d+)", done.out)
    asked, most = ([int(each) for each in column] for column in zip(*said, strict=True))
    checks = OpenCase.new(None, place="counter").library.checks
    kept = [entry.check for entry in case_in(tmp_path / "v.yaml").entries]
    safety = sum(checks[each].safety for each in kept)

    assert asked == list(range(1, max(asked) + 1))
    assert all(number <= limit for number, limit in zip(asked, most, strict=True))
    assert 0 < safety and len(kept) - safety <= 12 == min(most) and max(most) == 12 + safety
    assert "Time in the bay to find the cause: " in done.out
    assert max(asked) == len(kept)


CLEAN = tuple(f"loose@{corner}=none" for corner in ("LF", "RF", "LR", "RR"))


@pytest.mark.parametrize(
    ("units", "typed", "kept"),
    [(Units(), "0.49", "0.49 mm"), (Units(), "18 thou", "18 thou"),
     (Units("in"), "0.018", "0.018 in"), (Units(), "0.49 +/- 0.02", "0.49 mm +/- 0.02")],
)
def test_a_bare_value_counts_in_the_unit_said(units, typed, kept):
    opened = begun("shake=strong", *CLEAN)
    text = talked(opened, typed, units=units)

    assert f"A value in {units.length}" in text
    assert ("wobble", kept) == (opened.case.entries[-1].finding, opened.case.entries[-1].value)
    assert (f"Read as {kept}." in text) == (kept != typed)


def test_a_value_that_would_fit_another_unit_is_asked_about():
    opened = begun("shake=strong", *CLEAN)
    text = talked(opened, "18", "2")

    assert "  1. 18 mm (as typed)\n  2. 18 thou\n" in text.split("Which unit was meant?")[1]
    assert "18 thou" == opened.case.entries[-1].value


def test_a_doubt_left_open_keeps_nothing_and_asks_again():
    opened = begun("shake=strong", *CLEAN)
    before = opened.case
    talked(opened, "18", "", "q")

    assert before == opened.case


def test_letters_and_two_decimal_marks_are_refused_with_one_sentence_each():
    opened = begun("shake=strong", *CLEAN)
    text = talked(opened, "abc", "0.4.9", "900")

    said = [part.splitlines()[1:] for part in text.split("\n> ")[1:]]
    assert [1, 1, 1, 0] == [len(lines) - lines.count("") for lines in said]
    assert all(lines[0].startswith("! wobble@LR: ") for lines in said[:3])
    assert len(CLEAN) + 1 == len(opened.case.entries)


def test_facts_tools_notes_and_places_by_key():
    opened = begun()
    text = talked(opened, "f drive=rear", "f", "t 1", "t", "n it shakes", "m driveway",
                  "m moon", "n")

    assert {"drive": "rear"} == opened.case.facts and ["dial"] == opened.case.tools
    assert "it shakes" == opened.case.entries[0].text and "driveway" == opened.case.place
    assert "drive: rear - Which wheels are driven? (front, rear)" in text
    assert "1. dial indicator (at hand)" in text
    assert "! 'moon' is no place; one of counter, bay, driveway" in text
    assert "! the note is empty" in text


def test_hostile_texts_steer_no_terminal(ask):
    title = "\x1b[31m[/bad]\u202e"
    done = ask("n \x1b]0;x\x07", "a", "p", options=("--title", title))

    assert all(ch.isprintable() or ch == "\n" for ch in done.out)
    assert r"\x1b[31m[/bad]\u202e" in done.out


def test_no_line_is_wider_than_the_terminal():
    for width in (40, 80):
        text = talked(begun("shake=strong"), "?", "h", "a", "f", "t", "r", "p", "2", width=width)
        assert max(map(len, text.split("\n"))) <= width


def test_plain_ascii():
    assert "0.5 +/-0.1 deg - cafe \\u4e2d ..." == plain_ascii("0.5 ±0.1° – café 中 …")


def test_ascii_on_request_and_where_the_output_holds_no_more(ask):
    assert ask(options=("--ascii", "--title", "café 中")).out.isascii()
    poor = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    Talk(io.StringIO(), poor, 80).say(["café 中"])
    poor.flush()
    assert b"cafe \\u4e2d\n" == poor.buffer.getvalue()


def test_over_a_pipe_an_answer_that_cannot_be_saved_ends_it(ask, monkeypatch):
    refuse(monkeypatch)
    done = ask("1", "1")

    assert ExitCode.NOT_SAVED == done.code
    assert "no room" in done.err


def test_a_person_is_told_that_it_cannot_be_saved_and_may_go_on(monkeypatch, tmp_path):
    opened = OpenCase.new(tmp_path / "v.yaml", place="bay", rules=SMALL_RULES)
    refuse(monkeypatch)
    text = talked(opened, "1", "1")

    assert 2 == text.count("! no room")
    assert [] == opened.case.entries


def refuse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every saving fail as on a full disk."""

    def refused(*_: object) -> None:
        raise CaseNotSavedError("no room on the disk")

    monkeypatch.setattr(store, "save", refused)


def test_a_case_is_opened_moved_and_given_facts(ask, tmp_path):
    ask("1")
    done = ask("q", options=("--place", "driveway", "--fact", "drive=rear"))
    case = case_in(tmp_path / "v.yaml")

    assert ("driveway", {"drive": "rear"}, 1) == (case.place, case.facts, len(case.entries))
    assert done.out.startswith("v (driveway).")


def test_without_a_case_a_new_file_is_begun_here(run, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    expected = fresh_name(tmp_path)
    done = run("ask", "--rules", SMALL_RULES)

    assert ExitCode.FINE == done.code and expected.exists()
    assert expected != fresh_name(tmp_path)


def test_a_damaged_case_gets_one_sentence(ask, tmp_path):
    (tmp_path / "v.yaml").write_text("{", encoding="utf-8")
    done = ask()

    assert ExitCode.CASE_UNUSABLE == done.code
    assert 1 == done.err.count("\n") and "" == done.out


def test_the_program_over_a_real_pipe_in_a_dumb_terminal(tmp_path):
    command = [sys.executable, "-m", "vibecheck.cli.main", "ask", str(tmp_path / "v.yaml"),
               "--rules", str(SMALL_RULES)]
    done = subprocess.run(
        command, input=b"1\n\xff\xfe\nn caf\xc3\xa9\n", capture_output=True, timeout=60,
        check=False, env={"TERM": "dumb", "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": ""},
    )

    assert 0 == done.returncode, done.stderr
    assert b"" == done.stderr and b"\x1b" not in done.stdout
    assert ["none", ""] == [each.value for each in case_in(tmp_path / "v.yaml").entries]

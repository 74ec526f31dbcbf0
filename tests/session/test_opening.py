"""The customer speaks first: meanings with their words, taken together, left out by a person."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.casebook import store
from vibecheck.cli.main import main
from vibecheck.errors import InputError
from vibecheck.session.open_case import OpenCase, library_at
from vibecheck.session.opening import take, understand

RULES = Path(__file__).parents[2] / "rules"
SAID = "it shimmies at 70 since they put the winter tires on, goes away above 80, doesn't pull"


def fresh() -> OpenCase:
    return OpenCase.new(None, place="counter", rules=RULES)


def test_a_sentence_becomes_a_note_and_answers() -> None:
    opened = fresh()
    said = understand(opened.library, SAID, "mph")
    entries = take(opened, said)
    answers = {entry.finding: entry.value for entry in entries}

    assert SAID == entries[0].text
    assert "shake" == said.kind == answers["complaint_kind"]
    assert ("shimmy", "70 mph", "fades", "no") == tuple(
        answers[name] for name in ("feel", "worst_speed", "above_worst_speed", "pulls")
    )
    for each in said.meanings:
        assert each.words and all(part in " ".join(SAID.split())
                                  for part in each.words.split(" ... "))


def test_a_bare_speed_follows_the_reader() -> None:
    said = understand(library_at(RULES), "shakes at 100", "km/h")

    speed = next(each.offer.speed for each in said.meanings if each.offer.speed)
    assert (100.0, "km/h", True) == (speed.value, speed.unit, speed.bare)


def test_what_is_unticked_is_not_taken() -> None:
    opened = fresh()
    said = understand(opened.library, SAID, "mph")
    gone = next(n for n, each in enumerate(said.meanings) if each.offer.finding == "pulls")
    entries = take(opened, said, {gone})

    assert "pulls" not in {entry.finding for entry in entries}


@settings(max_examples=25, deadline=None)
@given(st.text(max_size=200))
def test_any_words_are_taken_or_refused_in_one_sentence(text: str) -> None:
    opened = fresh()
    try:
        take(opened, understand(opened.library, text, "mph"))
    except InputError:
        assert not opened.case.entries
    else:
        assert opened.case.entries


def test_new_says_and_hear(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "v.yaml"
    assert 0 == main(["new", str(file), "--says", SAID, "--without", "pulls"])
    assert "read as mph" in capsys.readouterr().out
    assert "pulls" not in {entry.finding for entry in store.load(file).case.entries}

    assert 0 == main(["hear", str(file), "loud hum in right curves", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert "in_turns" in {each["finding"] for each in told["meanings"]}
    assert all(each["taken"] for each in told["meanings"])
    assert 2 == main(["hear", str(file), "hums", "--without", "no_such"])


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ("hums at 45\n\nq\n", {"hum", "worst_speed", "complaint_kind"}),
        ("hums at 45\n3\nq\n", {"hum", "complaint_kind"}),
        ("\nq\n", set()),
        ("it is just odd\n1\nq\n", {"complaint_kind"}),
    ],
)
def test_the_talk_opens_with_the_customer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    lines: str, found: set[str],
) -> None:
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    assert 0 == main(["ask", str(tmp_path / "v.yaml"), "--place", "counter"])
    assert "What does the customer say?" in capsys.readouterr().out
    entries = store.load(tmp_path / "v.yaml").case.entries

    assert found == {entry.finding for entry in entries if entry.finding}

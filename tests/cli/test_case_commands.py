"""Commands on a case: what they print, what they save, and that printing changes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cli_helpers import case_in

from vibecheck.casebook import journal
from vibecheck.cli.exitcodes import ExitCode


def active(path: Path) -> dict[tuple[str, str | None], str]:
    entries = journal.active_entries(case_in(path))
    return {(entry.finding, entry.corner): entry.value for entry in entries}


class TestNew:
    def test_facts_place_title_and_rules_are_kept(self, run: Any, tmp_path: Path):
        path = tmp_path / "new.yaml"
        ran = run("new", path, "drive=rear", "limit.wobble_limit=0.30 mm", "--place", "counter",
                  "--title", "van [/b]")
        case = case_in(path)

        assert (0, f"{path}\n") == (ran.code, ran.out)
        assert ("counter", "van [/b]", {"drive": "rear"}) == (case.place, case.title, case.facts)
        assert {"wobble_limit": "0.30 mm"} == case.limits
        assert case.rules is not None and 64 == len(case.rules.hash)

    def test_options_may_stand_anywhere(self, run: Any, tmp_path: Path):
        path = tmp_path / "new.yaml"
        run("new", "--title", "first", path, "drive=rear", "--place", "counter", "cylinders=4")
        case = case_in(path)

        assert ("first", "counter", {"drive": "rear", "cylinders": "4"}) == (
            case.title, case.place, case.facts
        )

    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            (["drive=sideways"], "'sideways' is not a value"),
            (["cylinders=99"], "'99' is impossible"),
            (["cylinders=-4"], "'-4' is impossible"),
            (["cylinders=four"], "'four' is not a reading"),
            (["wings=2"], "there is no vehicle fact 'wings'"),
            (["drive"], "'drive' is not a fact"),
            (["drive=front", "drive=rear"], "given twice"),
            (["limit.wobble_limit=-1 mm"], "above zero"),
            (["limit.nothing=1 mm"], "no tolerance 'nothing'"),
        ],
    )
    def test_bad_facts_make_no_file(
        self, run: Any, tmp_path: Path, arguments: list[str], says: str
    ):
        ran = run("new", tmp_path / "new.yaml", *arguments)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err
        assert not (tmp_path / "new.yaml").exists()

    def test_an_existing_file_stays(self, run: Any, visit: Path):
        before = visit.read_bytes()
        ran = run("new", visit)

        assert ExitCode.CASE_UNUSABLE == ran.code
        assert "exists already" in ran.err
        assert before == visit.read_bytes()

    def test_no_folder_is_said(self, run: Any, tmp_path: Path):
        ran = run("new", tmp_path / "nowhere" / "new.yaml")

        assert ExitCode.NOT_SAVED == ran.code
        assert "NOT saved: there is no such folder" in ran.err
        assert not (tmp_path / "nowhere").exists()


class TestAnswer:
    def test_answers_are_saved_and_the_leader_is_said(self, run: Any, visit: Path):
        ran = run("answer", visit, "shake=strong", "wobble@LF=47 thou")

        assert {("shake", None): "strong", ("wobble", "LF"): "47 thou"} == active(visit)
        assert 2 == ran.out.count("\n")
        assert ran.out.split()[0] == case_in(visit).entries[0].id
        assert "saved" in ran.err and "left front" in " ".join(ran.err.split())

    def test_who_and_where(self, run: Any, visit: Path):
        run("answer", visit, "shake=slight", "--place", "driveway", "--by", "technician")
        entry = case_in(visit).entries[0]

        assert ("driveway", "technician") == (entry.place, entry.by)

    def test_retracting_restores_the_former_ranking(self, run: Any, visit: Path):
        run("answer", visit, "shake=strong")
        before = run("rank", visit, "--json").data["ranking"]
        run("answer", visit, "wobble@RR=1.2 mm")
        changed = run("rank", visit, "--json").data["ranking"]
        ran = run("retract", visit, "wobble@RR")
        after = run("rank", visit, "--json").data["ranking"]

        assert ExitCode.FINE == ran.code
        assert "RR" == changed[0]["corner"]
        assert [each["cause"] for each in before] == [each["cause"] for each in after]
        for old, new in zip(before, after, strict=True):
            assert old["probability"] == pytest.approx(new["probability"], abs=1e-9)

    def test_retract_by_id(self, run: Any, visit: Path):
        made = run("answer", visit, "shake=strong").out.split()[0]
        run("retract", visit, made)

        assert {} == active(visit)
        assert "[taken back]" in run("show", visit).out

    def test_notes_are_kept_word_for_word(self, run: Any, visit: Path):
        run("note", visit, "it [/bad] \x1b[2J\nshakes")

        assert "it [/bad] \x1b[2J\nshakes" == case_in(visit).entries[0].text
        assert "\x1b" not in run("show", visit).out

    def test_facts_and_limits(self, run: Any, visit: Path):
        run("facts", visit, "cylinders=4", "limit.wobble_limit=0.3 mm")
        assert {"drive": "rear", "cylinders": "4"} == case_in(visit).facts
        assert {"wobble_limit": "0.3 mm"} == case_in(visit).limits

        run("facts", visit, "cylinders=")

        assert {"drive": "rear"} == case_in(visit).facts


class TestReading:
    def test_rank_json_has_what_programs_need(self, run: Any, visit: Path):
        run("answer", visit, "shake=strong", "wobble@LF=0.1 mm", "loose@LF=none")
        data = run("rank", visit, "--json").data

        first = data["ranking"][0]
        assert {"cause", "corner", "name", "probability", "for", "against"} <= set(first)
        parts = {"ranking", "sets", "less_likely", "next", "remedies", "cautions", "rules"}
        assert parts <= set(data)
        assert {"version", "hash"} <= set(data["rules"])
        assert {"minutes", "access_minutes", "gain"} <= set(data["next"][0])
        assert all(0.0 <= each["probability"] <= 1.0 for each in data["ranking"])
        assert "look_at_wheel" in {each["check"] for each in data["less_likely"]}

    def test_cautions_have_level_and_text(self, run: Any, visit: Path):
        run("answer", visit, "loose@RF=seen")
        data = run("rank", visit, "--json").data

        assert ("stop", "Do not drive with a loose wheel.") in {
            (caution["level"], caution["text"]) for caution in data["cautions"]
        }
        assert "stop" == data["drive"]["word"]
        assert run("rank", visit).out.split("\n")[2].startswith("DRIVING: DO NOT DRIVE")

    def test_next_json_is_as_long_as_asked(self, run: Any, visit: Path):
        data = run("next", visit, "--json", "--count", "1").data

        assert 1 == len(data["next"])
        assert "look_at_wheel" == data["next"][0]["check"]
        assert not data["next"][0]["safety"]  # no cause that stops the car lives there yet

    def test_why_json(self, run: Any, visit: Path):
        run("answer", visit, "shake=strong")
        data = run("why", visit, "bent_hoop@LF", "--json").data

        assert ("bent_hoop", "LF") == (data["cause"], data["corner"])
        assert data["for"][0]["finding"] == "shake"
        assert data["probability"] > data["prior"]

    def test_text_and_json_tell_the_same(self, run: Any, visit: Path):
        run("answer", visit, "shake=strong", "wobble@RF=0.9 mm")
        told = run("rank", visit, "--json").data
        text = run("rank", visit).out
        first, line = told["faults"][0], text.split("\n 1. ")[1].split("\n")[0]

        assert f"{100 * first['probability']:3.0f}%" == line[:4]
        assert first["name"] in line
        assert first["cause"] == told["ranking"][0]["cause"]

    @pytest.mark.parametrize("command", [["rank"], ["rank", "--json"], ["next"], ["show"]])
    def test_reading_changes_no_byte(self, run: Any, visit: Path, command: list[str]):
        run("answer", visit, "shake=strong")
        before = visit.read_bytes()
        ran = run(command[0], visit, *command[1:])

        assert ExitCode.FINE == ran.code
        assert before == visit.read_bytes()

    @pytest.mark.parametrize(
        ("cause", "says"),
        [("nothing", "there is no cause 'nothing'"), ("bent_hoop@XX", "no corner 'XX'"),
         ("", "there is no cause ''")],
    )
    def test_why_of_no_cause(self, run: Any, visit: Path, cause: str, says: str):
        ran = run("why", visit, cause)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err

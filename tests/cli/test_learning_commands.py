"""learn and shop from the command line, over a folder of repaired visits."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from vibecheck.casebook import store
from vibecheck.cli.main import main

sys.path.insert(0, str(Path(__file__).parents[1] / "session"))
from repaired_visits import repaired


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("visits")
    for number in range(6):
        repaired(made, f"wheel{number}")
    repaired(made, "open", cause="")
    repaired(made, "unproven", after=())
    repaired(made, "invented", invented=True)
    (made / "bad.yaml").write_text("[/bad] \x1b[31m", encoding="utf-8")
    return made


def test_learn_says_what_counts_and_what_does_not(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 0 == main(["learn", str(folder)])
    shown = capsys.readouterr().out

    assert "10 visits in the folder." in shown
    assert "6 confirmed, and counted" in shown
    assert "1 not verified: nothing was measured or driven again" in shown
    assert "1 marked as invented" in shown and "1 the file cannot be used" in shown
    assert "Bent wheel" in shown and "Too few to say" in shown
    assert "all fixed" not in shown  # free words about an outcome count for nothing


def test_invented_visits_count_only_when_asked(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 0 == main(["learn", str(folder), "--with-invented", "--json"])
    data = json.loads(capsys.readouterr().out)

    assert 7 == data["standings"]["confirmed"]
    assert "too_few" == data["score"]["verdict"]
    (wheel,) = [each for each in data["rates"] if each["cause"] == "bent_wheel"]
    assert 7 == wheel["visits"] and wheel["low"] < wheel["share"] < wheel["high"]


def test_proposals_are_tried_on_a_case_and_nothing_else_changes(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before and after learning the ranking of a case is the same; with --rules FILE the fault
    that was confirmed six times is a little likelier."""
    case, file = folder / "open.yaml", tmp_path / "counted.yaml"
    ask = ["rank", str(case), "--json"]
    assert 0 == main(ask)
    before = json.loads(capsys.readouterr().out)
    content = case.read_bytes()
    assert 0 == main(["learn", str(folder), "-o", str(file)])
    assert 0 == main(ask)
    capsys.readouterr()
    assert 0 == main(ask)
    assert before == json.loads(capsys.readouterr().out)
    assert content == case.read_bytes()

    assert 0 == main(["rules", "check", "--rules", str(file)])
    capsys.readouterr()
    assert 0 == main([*ask, "--rules", str(file)])
    after = json.loads(capsys.readouterr().out)

    def chance(data: dict[str, Any]) -> float:
        return float(next(each["probability"] for each in data["ranking"]
                          if each["cause"] == "bent_wheel"))  # fmt: skip

    assert chance(before) < chance(after) < 1.2 * chance(before)


def test_the_shop_page_in_every_form(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 0 == main(["shop", str(folder)])
    shown = capsys.readouterr().out
    assert "First remedy held" in shown and "6 of 6 that were looked at again" in shown
    assert "Bent wheel" in shown
    assert 0 == main(["shop", str(folder), "--json"])
    data = json.loads(capsys.readouterr().out)
    assert 6 == data["together"]["confirmed"] == data["complaints"][0]["behind"][0]["visits"]
    page = tmp_path / "figures.html"
    assert 0 == main(["shop", str(folder), "--format", "html", "-o", str(page)])
    assert "Bent wheel" in page.read_text(encoding="utf-8")


@pytest.mark.parametrize("command", ["learn", "shop"])
def test_a_folder_that_is_none_is_one_sentence(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 0 != main([command, str(tmp_path / "nowhere")])
    told = capsys.readouterr().err
    assert 1 == len(told.strip().splitlines()) and "Traceback" not in told


def test_proposals_go_into_a_file_of_rules_only(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 2 == main(["learn", str(folder), "-o", str(tmp_path / "counted.txt")])
    assert "end in .yaml" in capsys.readouterr().err
    assert 0 != main(["learn", str(folder), "-o", str(tmp_path / "no" / "counted.yaml")])
    assert "NOT written" in capsys.readouterr().err


def test_a_folder_without_visits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert 0 == main(["learn", str(tmp_path)])
    assert "0 visits in the folder." in capsys.readouterr().out
    assert 0 == main(["shop", str(tmp_path)])


def test_customers_are_in_no_page_and_no_file(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "counted.yaml"
    assert 0 == main(["learn", str(folder), "-o", str(file), "--json"])
    told = capsys.readouterr().out + file.read_text(encoding="utf-8")
    for path in folder.glob("wheel*.yaml"):
        case = store.load(path).case
        assert case.id not in told and case.title not in told

"""Listing, searching, sharing and handing out visits from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from vibecheck.casebook import store
from vibecheck.casebook.case import Case, Customer, Outcome
from vibecheck.cli.main import main


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "visits"
    made.mkdir()
    store.create(made / "a.yaml", Case(
        id="a", title="wagon, shimmies", place="bay",
        customer=Customer(name="Ilves", plate="KLM-482"), outcome=Outcome(cause="bent_wheel"),
    ))
    store.create(made / "b.yaml", Case(id="b", title="van, hums \x1b[31m[/bad]"[:12], place="bay",
                                       archived=True))
    return made


def test_visits_are_listed_and_found(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert 0 == main(["cases", str(folder), "--plate", "klm 482"])
    shown = capsys.readouterr().out
    assert "wagon, shimmies" in shown and "bent wheel" in shown and "1 of 2 visits." in shown

    assert 0 == main(["cases", str(folder), "--find", "hums", "--json"])
    assert [] == json.loads(capsys.readouterr().out)["visits"]
    assert 0 == main(["cases", str(folder), "--find", "hums", "--archived", "--json"])
    assert ["b"] == [each["id"] for each in json.loads(capsys.readouterr().out)["visits"]]


def test_a_shared_index_is_filled_and_searched(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    url = f"sqlite:///{tmp_path / 'shared.sqlite'}"

    assert 0 == main(["archive", str(folder), "--to", url])
    assert 0 == main(["cases", "--in", url, "--customer", "ilves"])
    assert "wagon, shimmies" in capsys.readouterr().out


def test_a_copy_without_the_customer(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.yaml"

    assert 0 == main(["export", str(folder / "a.yaml"), "--without-customer", "-o", str(out)])
    assert "Ilves" not in out.read_text(encoding="utf-8")
    assert 0 != main(["export", str(folder / "a.yaml"), "--without-customer", "-o", str(out)])


@pytest.mark.parametrize(
    "words", [["--since", "yesterday"], ["--most", "0"], ["--in", "nonsense"]]
)
def test_bad_wishes_are_one_sentence(
    folder: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert 2 == main(["cases", str(folder), *words])
    assert 1 == len(capsys.readouterr().err.strip().splitlines())


def test_a_folder_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert 0 != main(["cases", str(tmp_path / "none")])
    assert "Traceback" not in capsys.readouterr().err

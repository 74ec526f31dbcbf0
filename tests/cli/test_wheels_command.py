"""`vibecheck wheels`: readings in, sheets out; all of it is saved, or nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.main import main
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import Fate

NEW = ("--state", "new", "--shipped", "yes", "--dial", "0.01 mm")
TURN = "6 7 8 8 7 6 5 -55 1 31 -3 -5 -7 -7 -8 -8 -7 -7 -5 -3 -1 0 3 5"


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    return "set.yaml"


def run(*words: str) -> int:
    return main(["wheels", *words])


def test_a_set_from_the_command_line(path: str, capsys: Any) -> None:
    assert 0 == run(path, *NEW, "1.inboard=14 18", "1.outboard=11 12", "1.look=clean",
                    "2.outboard.radial=119", f"2.outboard.radial={TURN}", "2.look=dent")
    out = capsys.readouterr().out
    assert "1.19 !" in out and "claim: beyond, bent, dented" in out

    assert 0 == run(path, "3.inboard=49 9/-3", "--json")
    found = json.loads(capsys.readouterr().out)
    assert 0.12 == pytest.approx(found["wheels"][2]["surfaces"]["inboard_lateral"]["runout_mm"])

    bench = OpenSet.open(Path(path))
    assert Fate.CLAIM is bench.table.row("2").fate
    assert 1 == len(bench.table.row("2").readings[next(iter(bench.table.row("2").readings))])


def test_sheets_as_text_and_as_a_page(path: str, capsys: Any, tmp_path: Path) -> None:
    (tmp_path / "dent.jpg").write_bytes(b"invented")
    run(path, *NEW, "2.outboard.radial=119", f"2.outboard.radial={TURN}")
    capsys.readouterr()
    assert 0 == run(path, "--sheet", "set", "--units", "us")
    assert "0.0469" in capsys.readouterr().out  # 1.19 mm / 25.4
    assert 0 == run(path, "--sheet", "claim", "--wheel", "2", "--photo", "dent.jpg",
                    "--format", "html", "-o", "claim.html")
    page = (tmp_path / "claim.html").read_text(encoding="utf-8")

    assert "<svg" in page and "dent.jpg" in page
    # SHA-256 of the bytes "invented", by sha256sum of GNU coreutils
    assert "80914f0274ced542b3c64fd18666296efc1be86f90fc57f02ac5b46ed46d4489" in page


@pytest.mark.parametrize(("words", "said"), [
    (("1.inboard=14",), "14 thou makes more sense than 14 mm"),
    (("1.inboard=0",), "never moved"),
    (("1.inboard=0.1 0.2 0.3",), "3 values for 2"),
    (("1.sideways=0.2",), "nothing to read of a wheel"),
    (("9.inboard=0.2",), "there is no wheel '9'"),
    (("inboard=0.2",), "no reading of a wheel"),
    (("1.look=fine",), "clean, lip, dent"),
    (("1.inboard=0.2", "2.inboard=0"), "never moved"),
    (("--names", "a,a", "a.inboard=0.2"), "the same name"),
    (("--limit-radial", "9 mm", "1.inboard=0.2"), "that inspection rejects"),
    (("--undo",), "no such file"),
    (("--sheet", "set"), "no such file"),
    (("1.outboard.radial=1 2 3 4 5 6 7 8",), "makes more sense than 7 mm"),
    (("1.outboard.radial=1 2 3 4 5 6 9 mm",), "farther than a gauge"),
])
def test_what_cannot_be_is_one_sentence_and_begins_no_file(
    path: str, capsys: Any, words: tuple[str, ...], said: str
) -> None:
    code = run(path, *words)
    error = capsys.readouterr().err

    assert code in (ExitCode.WRONG_INPUT, ExitCode.CASE_UNUSABLE)
    assert said in error and 1 == error.count("\n")
    assert not Path(path).exists()


def test_all_is_saved_or_nothing(path: str, capsys: Any) -> None:
    run(path, *NEW)
    before = Path(path).read_bytes()
    assert 0 != run(path, "--by", "Ida", "1.inboard=14 18", "2.inboard=0")

    assert before == Path(path).read_bytes()


def test_undo_names_and_about(path: str, capsys: Any) -> None:
    run(path, *NEW, "--names", "A,B,spare", "--by", "Ida", "--gauge", "one dial",
        "--limit-lateral", "0.3 mm", "spare.inboard=14 18")
    assert 0 == run(path, "--undo")
    assert 0 == run(path, "--sheet", "set")
    out = capsys.readouterr().out

    assert "spare" in out and "Ida" in out and "0.30 mm (typed in for this set)" in out
    bench = OpenSet.open(Path(path))
    assert 1 == len(bench.table.row("3").read)  # of a row of two the newest was taken back


def test_a_claim_names_its_wheel_and_a_photo_must_be_there(path: str, capsys: Any) -> None:
    run(path, *NEW, "1.look=cracked")
    assert 0 != run(path, "--sheet", "claim")
    assert "a claim is for one wheel" in capsys.readouterr().err
    assert 0 != run(path, "--sheet", "claim", "--wheel", "1", "--photo", "gone.jpg")
    assert "no such photo" in capsys.readouterr().err


def test_cases_list_and_search_it(path: str, capsys: Any, tmp_path: Path) -> None:
    run(path, *NEW, "--title", "Invented spokes", "--names", "spare", "spare.inboard=14 18")
    capsys.readouterr()
    for words in ((), ("--find", "spare"), ("--title", "spokes")):
        assert 0 == main(["cases", str(tmp_path), *words])
        assert "Invented spokes" in capsys.readouterr().out
    assert 0 == main(["show", path])
    assert "wheel 1: bead_radial_inboard = 0.14 mm" in " ".join(capsys.readouterr().out.split())
    assert 0 != main(["rank", path])
    assert "open it with 'vibecheck wheels'" in capsys.readouterr().err

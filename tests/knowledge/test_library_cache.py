"""The cache of the checked library: it changes nothing that is known, and is never trusted."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from vibecheck.errors import RulesError
from vibecheck.knowledge import checks, library_cache
from vibecheck.knowledge.loader import load

ROOT = Path(__file__).parents[2]
RULES, DEMOS = ROOT / "rules", ROOT / "demo_cases"
SMALL = Path(__file__).parent / "small_rules"


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache folder of its own."""
    folder = tmp_path / "cache"
    monkeypatch.delenv(library_cache.OFF, raising=False)
    monkeypatch.setattr(
        library_cache, "folder", lambda: None if os.environ.get(library_cache.OFF) else folder)
    return folder


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    """A copy of the small rules that may be changed."""
    return Path(shutil.copytree(SMALL, tmp_path / "rules"))


def kept(cache: Path) -> list[Path]:
    return sorted(cache.glob("rules-*.json"))


def checked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Notes every time that rules are checked."""
    noted: list[str] = []
    true_errors = checks.errors

    def errors(*given: object) -> object:
        noted.append("checked")
        return true_errors(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(checks, "errors", errors)
    return noted


def test_a_library_from_the_cache_is_the_library_that_was_read(cache: Path) -> None:
    read, found = load(RULES), load(RULES)

    assert found == read and found is not read
    assert list(found.causes) == list(read.causes)
    assert found.digest == read.digest
    for key, origin in read.origins.items():
        assert (origin.file, origin.line) == (found.origins[key].file, found.origins[key].line)
    origin, again = (each.origins["causes", "bent_wheel"] for each in (read, found))
    assert origin.at("shows", "wobble_seen") == again.at("shows", "wobble_seen")
    assert origin.at("remedies") == again.at("remedies") > origin.line


def test_rules_are_read_and_checked_once(
    cache: Path, rules: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    noted = checked(monkeypatch)
    for _ in range(3):
        load(rules)

    assert ["checked"] == noted
    assert 1 == len(kept(cache))


def test_any_change_of_a_rule_file_is_read_and_checked(
    cache: Path, rules: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A letter, a name, an added file, a removed one."""
    load(rules)
    noted = checked(monkeypatch)
    file = next(rules.glob("causes.yaml"))
    file.write_text(file.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    load(rules)
    file.rename(file.with_name("other.yaml"))
    load(rules)
    added = rules / "more.yaml"
    added.write_text("tools:\n  - {id: spare_lamp, name: lamp}\n", encoding="utf-8")
    assert "spare_lamp" in load(rules).tools
    added.unlink()
    assert "spare_lamp" not in load(rules).tools

    assert 3 == len(noted)  # without the added file it is the library before


def test_faulty_rules_are_refused_every_time_and_never_kept(
    cache: Path, rules: Path
) -> None:
    load(rules)
    (rules / "more.yaml").write_text("tools:\n  - {id: lamp}\n", encoding="utf-8")
    for _ in range(2):
        with pytest.raises(RulesError):
            load(rules)

    assert 1 == len(kept(cache))


def test_a_missing_folder_is_a_fault_also_where_the_rest_is_kept(cache: Path, rules: Path) -> None:
    load(rules)

    with pytest.raises(RulesError):
        load(rules, [rules.parent / "nowhere"])


def test_what_is_damaged_or_foreign_is_passed_over_and_replaced(cache: Path, rules: Path) -> None:
    read = load(rules)
    (path,) = kept(cache)
    good = path.read_bytes()
    hashed, _, content = good.partition(b"\n")
    foreign = json.dumps({"causes": {}}).encode()
    poisoned = content.replace(b"loose_wheel", b"loose_whee1")
    for bad in (
        b"", b"\n", b"nonsense", good[: len(good) // 2], hashed + b"\n" + poisoned,
        good.replace(b"0.85", b"0.15"), b"\xff" * 200,
        sha256(foreign).hexdigest().encode() + b"\n" + foreign,
        sha256(b"[" * 5000).hexdigest().encode() + b"\n" + b"[" * 5000,
    ):
        path.write_bytes(bad)
        assert load(rules) == read
        assert path.read_bytes() == good


def test_another_version_of_the_program_reads_anew(
    cache: Path, rules: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load(rules)
    noted = checked(monkeypatch)
    for name, value in (("VERSION", "0.0.1"), ("FORMAT", 999), ("_program", lambda: "changed")):
        with monkeypatch.context() as patch:
            patch.setattr(library_cache, name, value)
            load(rules)

    assert 3 == len(noted)


def test_a_cache_that_cannot_be_written_or_read_changes_nothing(
    tmp_path: Path, rules: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = load(rules)
    blocked = tmp_path / "a file"
    blocked.write_text("", encoding="utf-8")
    monkeypatch.setattr(library_cache, "folder", lambda: blocked / "cache")
    assert load(rules) == read
    monkeypatch.setattr(library_cache, "folder", lambda: tmp_path / "cache")
    for path in kept(tmp_path / "cache"):
        path.unlink()
        path.mkdir()  # a folder in the file's place can be neither read nor replaced
    assert load(rules) == read


def test_switched_off_nothing_is_kept(
    cache: Path, rules: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(library_cache.OFF, "1")
    noted = checked(monkeypatch)
    load(rules)
    load(rules)

    assert 2 == len(noted)
    assert not cache.exists()


def test_only_the_newest_few_are_kept(cache: Path, rules: Path) -> None:
    for number in range(library_cache.MOST_KEPT + 3):
        (rules / "more.yaml").write_text(f"tools: []\n# {number}\n", encoding="utf-8")
        load(rules)

    assert library_cache.MOST_KEPT == len(list(cache.iterdir()))


def test_no_byte_of_the_ranking_depends_on_the_cache(tmp_path: Path) -> None:
    """Without a cache, while it is filled, from it, damaged, and from another version."""

    def ranked(**environment: str) -> bytes:
        home = {"XDG_CACHE_HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)}
        return subprocess.run(
            [sys.executable, "-m", "vibecheck.cli.main", "rank", "--json",
             str(DEMOS / "two_faults_at_once.yaml")],
            cwd=ROOT, env=os.environ | home | environment, check=True, capture_output=True,
        ).stdout

    plain = ranked(**{library_cache.OFF: "1"})
    assert not list(tmp_path.rglob("rules-*.json"))
    assert plain == ranked() == ranked()
    (path,) = tmp_path.rglob("rules-*.json")
    path.write_bytes(path.read_bytes()[:-100])
    assert plain == ranked() == ranked()
    path.rename(path.with_name(f"rules-{'0' * 64}.json"))
    assert plain == ranked()

"""The index over many visits: says what the files say, heals itself, alike in every database."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest
from invented_visits import CARS, ENDS, FAULTS, PEOPLE, REMEDIES, WORDS, write_visits
from msgspec import structs
from own_postgresql import programs, server

from vibecheck.casebook import store
from vibecheck.casebook.archive import INDEX_NAME, Archive, Search, texts_of
from vibecheck.casebook.case import Case, Customer
from vibecheck.errors import ArchiveError

MANY = int(os.environ.get("VIBECHECK_VISITS", "300"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("visits")
    write_visits(made, MANY)
    return made


@pytest.fixture(scope="module")
def archive(folder: Path) -> Iterator[Archive]:
    with Archive.beside(folder) as found:
        found.refresh(folder)
        yield found


def searches(count: int = 50) -> list[Search]:
    """Searches of every kind, the same at each call."""
    rng = random.Random(11)
    made = []
    for _ in range(count):
        wanted: dict[str, str | bool] = {}
        for name, choices in (
            ("words", WORDS), ("title", CARS), ("customer", PEOPLE), ("fault", FAULTS),
            ("remedy", REMEDIES), ("outcome", ENDS),
        ):
            if rng.random() < 0.3:
                wanted[name] = rng.choice(choices).upper()
        if rng.random() < 0.2:
            wanted["plate"] = f"{rng.choice('ABCDEF')}a {rng.randrange(10)}"
        if rng.random() < 0.2:
            wanted["since"], wanted["until"] = "2026-01-06", "2026-01-09"
        wanted["archived"] = rng.random() < 0.3
        made.append(Search(**wanted))  # type: ignore[arg-type]
    return made


def plain_search(folder: Path, wanted: Search) -> list[str]:
    """The same search by reading every file: the ids that match."""
    found = []
    for path in folder.glob("*.yaml"):
        case = store.load(path).case
        assert case.customer is not None and case.outcome is not None
        text = "\n".join(texts_of(case)).lower()
        newest = max(entry.at for entry in case.entries)
        fields = {
            "title": case.title, "customer": case.customer.name, "fault": case.outcome.cause,
            "remedy": case.outcome.remedy, "outcome": case.outcome.confirmed,
        }
        plate = case.customer.plate.lower().replace("-", "")
        if (
            (wanted.archived or not case.archived)
            and all(word in text for word in wanted.words.lower().split())
            and all(getattr(wanted, name).lower() in value for name, value in
                    {key: each.lower() for key, each in fields.items()}.items())
            and wanted.plate.lower().replace(" ", "") in plate
            and (not wanted.since or wanted.since <= newest[:10])
            and (not wanted.until or newest[:10] <= wanted.until)
        ):
            found.append(case.id)
    return sorted(found)


def test_searches_say_what_the_files_say(folder: Path, archive: Archive) -> None:
    some = 0
    for wanted in searches(20 if MANY <= 1000 else 5):
        expected = plain_search(folder, wanted)
        some += bool(expected)

        found = archive.search(wanted, folder, most=10 * MANY)
        assert expected == sorted(visit.id for visit in found), wanted
        assert [visit.newest for visit in found] == sorted(
            (visit.newest for visit in found), reverse=True
        )
    assert some >= 3


@pytest.mark.skipif(programs() is None, reason="PostgreSQL is not installed")
def test_postgresql_gives_the_same_answers(folder: Path, archive: Archive) -> None:
    with server() as url, Archive(url) as shared:
        shared.refresh(folder)

        assert archive.count(folder) == shared.count(folder) == MANY
        for wanted in searches():
            assert archive.search(wanted, folder) == shared.search(wanted, folder), wanted


def test_a_save_outside_is_seen_at_the_next_look(tmp_path: Path) -> None:
    write_visits(tmp_path, 3)
    with Archive.beside(tmp_path) as archive:
        assert (3, 0) == (lambda done: (done.read, done.gone))(archive.refresh(tmp_path))
        assert (0, 0) == (lambda done: (done.read, done.gone))(archive.refresh(tmp_path))
        stored = store.load(tmp_path / "v000001.yaml")
        renamed = structs.replace(stored.case, title="Quite another title")
        store.save(stored, renamed)
        (tmp_path / "v000002.yaml").unlink()

        assert (1, 1) == (lambda done: (done.read, done.gone))(archive.refresh(tmp_path))
        assert ["Quite another title"] == [
            visit.title for visit in archive.search(Search(title="quite another"), tmp_path)
        ]
        assert 2 == archive.count(tmp_path)


def test_an_unreadable_file_is_listed_with_its_complaint(tmp_path: Path) -> None:
    (tmp_path / "cut.yaml").write_text("vibecheck_case: [", encoding="utf-8")
    with Archive.beside(tmp_path) as archive:
        archive.refresh(tmp_path)

        (found,) = archive.search(Search(), tmp_path)
        assert found.title == "cut.yaml" and "cut.yaml" in found.complaint


def test_a_damaged_index_is_made_anew(tmp_path: Path) -> None:
    write_visits(tmp_path, 2)
    (tmp_path / INDEX_NAME).write_bytes(b"no database at all" * 100)
    with Archive.beside(tmp_path) as archive:
        archive.refresh(tmp_path)

        assert 2 == archive.count(tmp_path)


@pytest.mark.parametrize("text", ["%", "_", "\\", "'; drop table visits; --", "[/bad]", "é"])
def test_marks_of_the_search_language_are_just_letters(tmp_path: Path, text: str) -> None:
    case = Case(id="c", title=f"a {text} b", place="bay", customer=Customer(name=text))
    store.create(tmp_path / "c.yaml", case)
    store.create(tmp_path / "d.yaml", Case(id="d", title="none of it", place="bay"))
    with Archive.beside(tmp_path) as archive:
        archive.refresh(tmp_path)

        assert ["c"] == [visit.id for visit in archive.search(Search(words=text), tmp_path)]
        assert ["c"] == [visit.id for visit in archive.search(Search(customer=text), tmp_path)]


@pytest.mark.parametrize("url", ["", "nonsense", "postgresql+psycopg://nobody@/none?host=/nowhere",
                                 "sqlite:////nowhere/at/all.sqlite", "oracle+what://x"])
def test_a_base_that_cannot_be_is_one_sentence(url: str) -> None:
    with pytest.raises(ArchiveError) as caught:
        Archive(url)
    assert "\n" not in str(caught.value)


def test_a_password_is_not_shown() -> None:
    with pytest.raises(ArchiveError) as caught:
        Archive("postgresql+psycopg://me:sesame@/none?host=/nowhere")
    assert "sesame" not in str(caught.value)


def add_and_look(folder: str, writer: int) -> int:
    """One writer: five visits of its own, looking at the index after each."""
    with Archive.beside(Path(folder)) as archive:
        for number in range(5):
            case = Case(id=f"w{writer}-{number}", title=f"writer {writer}", place="bay")
            store.create(Path(folder) / f"w{writer}-{number}.yaml", case)
            archive.refresh(Path(folder))
    return writer


def test_eight_writers_on_one_folder_lose_nothing(tmp_path: Path) -> None:
    with ProcessPoolExecutor(4, mp_context=get_context("spawn")) as pool:
        done = list(pool.map(add_and_look, [str(tmp_path)] * 8, range(8)))
    with Archive.beside(tmp_path) as archive:
        archive.refresh(tmp_path)

        assert list(range(8)) == done
        assert 40 == archive.count(tmp_path) == len(archive.search(Search(), tmp_path))


if __name__ == "__main__":  # times at 10,000 visits, for docs/benchmarks.md
    import tempfile

    with tempfile.TemporaryDirectory() as made:
        write_visits(Path(made), 10_000)
        with Archive.beside(Path(made)) as timed:
            for word in ("first look", "next look"):
                begun = time.perf_counter()
                timed.refresh(Path(made))
                print(f"{word}: {time.perf_counter() - begun:.2f} s")
            begun = time.perf_counter()
            for each in searches():
                timed.search(each, Path(made))
            print(f"50 searches: {time.perf_counter() - begun:.2f} s")

"""Whatever is accepted can be opened again: texts of any length and kind, files of any size."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from vibecheck.casebook import case as shapes
from vibecheck.casebook import journal, store
from vibecheck.casebook.case import LARGEST_CASE, LONGEST_NOTE, LONGEST_WORD, Case
from vibecheck.casebook.shape import read_case, write_case
from vibecheck.errors import CaseNotSavedError, InputError, VibecheckError

fixed = settings(derandomize=True, max_examples=300, deadline=None)
EMPTY = Case(id="c1", title="a hatchback", place="bay")

some = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=6)
pieces = some | st.sampled_from(
    ["\r\n", "\n", " ", "\t", "- ", ": ", "...\n", "\x85", "\u2028", "\ufeff", "\x00", "é"]
)
lengths = st.sampled_from([0, 1, 7, LONGEST_WORD - 1, LONGEST_WORD, LONGEST_WORD + 1, 1_200,
                           LONGEST_NOTE, LONGEST_NOTE + 1])
texts = st.builds(lambda piece, length: (piece * length)[:length], pieces, lengths)
WORDS_OF_ENTRY = ("finding", "value", "check", "retracts", "remedy", "minutes", "parts")


def answered(name: str, text: str) -> Case:
    """A case whose only entry is an answer with this text in one of its places."""
    whole: dict[str, Any] = {"finding": "shake", "value": "strong"}
    whole[name] = [text] if name in ("readings", "angles") else text
    entry = shapes.Entry(id="e1", at="2026-03-02T12:00:00Z", kind="answer", place="bay",
                         by="owner", **whole)
    return EMPTY.with_entry(entry)


def with_text(place: str, text: str) -> Case:
    """A case that holds a text at a place, as no checking door would have made it."""
    kind, _, name = place.partition(".")
    if kind == "entry":
        return answered(name, text)
    made: dict[str, Any] = {
        "customer": lambda: shapes.Customer(**{name: text}),
        "outcome": lambda: shapes.Outcome(**{name: text}),
        "rules": lambda: shapes.RulesUsed(version=text, hash=text),
        "facts": lambda: {text: "x"} if name == "key" else {"x": text},
        "limits": lambda: {text: "x"} if name == "key" else {"x": text},
        "tools": lambda: ["x", text],
    }
    return structs.replace(EMPTY, **{kind: made[kind]() if kind in made else text})


places = st.sampled_from([
    "title", "story", "follows", "tools", "rules", "id",
    *(f"{kind}.{name}" for kind in ("facts", "limits") for name in ("key", "value")),
    *(f"customer.{name}" for name in ("name", "phone", "plate", "odometer", "vin")),
    *(f"outcome.{name}" for name in ("cause", "remedy", "confirmed")),
    *(f"entry.{name}" for name in (*WORDS_OF_ENTRY, "text", "readings", "angles")),
])


@fixed
@given(places, texts)
def test_every_text_at_every_place_is_refused_or_comes_back(place: str, text: str) -> None:
    case = with_text(place, text)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "visit.yaml"
        try:
            store.create(path, case)
        except InputError as error:
            assert not path.exists()
            assert len(text) > LONGEST_WORD or place in ("id", "entry.finding", "entry.value")
            assert "\n" not in str(error)
        else:
            assert case == store.load(path).case


@fixed
@given(st.sampled_from([*WORDS_OF_ENTRY, "text", "readings", "angles"]), texts)
def test_what_the_journal_takes_can_be_kept(name: str, text: str) -> None:
    said = {"finding": "shake", "value": "strong", name: text}
    if name in ("readings", "angles"):
        said[name] = (text,)
    try:
        case, _ = journal.append(EMPTY, [journal.Draft("answer", **said)])
    except InputError:
        return
    if case.entries[0].finding and case.entries[0].value:
        assert case == read_case(write_case(case), "c.yaml")


@pytest.mark.parametrize("kind", ["note", "answer", "reading", "step", "retraction", "remedy"])
def test_an_entry_that_says_nothing_is_refused(tmp_path: Path, kind: Any) -> None:
    case, _ = journal.append(EMPTY, [journal.Draft(kind)])
    with pytest.raises(InputError, match=f"this {kind} has no"):
        store.create(tmp_path / "visit.yaml", case)
    assert [] == list(tmp_path.glob("*.yaml"))


def nearly_full(path: Path, text: str, bytes_of_one: int) -> store.StoredCase:
    """A case that has room for a few more such notes."""
    count = LARGEST_CASE // (LONGEST_NOTE * bytes_of_one) - 3
    case, _ = journal.append(EMPTY, [journal.Draft("note", text=text)] * count)
    return store.create(path, case)


def fill(stored: store.StoredCase, text: str) -> store.StoredCase:
    """Add notes until one is refused; the case then. Every one acknowledged is in it."""
    acknowledged = [entry.id for entry in stored.case.entries]
    while True:
        case, (entry,) = journal.append(stored.case, [journal.Draft("note", text=text)])
        try:
            stored = store.save(stored, case)
        except CaseNotSavedError as error:
            assert "is full" in str(error)
            assert acknowledged == [each.id for each in store.load(stored.path).case.entries]
            return stored
        acknowledged.append(entry.id)


@pytest.mark.parametrize(("sign", "size"), [("w", 1), ("é", 2), ("\x1b", 2)])
def test_the_entry_that_would_overfill_the_file_is_refused_and_none_is_lost(
    tmp_path: Path, sign: str, size: int
) -> None:
    """A sign may take one byte in the file or several: the file's bytes count."""
    text = sign * LONGEST_NOTE
    stored = fill(nearly_full(tmp_path / "visit.yaml", text, size), text)

    assert stored == store.load(stored.path)
    assert LARGEST_CASE * 0.9 < stored.path.stat().st_size <= LARGEST_CASE

    case, _ = journal.append(stored.case, [journal.Draft("note", text="short")])
    assert store.save(stored, case) == store.load(stored.path)


def test_two_people_who_fill_one_file_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    """What overfills may be the other one's entries: the merged file counts."""
    first = nearly_full(tmp_path / "visit.yaml", "w" * LONGEST_NOTE, 1)
    theirs = fill(first, "w" * LONGEST_NOTE)
    mine, _ = journal.append(first.case, [journal.Draft("note", text="m" * LONGEST_NOTE)])

    with pytest.raises(CaseNotSavedError, match="is full"):
        store.save(first, mine)

    assert theirs == store.load(first.path)


@fixed
@given(st.text(max_size=400) | texts, st.text(max_size=400) | texts, st.text(max_size=400) | texts)
def test_no_sentence_is_longer_than_may_be_whatever_is_in_it(
    what: str, where: str, instead: str
) -> None:
    for error in (InputError(what, where, instead), InputError(f"'{what}' is no answer", where)):
        assert len(str(error)) <= 300
        assert str(error).isprintable()


def test_a_long_sentence_keeps_what_matters() -> None:
    """The file's name with its line, the beginning of what was typed, and what to write."""
    said = str(InputError(f"'{'x' * 100_000}' is no answer to 'Shake'",
                          f"/{'deep/' * 300}visit.yaml:7", "write one of none, strong"))

    assert "visit.yaml:7: 'xxxx" in said
    assert said.endswith("' is no answer to 'Shake'; write one of none, strong")
    assert said.count("x") <= 60


def test_a_replaced_file_is_never_taken_for_the_same_visit(tmp_path: Path) -> None:
    stored = store.create(tmp_path / "visit.yaml", EMPTY)
    stored.path.unlink()
    store.create(stored.path, structs.replace(EMPTY, id="c2", title="another car"))

    with pytest.raises(VibecheckError, match="holds another visit by now: 'another car'"):
        store.reread(stored)

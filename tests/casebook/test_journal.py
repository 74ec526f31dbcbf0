"""The journal: ids, times, order, and what is in force."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case, Entry
from vibecheck.casebook.journal import Draft
from vibecheck.casebook.moments import read_moment
from vibecheck.errors import CaseError, InputError

fixed = settings(derandomize=True, max_examples=60, deadline=None)
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def answer(finding: str, value: str, corner: str | None = None) -> Draft:
    return Draft("answer", finding=finding, value=value, corner=corner)  # type: ignore[arg-type]


def values(case: Case) -> dict[tuple[str, str | None], str]:
    return {(entry.finding, entry.corner): entry.value for entry in journal.active_entries(case)}


class TestInForce:
    def test_newer_answer_stands_in_for_the_older_at_the_same_corner(self, empty_case: Case):
        drafts = [answer("a", "1", "LF"), answer("a", "1", "RF"), answer("a", "2", "LF")]
        case, _ = journal.append(empty_case, drafts)

        assert {("a", "LF"): "2", ("a", "RF"): "1"} == values(case)

    def test_reading_stands_in_for_an_answer(self, empty_case: Case):
        drafts = [answer("a", "1"), Draft("reading", finding="a", value="0.5 mm")]
        case, _ = journal.append(empty_case, drafts)

        assert {("a", None): "0.5 mm"} == values(case)

    def test_retraction_brings_the_older_answer_back(self, empty_case: Case):
        case, made = journal.append(empty_case, [answer("a", "1"), answer("a", "2")])
        case, _ = journal.append(case, [journal.retraction(case, made[1].id)])

        assert {("a", None): "1"} == values(case)

    def test_retracting_a_retraction_brings_the_entry_back(self, empty_case: Case):
        case, made = journal.append(empty_case, [answer("a", "1")])
        case, (taken,) = journal.append(case, [journal.retraction(case, made[0].id)])
        assert {} == values(case)

        case, _ = journal.append(case, [journal.retraction(case, taken.id)])

        assert {("a", None): "1"} == values(case)

    def test_steps_are_kept_apart_from_answers(self, empty_case: Case):
        drafts = [
            Draft("step", check="lift", value="cannot"), answer("a", "1"),
            Draft("step", check="lift", value="done"),
        ]
        case, _ = journal.append(empty_case, drafts)

        assert ["done"] == [step.value for step in journal.active_steps(case)]
        assert {("a", None): "1"} == values(case)

    def test_order_in_the_file_does_not_matter(self, empty_case: Case):
        case, _ = journal.append(empty_case, [answer("a", "1"), answer("a", "2")])
        turned = Case(id="c", title="t", place="bay", entries=list(reversed(case.entries)))

        assert values(case) == values(turned)

    def test_retractions_that_name_each_other_come_to_an_end(self):
        def taking(own: str, other: str) -> Entry:
            return Entry(id=own, at="2026-03-02T12:00:00Z", kind="retraction", place="bay",
                         by="owner", retracts=other)

        case = Case(id="c", title="t", place="bay", entries=[taking("a", "b"), taking("b", "a")])

        assert {"a"} == journal.retracted_ids(case)


class TestRetraction:
    def test_unknown_entry_is_refused(self, empty_case: Case):
        with pytest.raises(CaseError, match="no entry 'zz'"):
            journal.retraction(empty_case, "zz")

    def test_second_retraction_is_refused(self, empty_case: Case):
        case, made = journal.append(empty_case, [answer("a", "1")])
        case, _ = journal.append(case, [journal.retraction(case, made[0].id)])

        with pytest.raises(CaseError, match="taken back already"):
            journal.retraction(case, made[0].id)


class TestNewEntries:
    def test_times_are_utc_to_the_millisecond(self, empty_case: Case):
        east = NOON.astimezone(tz=None) + timedelta(microseconds=1999)
        _, (entry,) = journal.append(empty_case, [answer("a", "1")], clock=lambda: east)

        assert "2026-03-02T12:00:00.001Z" == entry.at

    def test_who_and_where_follow_the_place(self, empty_case: Case):
        _, (entry,) = journal.append(empty_case, [answer("a", "1")], place="driveway")

        assert ("driveway", "owner") == (entry.place, entry.by)

    @fixed
    @given(st.lists(st.integers(-10**7, 10**7), min_size=1, max_size=12))
    def test_order_written_is_order_sorted_whatever_the_clock_does(self, steps: list[int]):
        case = Case(id="c", title="t", place="bay")
        for step in steps:
            moment = NOON + timedelta(milliseconds=step)
            case, _ = journal.append(case, [answer("a", "1")], clock=lambda m=moment: m)

        assert case.entries == journal.ordered(case.entries)
        ids = [entry.id for entry in case.entries]
        assert ids == sorted(set(ids))
        assert {11} == {len(made) for made in ids}

    def test_two_people_in_the_same_millisecond_get_different_ids(self):
        """The chance part alone: 300 ids in one millisecond, two people drawing blindly."""
        ids = {journal.fresh_id(NOON, ()) for _ in range(300)}

        assert len(ids) > 290

    def test_a_taken_id_is_never_given(self, monkeypatch: pytest.MonkeyPatch):
        monkeypatch.setattr(journal.os, "urandom", lambda size: bytes(size - 1) + b"\7")
        first = journal.fresh_id(NOON, ())

        assert journal.fresh_id(NOON, {first}) > first

    @pytest.mark.parametrize(
        "draft",
        [
            Draft("answer", finding="a", value="x" * 201),
            Draft("note", text="x" * 20_001),
            Draft("note", text="\udcff"),
            Draft("reading", finding="a", value="1", readings=("1" * 300,)),
        ],
    )
    def test_text_that_cannot_be_stored_is_refused(self, empty_case: Case, draft: Draft):
        with pytest.raises(InputError):
            journal.append(empty_case, [draft])


@pytest.mark.parametrize(
    "text",
    ["", "yesterday", "2026-03-02", "2026-03-02T12:00:00", "2026-03-02T12:00:00+01:00",
     "2026-02-30T12:00:00Z", "2026-03-02T25:00:00Z", "9999-03-02T12:00:00Z"],
)
def test_what_is_no_time_in_utc_is_refused(text: str):
    with pytest.raises(ValueError):
        read_moment(text)

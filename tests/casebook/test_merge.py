"""Two people change one case: nothing of either is lost."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case
from vibecheck.casebook.journal import Draft
from vibecheck.casebook.merge import merge, merge_keys

fixed = settings(derandomize=True, max_examples=60, deadline=None)
BASE = Case(id="c", title="t", place="bay", facts={"drive": "front"})
findings = st.lists(st.sampled_from("abcd"), max_size=4)
keyed = st.dictionaries(st.sampled_from("pqr"), st.sampled_from("123"))


def with_answers(case: Case, names: list[str], value: str) -> Case:
    drafts = [Draft("answer", finding=name, value=value) for name in names]
    return journal.append(case, drafts)[0]


class TestEntries:
    @fixed
    @given(findings, findings, findings)
    def test_union_in_order_whoever_saves_last(
        self, before: list[str], mine: list[str], theirs: list[str]
    ):
        base = with_answers(BASE, before, "0")
        ours, other = with_answers(base, mine, "1"), with_answers(base, theirs, "2")

        merged = merge(base, ours, other)

        everything = {entry.id for entry in ours.entries + other.entries}
        assert everything == {entry.id for entry in merged.entries}
        assert len(everything) == len(merged.entries)
        assert journal.ordered(merged.entries) == merged.entries
        assert merged.entries == merge(base, other, ours).entries

    def test_two_new_entries_with_one_id_are_both_kept(self):
        """The rare collision: same millisecond, same chance part; a retraction follows along."""
        base = with_answers(BASE, ["a"], "0")
        ours, other = with_answers(base, ["b"], "1"), with_answers(base, ["c"], "2")
        clash = structs.replace(ours.entries[1], id=other.entries[1].id)
        ours = structs.replace(ours, entries=[base.entries[0], clash])
        ours, _ = journal.append(ours, [journal.retraction(ours, clash.id)])

        merged = merge(base, ours, other)

        assert ["a", "b", "c"] == sorted(entry.finding for entry in merged.entries if entry.finding)
        in_force = {entry.finding for entry in journal.active_entries(merged)}
        assert {"a", "c"} == in_force

    def test_an_entry_corrected_by_hand_on_disk_stays_corrected(self):
        base = with_answers(BASE, ["a"], "0")
        corrected = structs.replace(base.entries[0], value="9")
        disk = structs.replace(base, entries=[corrected])

        merged = merge(base, with_answers(base, ["b"], "1"), disk)

        assert ["9", "1"] == [entry.value for entry in merged.entries]


class TestKeys:
    def test_conflict_keeps_the_disk_unless_changed_here(self):
        base = {"drive": "front", "transmission": "manual", "propulsion": "electric"}
        mine = {"drive": "front", "transmission": "cvt"}
        disk = {
            "drive": "all", "transmission": "automatic", "propulsion": "electric", "cylinders": "4",
        }

        merged = merge_keys(base, mine, disk)

        assert {"drive": "all", "transmission": "cvt", "cylinders": "4"} == merged

    @fixed
    @given(keyed, keyed, keyed)
    def test_three_way_rule_key_by_key(
        self, base: dict[str, str], mine: dict[str, str], disk: dict[str, str]
    ):
        merged = merge_keys(base, mine, disk)

        for key in "pqr":
            changed_here = mine.get(key) != base.get(key)
            assert (mine if changed_here else disk).get(key) == merged.get(key)


def test_other_fields_follow_whoever_changed_them():
    mine = structs.replace(BASE, place="counter")
    disk = structs.replace(BASE, title="new title", place="driveway")

    merged = merge(BASE, mine, disk)

    assert ("counter", "new title") == (merged.place, merged.title)

"""Case files as text: what is kept, and one sentence for each thing that is wrong."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import to_builtins

from vibecheck import yamltext
from vibecheck.casebook import formats
from vibecheck.casebook.case import Case, Entry, Expect, Outcome, RulesUsed
from vibecheck.casebook.shape import ENDING, HEADER, read_case, write_case
from vibecheck.errors import CaseDamagedError, CaseError, CaseTooNewError

fixed = settings(derandomize=True, max_examples=60, deadline=None)
HEAD = "vibecheck_case: 1\nid: c1\ntitle: a car\nplace: bay\n"
ENTRY = "- {id: e1, at: '2026-03-02T12:00:00Z', kind: note, place: bay, by: owner, text: x}\n"

ids = st.text("abcXYZ019_-", min_size=1, max_size=8)
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
typed = st.sampled_from(["0.10", "1e3", "yes", "null", "~", "007", "1_000", ".inf", "0x1F", "#",
                         "true", "- a", "a: b", "2026-03-02", "|", "'", '"', "{}", "<<", "*a"])
values = words | typed
moments = st.datetimes().map(lambda at: at.replace(year=2000 + at.year % 100).isoformat() + "Z")
entries = st.builds(
    Entry, id=ids, at=moments, kind=st.just("reading"), place=st.just("bay"), by=st.just("owner"),
    finding=ids, corner=st.sampled_from(["LF", "RR", None]), value=values.filter(bool),
    text=values, readings=st.lists(values, max_size=3), angles=st.lists(values, max_size=3),
)
cases = st.builds(
    Case, id=ids, title=values, place=st.sampled_from(["counter", "bay", "driveway"]),
    invented=st.booleans(), story=values, facts=st.dictionaries(values, values, max_size=3),
    limits=st.dictionaries(ids, values, max_size=3), tools=st.lists(values, max_size=3),
    rules=st.none() | st.builds(RulesUsed, version=values, hash=values),
    entries=st.lists(entries, max_size=3, unique_by=lambda entry: entry.id),
    outcome=st.none() | st.builds(Outcome, cause=ids, confirmed=values),
    expect=st.none() | st.builds(Expect, top=ids, not_leading=st.lists(ids), next=ids),
)


class TestKept:
    @fixed
    @given(cases)
    def test_what_is_written_is_read_back(self, case: Case):
        assert case == read_case(write_case(case), "c.yaml")

    @fixed
    @given(cases, entries)
    def test_texts_made_once_are_those_of_the_whole_case(self, case: Case, added: Entry):
        """Written for the first time, again, and with an entry more."""
        longer = case.with_entry(added) if added.id not in {e.id for e in case.entries} else case
        for each in (case, case, longer):
            body = write_case(each).removeprefix(HEADER).removesuffix(ENDING)
            plain = {"vibecheck_case": each.vibecheck_case, **to_builtins(each)}

            assert yamltext.write(plain) == body

    @pytest.mark.parametrize("value", ["0.10", "1e3", "yes", "007", "null", "1_000", "0,5"])
    def test_values_stay_as_typed_also_without_quotes(self, value: str):
        case = read_case(f"{HEAD}facts: {{axle_ratio: '3.10'}}\nlimits:\n  t: {value}\n", "c.yaml")

        assert value == case.limits["t"]
        assert "3.10" == case.facts["axle_ratio"]


class TestCutShort:
    def test_every_cut_of_a_saved_file_is_refused(self, case: Case):
        whole = write_case(case)
        for length in range(len(whole) - 1):
            with pytest.raises(CaseDamagedError):
                read_case(whole[:length], "c.yaml")

    @pytest.mark.parametrize("text", ["", " \n\n", "# only a remark\n", "[]", "text", "..."])
    def test_what_holds_no_case_is_refused(self, text: str):
        with pytest.raises(CaseDamagedError, match="c.yaml"):
            read_case(text, "c.yaml")


class TestFaults:
    @pytest.mark.parametrize(
        ("text", "says"),
        [
            (HEAD + "colour: red\n", "c.yaml:5: the key 'colour' is not known"),
            (HEAD.replace("bay", "moon"), "c.yaml:4: 'place' cannot be 'moon'; write counter"),
            (HEAD.replace("title: a car\n", ""), "c.yaml:1: the key 'title' is missing"),
            (HEAD.replace("id: c1", "id: a/b"), "c.yaml:2: 'id' may hold only letters"),
            (HEAD.replace("a car", "x" * 300), "c.yaml:3: 'title' is longer than 200"),
            (HEAD + "facts: [a]\n", "c.yaml:5: 'facts' must be keys with values"),
            (HEAD + "tools: a\n", "c.yaml:5: 'tools' must be a list"),
            (HEAD + "facts:\n  drive: [a]\n", "c.yaml:6: 'facts' 'drive' must be a text"),
            (HEAD + "limits:\n  a: 1 mm\n  b: {c: d}\n", "c.yaml:7: 'limits' 'b' must be a text"),
            (HEAD + f"facts:\n  a: b\n  c: {'x' * 201}\n", "c.yaml:7: 'facts' 'c' is longer than"),
            (HEAD + f"facts:\n  a: b\n  {'k' * 201}: c\n", "c.yaml:7: 'facts' 'kkkk"),
            (HEAD + "customer:\n  name: [a]\n", "c.yaml:6: 'customer' 'name' must be a text"),
            (HEAD + "invented: maybe\n", "c.yaml:5: 'invented' must be true or false"),
            (HEAD + "id: c2\n", "c.yaml:5: the key 'id' stands here a second time"),
            (HEAD + "tools: &a [x]\n", "c.yaml:5: the anchor"),
            (HEAD + "tools: [x\n", "c.yaml:5: this is not YAML"),
            (HEAD + "entries:\n" + ENTRY.replace("owner", "robot"),
             "c.yaml:6: 'entries' number 1 'by' cannot be 'robot'; write writer"),
            (HEAD + "entries:\n" + ENTRY.replace("12:00:00Z", "noon"),
             "c.yaml:6: '2026-03-02Tnoon' is not a time"),
            (HEAD + "entries:\n" + ENTRY + ENTRY, "c.yaml:7: the id 'e1' stands here a second"),
            (HEAD + "entries:\n" + ENTRY.replace("kind: note", "kind: answer"),
             "c.yaml:6: this answer has no 'finding'"),
            (HEAD + "entries:\n" + ENTRY.replace("kind: note", "kind: answer, finding: f"),
             "c.yaml:6: this answer has no 'value'"),
            (HEAD.replace("vibecheck_case: 1\n", ""), "the format is missing"),
            (HEAD.replace("_case: 1", "_case: one"), "the format is missing or not a number"),
            (HEAD.replace("_case: 1", "_case: 0"), "format 0, which is not known"),
        ],
    )
    def test_one_sentence_with_file_and_line(self, text: str, says: str):
        with pytest.raises(CaseDamagedError) as caught:
            read_case(text, "c.yaml")

        assert says in str(caught.value)
        assert "\n" not in str(caught.value)

    @fixed
    @given(st.text(max_size=60) | st.text(max_size=60).map(lambda text: HEAD + text))
    def test_no_text_whatever_gives_anything_but_a_case_or_a_case_error(self, text: str):
        try:
            case = read_case(text, "c.yaml")
        except CaseError as error:
            assert str(error).startswith("c.yaml")
        else:
            assert case == read_case(write_case(case), "c.yaml")


class TestFormats:
    def test_newer_format_is_refused_before_its_shape_is_looked_at(self):
        with pytest.raises(CaseTooNewError, match="format 4, this vibecheck reads up to 3"):
            read_case("vibecheck_case: 4\nwheels: 3\n", "c.yaml")

    def test_older_format_is_brought_up_step_by_step(self, monkeypatch: pytest.MonkeyPatch):
        """An example of an older shape: the title was called `car`, answers stood in a map."""

        def from_0(raw: formats.Raw) -> formats.Raw:
            answers = raw.pop("answers")
            raw["title"] = raw.pop("car")
            raw["entries"] = [
                {"id": f"old{index}", "at": "2020-01-01T00:00:00Z", "kind": "answer",
                 "place": raw["place"], "by": "owner", "finding": finding, "value": value}
                for index, (finding, value) in enumerate(answers.items())
            ]
            return raw

        monkeypatch.setattr(formats, "STEPS", {0: from_0, **formats.STEPS})
        old = "vibecheck_case: 0\nid: c1\ncar: a car\nplace: bay\nanswers:\n  play: 0.10\n"

        case = read_case(old, "c.yaml")

        assert (3, "a car", "0.10") == (case.vibecheck_case, case.title, case.entries[0].value)
        assert case == read_case(write_case(case), "c.yaml")

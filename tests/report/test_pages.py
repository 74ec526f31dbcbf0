"""Pages of a diagnosis: what each must say, in the reader's units, as text and as HTML."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from msgspec import structs

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case
from vibecheck.errors import InputError
from vibecheck.metrology.units.choice import US, Units, units_named
from vibecheck.report.blocks import Drawing
from vibecheck.report.case_page import case_page
from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.html import html_page
from vibecheck.report.json_view import rank_data
from vibecheck.report.names import cause_name, ranked_name, set_name
from vibecheck.report.parts import SETS_MATTER_ABOVE, less_likely_reason
from vibecheck.report.rank_page import next_page, rank_page, why_page
from vibecheck.report.sentences import (
    limit_text,
    reading_text,
    verdict_text,
    what_would_decide,
)
from vibecheck.report.sheets import READERS, sheet_page
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.judge import judge
from vibecheck.session.open_case import OpenCase

HOSTILE = "\x1b[2J[/bad] \u202ex\n\x07<script>alert(1)</script>&amp;" + "y" * 120
WORN = ("shake=strong", "wobble@LF=0.9 mm +/- 0.02", "wobble@RF=0.1 mm +/- 0.02")
METRIC, INCH = Wording(), Wording(US)
# Units of one system that must not stand behind a number in a text of the other.
METRIC_UNITS, US_UNITS = r"(mm|km/h|kPa|Nm|g|N)\b", r"(in|thou|mph|psi|lb-ft|lb|oz)\b"


def text_of(page) -> str:
    return " ".join(" ".join(text_lines(page, 80)).split())


def judged(library, typed: str, finding: str = "wobble"):
    return judge(library, {}, {}, library.findings[finding], typed)


class TestRank:
    def test_order_of_the_page(self, small):
        """The drive word first; then causes, readings, checks, remedies, cautions."""
        text = text_of(rank_page(small(*WORN, "loose@LF=seen").diagnosis, METRIC))
        parts = ["DRIVING: DO NOT DRIVE", "Do not drive with a loose wheel.", "Possible causes",
                 "Readings", "Decided", "Cautions", "Ranked with"]

        places = [text.index(part) for part in parts]
        assert places == sorted(places)

    def test_a_cause_has_number_bar_word_and_evidence_both_ways(self, real):
        found = real("vibration=strong", "bead_radial_inboard@LF=47 thou",
                     "bead_lateral_inboard@LF=0.1 mm").diagnosis
        lines = text_lines(rank_page(found, METRIC), 80)

        assert any(re.match(r" 1\. ( \d|>9)\d% \[#+\.*\] Bent wheel, left front - ", line)
                   for line in lines)
        assert any(line.startswith("    for ") for line in lines)
        assert any(line.startswith("    against ") for line in lines)

    def test_the_long_tail_is_counted_not_hidden(self, real):
        found = real("vibration=strong").diagnosis
        short, whole = (text_of(rank_page(found, METRIC, every)) for every in (False, True))

        assert f"and {len(found.faults) - 5} less likely; --all shows them" in short
        assert "--all" not in whole

    def test_a_caution_is_said_once(self, real):
        found = real("vibration=strong", "bead_radial_inboard@LF=47 thou").diagnosis
        text = text_of(rank_page(found, METRIC, everything=True))

        for caution in found.cautions:
            assert 1 == text.count(" ".join(caution.rule.text.split())), caution.rule.id

    def test_another_state_of_the_rules_is_said(self, small):
        opened = small(*WORN)
        used = structs.replace(opened.case.rules, hash="0" * 64)
        other = OpenCase(None, structs.replace(opened.case, rules=used), opened.library)

        assert "begun with other rules" in text_of(rank_page(other.diagnosis, METRIC))
        assert "begun with other rules" not in text_of(rank_page(opened.diagnosis, METRIC))

    def test_sets_are_shown_only_where_they_matter(self, small):
        """Two wobbling corners take two causes; one is explained by one."""
        one, two = small(*WORN), small(*WORN[:2], "wobble@RR=0.9 mm +/- 0.02")
        together = [each for each in two.diagnosis.sets if len(each.causes) > 1]
        text = text_of(rank_page(two.diagnosis, METRIC))
        shown = text.split("More than one at once")[1].split("Readings")[0]

        assert "More than one at once" not in text_of(rank_page(one.diagnosis, METRIC))
        assert set_name(two.library, together[0].causes) in shown
        rare = [each for each in together if each.probability <= SETS_MATTER_ABOVE]
        assert rare and not [each for each in rare if set_name(two.library, each.causes) in shown]
        assert 1 == shown.count("%")  # a cause alone is no set of causes

    def test_no_cause_that_stands_out_is_said(self, small):
        found = small().diagnosis
        found.__dict__["ranking"] = ()  # a cached part, as in a case whose causes are all gone

        assert "No cause stands out." in text_of(rank_page(found, METRIC))
        assert "No cause stands out." not in text_of(rank_page(small(*WORN).diagnosis, METRIC))

    def test_one_answer_that_speaks_against_many_is_said_once(self, real):
        found = real("vibration=strong", "at_standstill=no").diagnosis
        by: dict[str, list[str]] = {}
        for each in found.less_likely:
            by.setdefault(less_likely_reason(found, each, METRIC), []).append(
                cause_name(found.library, each.cause.spot))
        text = text_of(rank_page(found, METRIC, everything=True))

        assert max(map(len, by.values())) > 1
        for answer, names in by.items():
            assert 1 == text.count(f"{answer}; speaks against: {'; '.join(names)}")

    def test_nothing_on_it_makes_a_bit_the_worth_of_a_check(self, real):
        found = real("vibration=strong").diagnosis
        text = text_of(next_page(found, METRIC, 9))

        assert re.search(r"value: (high|medium|low)", text)
        assert " bit" not in text


class TestNextAndWhy:
    def test_the_best_check_comes_in_full(self, small):
        found = small("shake=strong").diagnosis
        best = found.next_checks[0]
        text = text_of(next_page(found, METRIC, 1))

        for step in best.rule.steps:
            assert " ".join(step.split()) in text
        for asked in best.asked:
            assert asked.question in text and f"{asked.finding}" in text

    def test_no_check_left_is_said(self, small):
        found = small(*WORN).diagnosis
        found.__dict__["next_checks"] = ()  # a cached part, as where all checks are done

        assert "No check is left that would help." in text_of(next_page(found, METRIC, 3))
        assert "No check is left" not in text_of(next_page(small().diagnosis, METRIC, 3))

    def test_safety_and_near_ties_are_marked(self, real):
        found = real("vibration=strong", "feel=shimmy").diagnosis
        first, second, third, *_ = found.next_checks
        tied = structs.replace(third, option=structs.replace(third.option, near_tie=True))
        found.__dict__["next_checks"] = (first, second, tied)  # a cached part, as in a near tie
        text = text_of(next_page(found, METRIC, len(found.next_checks)))

        assert first.option.urgent
        assert sum(each.option.urgent for each in found.next_checks) == (
            text.count("[safety first]"))
        near = sum(each.option.near_tie for each in found.next_checks[1:])
        assert 1 <= near == text.count("[nearly as good as the one above]")

    def test_why_shows_both_sides_and_the_way_to_the_proof(self, small):
        found = small(*WORN).diagnosis
        first = found.ranking[0]
        text = text_of(why_page(found, first.cause, first.corner, METRIC))

        for part in (first.rule.says, "now, rank 1", "before, with nothing known", "Evidence for",
                     "Evidence against", "Confirmed by", "->"):
            assert part in text

    def test_no_such_cause_is_refused(self, small):
        with pytest.raises(InputError, match="there is no cause 'ghost'"):
            why_page(small().diagnosis, "ghost", None, METRIC)


def test_a_case_shows_what_counts_and_what_not():
    case = Case(id="c", title="t", place="bay", facts={"drive": "rear"}, limits={"w": "0.3 mm"})
    drafts = [journal.Draft("answer", finding="a", value="1"),
              journal.Draft("answer", finding="a", value="2"),
              journal.Draft("note", text="hello")]
    case, made = journal.append(case, drafts)
    case, _ = journal.append(case, [journal.retraction(case, made[1].id)])
    lines = text_lines(case_page(case, METRIC), 80)

    assert any("a = 2 [taken back]" in line for line in lines)
    assert any(line.endswith("a = 1") for line in lines)


class TestUnits:
    def test_every_reading_and_limit_follows_the_choice(self, small):
        """0.9 mm = 0.03543 in; the inch is 25.4 mm exactly (NIST SP 811, Appendix B)."""
        found = small(*WORN).diagnosis
        pages = [lambda wording: rank_page(found, wording, True),
                 lambda wording: next_page(found, wording, 9),
                 *(lambda wording, reader=reader: sheet_page(found, reader, wording)
                   for reader in READERS)]
        for page in pages:
            for wording, wrong in ((METRIC, US_UNITS), (INCH, METRIC_UNITS)):
                text = re.sub(r"\(typed: [^)]*\)|in 100", "", text_of(page(wording)))
                assert [] == re.findall(rf"\d {wrong}", text)
        assert "0.03543 +/- 0.00079 in" in text_of(rank_page(found, INCH))
        assert "0.03543 +/- 0.00079 in" in html_page(rank_page(found, INCH), "t")

    def test_what_was_typed_in_another_unit_is_said_beside_it(self, small):
        library = small().library

        assert "1.19" in reading_text(judged(library, "47 thou +/- 0.5"), METRIC)
        assert reading_text(judged(library, "47 thou"), METRIC).endswith("mm (typed: 47 thou)")
        assert "typed" not in reading_text(judged(library, "1.19 mm"), METRIC)

    def test_a_choice_of_units_in_words(self):
        assert Units() == units_named("metric")
        assert US == units_named("us")
        assert Units(speed="mph") == units_named("mm,mph")
        assert "thou" == units_named("us,thou").length
        with pytest.raises(InputError, match="'furlong' is no choice of units"):
            units_named("us,furlong")

    def test_a_speed_is_said_to_the_whole_mile(self):
        """65 mph is 104.607 km/h (mile = 1.609344 km, NIST SP 811)."""
        assert "65 mph" == INCH.speed(104.607)
        assert "105 km/h" == METRIC.speed(104.607)


def test_words_for_a_close_reading(real):
    library = real().library
    close = judged(library, "0.49 mm +/- 0.02", "bead_radial_inboard")

    assert "0.490 +/- 0.020 mm against 0.50 mm: too close to call" in verdict_text(close, METRIC)
    assert "0.010 mm or less" in what_would_decide(close, METRIC)
    assert "0.00039 in or less" in what_would_decide(close, INCH)
    assert "mean of 4 whole repeats" in what_would_decide(close, METRIC)
    on_it = judged(library, "0.5 mm +/- 0.02", "bead_radial_inboard")
    assert "on the limit" in what_would_decide(on_it, METRIC)
    assert "" == what_would_decide(judged(library, "65 mph", "worst_speed"), METRIC)


def test_a_limit_is_said_with_its_source(real):
    found = real().diagnosis

    assert limit_text(found, "bead_radial_inboard", METRIC).startswith("0.50 mm (general: ")
    assert limit_text(found, "bead_radial_inboard", INCH).startswith("0.0197 in (")
    assert "" == limit_text(found, "vibration", METRIC)


class Page(HTMLParser):
    """Collects the tags and the text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text += data


class TestHtml:
    def test_it_stands_alone(self, small):
        """One file: no script, nothing that a browser would fetch."""
        page = Page(html_page(rank_page(small(*WORN).diagnosis, METRIC), "a visit"))

        assert {"script", "link", "img", "iframe"} & {tag for tag, _ in page.tags} == set()
        assert not [attrs for _, attrs in page.tags if {"src", "href"} & set(attrs)]
        assert "DRIVING:" in page.text
        assert "Possible causes" in page.text

    @pytest.mark.parametrize("reader", READERS)
    def test_hostile_text_stays_text(self, small, reader):
        opened = small(*WORN, title=HOSTILE)
        opened.note(HOSTILE)
        made = html_page(sheet_page(opened.diagnosis, reader, METRIC), HOSTILE)

        assert "<script" not in made and "\x1b" not in made and "\u202e" not in made
        assert "&lt;script&gt;alert(1)&lt;/script&gt;&amp;amp;" in made
        assert "<script>alert(1)</script>&amp;" in Page(made).text


def test_a_figure_stands_in_the_page_with_its_caption():
    figure = Figure(FigureKind.BARS, "shares", y=(1.0, 2.0), labels=("a", "<b>"))
    made = html_page([Drawing(figure, "two & three")], "t")
    page = Page(made)

    assert "svg" in {tag for tag, _ in page.tags} and "two &amp; three" in made
    assert "<b>" not in made


def test_data_agree_with_the_page(small):
    """`--json` and the page name the same causes with the same chances."""
    found = small(*WORN).diagnosis
    data = rank_data(found)

    assert [each["cause"] for each in data["ranking"]] == [each.cause for each in found.ranking]
    assert [each["probability"] for each in data["ranking"]] == [
        each.probability for each in found.ranking]
    assert data["drive"]["word"] == found.driving.word.value
    text = text_of(rank_page(found, METRIC, everything=True))
    assert [each["cause"] for each in data["faults"]] == [each.cause for each in found.faults]
    assert all(ranked_name(found.library, each) in text for each in found.faults)
    assert all(each["text"] in text for each in data["readings"])

"""What the printers make of a view made by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hand_made import check, ranked, reason, view
from msgspec import convert, structs, to_builtins

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case
from vibecheck.cli.print_case import case_lines
from vibecheck.cli.print_next import next_lines
from vibecheck.cli.print_rank import rank_lines
from vibecheck.cli.print_why import why_lines
from vibecheck.session.views import SessionView, WhyView

HOSTILE = "\x1b[2J[/bad] \u202ex\n\x07" + "y" * 120


def hostile(data: Any, key: str = "") -> Any:
    """The same data with every text turned hostile, except the drive word (a closed list)."""
    if isinstance(data, dict):
        return {name: hostile(value, name) for name, value in data.items()}
    if isinstance(data, list):
        return [hostile(value, key) for value in data]
    return HOSTILE if isinstance(data, str) and key not in ("word", "here") else data


class TestRank:
    def test_order_of_the_page(self):
        """The drive word first; then causes, readings, what is out, checks, remedies, cautions."""
        text = "\n".join(rank_lines(view(), 80))
        parts = ["DRIVING: DO NOT DRIVE", "! Do not drive.", "What it may be", "Bent hoop, left",
                 "More than one", "Readings", "Ruled out", "Not decided yet", "Next checks",
                 "Remedies", "Cautions", "Ranked with Small rules 1"]

        places = [text.index(part) for part in parts]
        assert places == sorted(places)

    def test_a_cause_has_number_bar_and_word(self):
        lines = rank_lines(view(), 80)

        assert " 1.  62% [############........] Bent hoop, left front - likely" in lines
        assert "    for      wobble far beyond its limit (+5.1 bit)" in lines
        assert "    against  no curb strike (-1.2 bit)" in lines

    def test_sets_are_shown_only_where_they_matter(self):
        text = "\n".join(rank_lines(view(), 80))

        assert "30% Bent hoop and worn joint" in text
        assert "rare thing" not in text
        assert "Bent hoop alone" not in text

    def test_a_check_has_minutes_access_and_gain(self):
        text = "\n".join(rank_lines(view(), 80))

        assert "5 min + 11 min to get there and back (wheel off); gain 0.80 bit" in text
        assert "also at  right front, left rear: worth nearly the same there" in text
        assert "shop     Ask for the wobble of the bare wheel." in text

    def test_the_long_tail_is_counted_not_hidden(self):
        many = view(ranking=tuple(ranked(f"Cause {n}", 0.1) for n in range(9)))
        short = "\n".join(rank_lines(many, 80))

        assert "and 4 less likely; --all shows them" in short
        assert "Cause 8" not in short
        assert "Cause 8" in "\n".join(rank_lines(many, 80, everything=True))

    def test_nothing_found_is_said(self):
        bare = view(ranking=(), sets=(), ruled_out=(), next=(), remedies=(), cautions=(),
                    readings=())

        assert "No cause stands out." in rank_lines(bare, 80)

    def test_one_answer_that_rules_out_many_is_said_once(self):
        one = view().ruled_out[0]
        both = view(ruled_out=(one, structs.replace(one, name="Loose wheel, left rear")))
        text = " ".join("\n".join(rank_lines(both, 80)).split())

        assert "not seen; speaks against: Loose wheel, right front; Loose wheel, left rear" in text

    def test_a_caution_is_said_once(self):
        same = view().remedies[0]
        both = view(remedies=(same, structs.replace(same, name="Other hoop")))
        text = "\n".join(rank_lines(both, 80))

        assert 1 == text.count("Torque by the maker's figure.")

    def test_another_state_of_the_rules_is_said(self):
        assert "The case was begun with other rules." in "\n".join(rank_lines(view(), 80))


class TestNext:
    def test_the_best_check_comes_in_full(self):
        lines = next_lines(view(), 80, 3)

        for line in ("    1) Turn the wheel.", "    ! Use stands.", "      wobble@LF=... mm",
                     "      seen=none|seen", "      answered so far: none",
                     "    tools    dial indicator"):
            assert line in lines

    def test_no_check_left_is_said(self):
        assert "No check is left" in next_lines(view(next=()), 80, 3)[0]

    def test_safety_and_ties_are_marked(self):
        marked = view(next=(check(safety=True), check("Other", near_tie=True)))
        text = "\n".join(next_lines(marked, 80, 2))

        assert "[safety first]" in text
        assert "[nearly as good as the one above]" in text


WHY = WhyView(
    cause="bent_hoop", corner="LF", name="Bent hoop", says="The hoop is bent.", probability=0.6,
    prior=0.02, rank=1, for_=(reason(),), against=(), paths=("shake -> bent hoop -> measure",),
    confirm_by=("Measure the wobble",), remedies=("New hoop",), sources=("made up",), note="n",
)


def test_why_shows_both_sides_and_the_path():
    lines = why_lines(WHY, 80)

    assert "now     60% [############........] number 1 of the ranking" in lines
    assert "  * nothing so far" in lines
    assert "  * shake -> bent hoop -> measure" in lines


def test_case_shows_what_counts_and_what_not():
    case = Case(id="c", title="t", place="bay", facts={"drive": "rear"}, limits={"w": "0.3 mm"})
    drafts = [journal.Draft("answer", finding="a", value="1"),
              journal.Draft("answer", finding="a", value="2"),
              journal.Draft("note", text="hello")]
    case, made = journal.append(case, drafts)
    case, _ = journal.append(case, [journal.retraction(case, made[1].id)])
    lines = case_lines(case, 80)

    assert any("a = 2 [taken back]" in line for line in lines)
    assert any(line.endswith("a = 1") for line in lines)
    assert any("note: hello" in line for line in lines)
    assert "  w = 0.3 mm" in lines


class TestHostileText:
    """Whatever stands in rules or cases, no control character reaches the terminal."""

    @pytest.mark.parametrize("width", [40, 80, 100])
    def test_every_printer(self, width: int):
        bad = convert(hostile(to_builtins(view())), SessionView)
        bad_why = convert(hostile(to_builtins(WHY)), WhyView)
        lines = rank_lines(bad, width, everything=True) + next_lines(bad, width, 9)
        lines += why_lines(bad_why, width)

        assert len(lines) > 50
        assert all(line.isprintable() for line in lines)
        assert all(len(line) <= width for line in lines if "yyy" in line)

    def test_a_case(self):
        case = Case(id="c", title=HOSTILE, place="bay", story=HOSTILE, facts={HOSTILE: HOSTILE},
                    limits={HOSTILE: HOSTILE}, tools=[HOSTILE])
        case, _ = journal.append(case, [journal.Draft("note", text=HOSTILE)])

        assert all(line.isprintable() for line in case_lines(case, 80))

"""A unit switch changes every number of every page of every demo case, as text and as HTML.

What the rules say and what was typed pass through as they are: a number is excused only where the
words before or behind it stand like that in the rules or in the case's texts, or after "typed:".
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator

import pytest

from vibecheck.knowledge.place import find_demo_cases, layers
from vibecheck.metrology.units.choice import CHOICES, US, Units
from vibecheck.report.blocks import Block
from vibecheck.report.html import html_page
from vibecheck.report.rank_page import next_page, rank_page, why_page
from vibecheck.report.sheets import READERS, sheet_page
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.open_case import OpenCase

METRIC = Units()
DEMOS = sorted(path.stem for path in find_demo_cases().glob("*.yaml"))
WORDS_AROUND = 14  # characters by which a number is known again in the rules
Page = Callable[[Diagnosis, Wording], tuple[Block, ...]]
PAGES: dict[str, Page] = {
    "rank": lambda found, wording: rank_page(found, wording, everything=True),
    "next": lambda found, wording: next_page(found, wording, 99),
    "why": lambda found, wording: tuple(
        block for each in found.ranking[:8]
        for block in why_page(found, each.cause, each.corner, wording)),
    **{reader: lambda found, wording, reader=reader: sheet_page(found, reader, wording)
       for reader in READERS},
}


def plain(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def rules_text() -> str:
    folder = layers(None)[0]
    texts = [path.read_text("utf-8") for path in sorted(folder.rglob("*.yaml"))]
    return plain(re.sub(r"\n\s*(#.*)?", " ", "\n".join(texts)).replace("''", "'"))


def names(units: Units) -> set[str]:
    return {getattr(units, each.value) for each in CHOICES}


def told_wrongly(text: str, units: Units, own: str) -> Iterator[str]:
    """Numbers in a unit that is not chosen, with the words before them."""
    others = names(US if units is METRIC else METRIC) - names(units)
    text = re.sub(r"\(typed: [^)]*\)|\d+ in \d+\b", "", text)
    for match in re.finditer(r"\d ?([A-Za-z/-]+)", text):
        before = text[max(0, match.start() - WORDS_AROUND): match.end()]
        after = text[match.start(): match.end() + WORDS_AROUND]
        if match[1] in others and before not in own and after not in own:
            yield before


@pytest.fixture(scope="module")
def demos() -> dict[str, OpenCase]:
    """Every demo case, opened once for all pages."""
    return {name: OpenCase.open(find_demo_cases() / f"{name}.yaml") for name in DEMOS}


@pytest.mark.parametrize("page", PAGES)
def test_a_unit_switch_changes_every_number(
    demos: dict[str, OpenCase], rules_text: str, page: str
) -> None:
    switched = 0
    for name, opened in demos.items():
        own = plain(" ".join((rules_text, opened.case.title, *(
            entry.text for entry in opened.case.entries))))
        for units in (METRIC, US):
            blocks = PAGES[page](opened.diagnosis, Wording(units))
            text = plain(" ".join(text_lines(blocks, 400))).replace(opened.case.title, "")
            printed = html_page(blocks, "page").partition("<body")[2]
            marked = plain(re.sub(r"<[^>]*>", " ", html.unescape(printed)))
            for said in (text, marked.replace(opened.case.title, "")):
                assert [] == list(told_wrongly(said, units, own)), name
            mine = names(units) - names(US if units is METRIC else METRIC)
            switched += bool(mine & set(re.findall(r"\d ?([A-Za-z/-]+)", text)))
    assert switched > len(DEMOS) // 2  # there were numbers to tell


def test_a_number_that_did_not_follow_is_found(rules_text: str) -> None:
    assert ["reads at 1.20 mm"] == [
        each[-16:] for each in told_wrongly("The wheel reads at 1.20 mm now", US, rules_text)]
    assert [] == list(told_wrongly("The wheel reads at 0.0472 in now", US, rules_text))
    assert [] == list(told_wrongly("It is 0.0472 in (typed: 1.2 mm)", US, rules_text))

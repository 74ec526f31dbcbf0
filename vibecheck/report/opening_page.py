"""What was understood of a customer's words, each meaning with the words it came from."""

from __future__ import annotations

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner, Place
from vibecheck.report.blocks import Block, Heading, Item, Paragraph, Tone
from vibecheck.report.names import finding_name
from vibecheck.session.opening import KIND, Meaning, Understood

ASKS = {
    Place.COUNTER: "What does the customer say?",
    Place.BAY: "What is on the order?",
    Place.DRIVEWAY: "What do you notice?",
}
NOTHING = "No answer was recognized in these words; they are kept as a note."


def meaning_text(library: Library, meaning: Meaning) -> str:
    """One meaning as an answer, a bare speed as it was read."""
    offer = meaning.offer
    spot = Spot(offer.finding, Corner(offer.corner) if offer.corner else None)
    states = library.findings[offer.finding].states
    read = f" (read as {offer.speed.unit})" if offer.speed and offer.speed.bare else ""
    return f"{finding_name(library, spot)}: {states.get(offer.value, offer.value)}{read}"


def understood_page(library: Library, said: Understood) -> tuple[Block, ...]:
    """All meanings, numbered, ticked or not."""
    if not said.meanings:
        return (Paragraph(NOTHING),)
    rows = tuple(
        Item(f'{meaning_text(library, each)} - "{each.words}"',
             f"{number:>2} [{'x' if each.ticked else ' '}]",
             Tone.STOP if each.offer.danger else Tone.PLAIN)
        for number, each in enumerate(said.meanings, 1)
    )
    return (Heading("I understood", 3), *rows)


def kind_page(library: Library) -> tuple[Block, ...]:
    """The kinds of complaint to choose from."""
    rule = library.findings[KIND]
    rows = tuple(Item(text, f"{number:>2}") for number, text in enumerate(rule.states.values(), 1))
    return (Paragraph(rule.ask.plain, Tone.STRONG), *rows)

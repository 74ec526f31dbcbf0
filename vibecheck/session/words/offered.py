"""What is handed back: answers that the words may mean, each for a person to take or to untick."""

from __future__ import annotations

import msgspec


class Speed(msgspec.Struct, frozen=True, kw_only=True):
    """A speed as it was read: `value` and `spread` (half of a range) in `unit`.

    `bare`: no unit was said, and the reader's was taken.
    """

    value: float
    unit: str
    bare: bool
    spread: float = 0.0


class Offer(msgspec.Struct, frozen=True, kw_only=True):
    """An answer that the words may mean.

    `value` is typed as an answer is: a state of the finding or a speed with its unit. `corner` is
    that of a finding which stands at corners; `beside` one that was named beside a finding of the
    whole car. `spans` are the parts of the text [start, end). `denied`: the words deny something,
    and the answer says so. `only`: said to be so only then. `clash`: another offer to the same
    finding says otherwise. `danger`: the answer by itself stops the car.
    """

    finding: str
    value: str
    spans: tuple[tuple[int, int], ...]
    corner: str | None = None
    beside: str | None = None
    speed: Speed | None = None
    denied: bool = False
    only: bool = False
    clash: bool = False
    danger: bool = False


class Heard(msgspec.Struct, frozen=True, kw_only=True):
    """All offers in the order of the text, and the kind of complaint that they make likely."""

    offers: tuple[Offer, ...] = ()
    kind: str | None = None

    def words(self, text: str, offer: Offer) -> str:
        """The part of the text that an offer comes from, in one line."""
        return " ... ".join(" ".join(text[start:end].split()) for start, end in offer.spans)

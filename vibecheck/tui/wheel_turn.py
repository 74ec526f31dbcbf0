"""A turn read place by place with one or two indicators: what stands where, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.calculators.reading_sheet import RoundSheet
from vibecheck.calculators.wheel_row import place_text, turn_texts
from vibecheck.metrology.runout.wheel_verdict import Surface

USUAL_PLACES = 24  # a bend of a dropped wheel shows in two or more of them


class Turn:
    """Sheets of one turn side by side. `place` equal to the count is the first place again."""

    def __init__(self, key: str, surfaces: Sequence[Surface], sheets: Sequence[RoundSheet]) -> None:
        self.key, self.surfaces, self.sheets = key, tuple(surfaces), tuple(sheets)
        self.place, self.column = 0, 0
        self._done: list[tuple[int, int, str]] = []
        self._seek(0, 0)

    @property
    def count(self) -> int:
        """Places round the turn."""
        return self.sheets[0].count

    @property
    def ended(self) -> bool:
        """Whether the closing reading was given, or passed over."""
        return self.place > self.count

    @property
    def read(self) -> int:
        """Places at which every surface was read."""
        return min(sheet.read for sheet in self.sheets)

    def put(self, texts: Sequence[str], dial: str) -> None:
        """Write texts from the place in hand on, all or none.

        Raises
        ------
        ReadingError : one of them cannot be a reading, or there are more than places.
        """
        kept = [place_text(text, dial) for text in texts]
        for text in kept:
            if self.ended:
                break
            self._write(text)
            self._advance()

    def skip(self) -> None:
        """Pass over the place in hand."""
        self._advance()

    def undo(self) -> bool:
        """Take the last text back and go there; False where there is none."""
        if not self._done:
            return False
        self.place, self.column, before = self._done.pop()
        self._set(before)
        return True

    def move(self, places: int) -> None:
        """Go to another place."""
        self.place = max(0, min(self.count, self.place + places))
        self.column = 0

    def set_count(self, count: int) -> None:
        """Read at another number of places; only while nothing is read."""
        for sheet in self.sheets:
            sheet.set_count(count)
        self._seek(0, 0)

    def texts(self, slow: dict[Surface, dict[str, str]]) -> dict[Surface, dict[str, str]]:
        """The texts of the runout calculator of each surface that was read.

        Raises
        ------
        ReadingError : too few readings.
        """
        found = {}
        for surface, sheet in zip(self.surfaces, self.sheets, strict=True):
            places = [number for number, text in enumerate(sheet.texts) if text]
            if places:
                found[surface] = turn_texts(
                    [sheet.texts[number] for number in places],
                    [f"{sheet.angle(number):.6g}" for number in places],
                    sheet.closing if sheet.texts[0] else "", slow.get(surface))
        return found

    def _write(self, text: str) -> None:
        sheet = self.sheets[self.column]
        before = sheet.closing if self.place == self.count else sheet.texts[self.place]
        self._done.append((self.place, self.column, before))
        self._set(text)

    def _set(self, text: str) -> None:
        sheet = self.sheets[self.column]
        if self.place == self.count:
            sheet.closing = text
        else:
            sheet.at = self.place
            sheet.put(text)

    def _advance(self) -> None:
        self._seek(self.place, self.column + 1)

    def _seek(self, place: int, column: int) -> None:
        """The next empty cell from one on."""
        while place < self.count:
            for each in range(column, len(self.sheets)):
                if not self.sheets[each].texts[place]:
                    self.place, self.column = place, each
                    return
            place, column = place + 1, 0
        self.place, self.column = (place, column) if column < len(self.sheets) else (place + 1, 0)

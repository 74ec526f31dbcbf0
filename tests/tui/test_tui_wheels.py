"""The screen of wheels: typed as a wheel man does with two indicators, judged, undone, refused."""

from __future__ import annotations

from typing import Any

from vibecheck.tui.wheels import WheelsScreen

TURN = (  # invented: hundredths of a millimeter at 24 places, a dent with a bulge beside it
    "6 7 8 8 7 6 5 -55 1 31 -3 -5 -7 -7 -8 -8 -7 -7 -5 -3 -1 0 3 5").split()


class Typist:
    """Types as a person does and counts the keys."""

    def __init__(self, it: Any) -> None:
        self.it, self.keys = it, 0

    async def press(self, *keys: str) -> None:
        self.keys += len(keys)
        await self.it.press(*keys)

    async def row(self, text: str) -> None:
        self.keys += len(text) + 1
        await self.it.type(text)
        await self.it.pilot.press("enter")
        await self.it.settle()


async def test_a_set_of_four(stage: Any) -> None:
    async with stage() as it:
        man = Typist(it)
        await man.press("w", "1", "2")
        assert isinstance(it.app.screen, WheelsScreen)
        print(it.text)
        for text in ("14 18", "11 12", "1", "12 22", "119 31"):
            await man.row(text)
        print(it.text)
        await man.press("t")
        print(it.text)
        for text in TURN[:9]:
            await man.row(text)
        print(it.text)
        for text in TURN[9:]:
            await man.row(text)
        print(it.text)
        await man.row("7")
        print(it.text)
        for text in ("3", "49 21", "20 18", "1", "16 21", "20 18", "2"):
            await man.row(text)
        print(it.text)
        await man.press("p")
        print(it.text, man.keys)

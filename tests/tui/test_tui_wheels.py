"""The screen of wheels: typed as a wheel man does with two indicators, judged, undone, refused.

What becomes of the wheels is common practice, no source. All wheels here are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.widgets import Static

from vibecheck.casebook import store
from vibecheck.metrology.runout.wheel_verdict import Surface
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import Fate, Look, Reason
from vibecheck.tui.wheel_sheets import WheelSheetScreen
from vibecheck.tui.wheels import WheelsScreen

MOST_KEYS = 150  # for a set of four, the dent read round the wheel
TURN = (  # hundredths of a millimeter at 24 places: a dent with a bulge beside it at 4 o'clock
    "6 7 8 8 7 6 5 -55 1 31 -3 -5 -7 -7 -8 -8 -7 -7 -5 -3 -1 0 3 5").split()
HOSTILE = "[/bad] [red]x[/red]\x1b[2J\u202e"


class Typist:
    """Types as a person does, and counts the keys."""

    def __init__(self, it: Any) -> None:
        self.it, self.keys = it, 0

    async def press(self, *keys: str) -> None:
        self.keys += len(keys)
        await self.it.press(*keys)

    async def rows(self, *texts: str) -> None:
        for text in texts:
            self.keys += len(text) + 1
            await self.it.type(text)
            await self.it.pilot.press("enter")
            await self.it.settle()


def shown(it: Any, name: str) -> str:
    return str(it.app.screen.query_one(f"#{name}", Static).render())


def bench_of(it: Any) -> OpenSet:
    screen = it.app.screen
    assert isinstance(screen, WheelsScreen) and isinstance(screen.bench, OpenSet)
    return screen.bench


def a_set(folder: Path, **about: Any) -> Path:
    path = folder / "set.yaml"
    OpenSet.new(path, **{"dial": "0.01 mm", "state": "new", "shipped": "yes"} | about)
    return path


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_set_of_four_new_wheels_in_under_150_keys(
    stage: Any, size: tuple[int, int]
) -> None:
    async with stage(size=size) as it:
        man = Typist(it)
        await man.press("w", "1", "2")  # new, by carrier; the dial counts hundredths
        await man.rows("14 18", "11 12", "1")  # sound
        await man.rows("12 22", "119 31")
        assert "1.19 mm BEYOND" in shown(it, "wheels-word")
        await man.press("t")
        await man.rows(*TURN, "6", "3")  # the first place again; a dent is seen
        await man.rows("49 21", "20 18", "1")
        await man.rows("16 21", "20 18", "2")  # a wavy lip, no more
        bench = bench_of(it)
        fates = {row.key: row.fate for row in bench.table.rows}

        assert {"1": Fate.KEEP, "2": Fate.CLAIM, "3": Fate.OPEN, "4": Fate.KEEP} == fates
        assert Reason.TOO_CLOSE in bench.table.row("3").why
        assert ("1", "4") == bench.table.front.keys
        for words in ("claim: beyond, bent", "too close to tell", "keep: within", "0.49 ?",
                      "1.19 at 4 o'c !" if size[0] > 100 else "1.19 !"):
            assert words in it.words
        await man.press("p")
        assert isinstance(it.app.screen, WheelSheetScreen)
        await man.press("k", "c", "k")
        assert "kept as" in it.words
        assert man.keys < MOST_KEYS

        path = bench.path
        assert path is not None
        assert store.load(path).case == bench.case
        for what, word in (("sheet", "CLAIM"), ("claim-2", "4 o'clock")):
            text = path.with_name(f"{path.stem}-{what}.txt").read_text(encoding="utf-8")
            page = path.with_name(f"{path.stem}-{what}.html").read_text(encoding="utf-8")
            assert word in text and word.replace("'", "&#x27;") in page


async def test_two_gauges_that_type_need_no_hand(stage: Any, tmp_path: Path) -> None:
    """Each gauge types its value and Enter, one after the other, without waiting."""
    async with stage(case=a_set(tmp_path, dial="mm")) as it:
        for text in ("0.14", "0.18", "0.11", "0.12"):
            for ch in (*text, "\r"):
                key = events.Key({".": "full_stop", "\r": "enter"}.get(ch, ch), ch)
                key.set_sender(it.app)
                it.app._driver.send_message(key)
        for _ in range(100):
            await it.settle()
            if len(bench_of(it).table.row("1").read) == 4:
                break
        row = bench_of(it).table.row("1")

        assert {Surface.INBOARD_RADIAL: 0.14, Surface.INBOARD_LATERAL: 0.18,
                Surface.OUTBOARD_RADIAL: 0.11, Surface.OUTBOARD_LATERAL: 0.12} == {
            surface: found.judgement.numbers.value for surface, found in row.read.items()}
        assert "look at it all round" in it.words
        await Typist(it).rows("1.12")  # a gauge goes on typing: no look was meant
        assert bench_of(it).table.row("1").look is None
        assert "no answer to the look" in " ".join(shown(it, "wheels-word").split())


async def test_a_refused_value_stays_and_locks_out_what_a_gauge_types_next(
    stage: Any, tmp_path: Path
) -> None:
    """Or the next value would go into the wrong surface."""
    async with stage(case=a_set(tmp_path, dial="mm")) as it:
        man = Typist(it)
        await man.rows("14")
        assert "14 thou makes more sense than 14 mm" in " ".join(shown(it, "wheels-word").split())
        await man.rows("0.18")

        assert "140.18" == it.app.screen.entry.value
        assert not bench_of(it).table.row("1").read
        for _ in range(8):
            await it.press("backspace")
        await man.rows("14 thou 0.18 mm")
        assert 2 == len(bench_of(it).table.row("1").read)


@pytest.mark.parametrize(("text", "word"), [
    ("0", "never moved"), ("9/5", "a fraction or a high and a low"),
    ("14 18 20", "3 values for 2"),
    ("0.14", "0.14 mm or 0.14 in makes more sense"), ("20000", "far more than a wheel"),
])
async def test_what_cannot_be_is_said_and_nothing_is_kept(
    stage: Any, tmp_path: Path, text: str, word: str
) -> None:
    async with stage(case=a_set(tmp_path)) as it:
        before = bench_of(it).case
        await Typist(it).rows(text)

        assert word in " ".join(shown(it, "wheels-word").split())
        assert before == bench_of(it).case
        assert text == it.app.screen.entry.value


async def test_one_indicator_goes_from_surface_to_surface(stage: Any, tmp_path: Path) -> None:
    async with stage(case=a_set(tmp_path)) as it:
        man = Typist(it)
        await man.press("m")
        assert "one indicator" in it.words
        await man.rows("14", "18", "11", "9/-3", "1", "20")

        assert Fate.KEEP is bench_of(it).table.row("1").fate
        assert {Surface.INBOARD_RADIAL} == {*bench_of(it).table.row("2").read}


async def test_a_turn_with_both_indicators_and_undo(stage: Any, tmp_path: Path) -> None:
    async with stage(case=a_set(tmp_path)) as it:
        man = Typist(it)
        await man.press("t")
        await man.rows("5 3", "7", "4", "9 6")
        turn = it.app.screen.turn
        assert (3, 0) == (turn.place, turn.column)
        assert ("0.05 mm", "0.07 mm", "0.09 mm") == turn.sheets[0].texts[:3]
        assert ("0.03 mm", "0.04 mm", "0.06 mm") == turn.sheets[1].texts[:3]

        await man.press("u")
        assert (2, 1) == (turn.place, turn.column)
        assert "" == turn.sheets[1].texts[2]


async def test_a_turn_half_read_outlives_the_program(stage: Any, tmp_path: Path) -> None:
    path = a_set(tmp_path)
    async with stage(case=path) as it:
        await Typist(it).press("t")
        await Typist(it).rows("5 3", "7 4", "9 6")
    async with stage(case=path) as it:
        await it.press("t")
        turn = it.app.screen.turn

        assert (3, 0) == (turn.place, turn.column)
        assert "0.09 mm" == turn.sheets[0].texts[2]


async def test_what_was_read_stands_above_the_place_in_hand(stage: Any, tmp_path: Path) -> None:
    """While reading, and where a turn half read is taken up again in a low window."""
    path = a_set(tmp_path)
    async with stage(case=path) as it:
        await Typist(it).press("t")
        await Typist(it).rows(*(f"{number} 1" for number in range(12)))
        assert "0.11 mm" in it.words and "____" in it.words and "195.0 deg" in it.words
    async with stage(case=path) as it:
        await it.press("t")
        assert "0.11 mm" in it.words and "____" in it.words and "195.0 deg" in it.words


async def test_undo_again_and_over(stage: Any, tmp_path: Path) -> None:
    async with stage(case=a_set(tmp_path)) as it:
        man = Typist(it)
        await man.rows("14 18", "11 12")
        await man.press("u")
        assert 2 == len(bench_of(it).table.row("1").read)
        assert "outboard" in it.words  # it is in hand again
        await man.press("shift+tab")
        assert "again, set up afresh" in it.words
        await man.rows("16 19")

        assert "reading 2, together" in " ".join(shown(it, "wheels-word").split())
        assert 2 == len(bench_of(it).table.row("1").readings[Surface.INBOARD_RADIAL])


async def test_a_crack_stops_the_wheel_whatever_it_reads(stage: Any, tmp_path: Path) -> None:
    """49 CFR 570.10(a): a cracked wheel is rejected."""
    async with stage(case=a_set(tmp_path, state="used", shipped="no")) as it:
        man = Typist(it)
        await man.rows("14 18", "11 12", "5")

        assert "never fitted" in shown(it, "wheels-word")
        assert Fate.SCRAP is bench_of(it).table.row("1").fate
        assert "scrap: cracked" in it.words
        await man.press("u")
        assert bench_of(it).table.row("1").look is None


async def test_names_limits_and_who_in_a_form(stage: Any, tmp_path: Path) -> None:
    async with stage(case=a_set(tmp_path)) as it:
        await it.press("e")
        screen = it.app.screen
        for name, text in (("names", "spare, A, B"), ("radial", "0.3 mm"), ("by", "Ida"),
                           ("state", "mint")):
            screen.query_one(f"#about-{name}").value = text
        await it.press("ctrl+s")
        assert "write one of new, used" in it.words
        screen.query_one("#about-state").value = "used"
        await it.press("ctrl+s")
        bench = bench_of(it)

        assert ("spare", "A", "B") == tuple(bench.names.values())
        assert 0.3 == pytest.approx(bench.limit_mm(Surface.INBOARD_RADIAL))
        assert "limit 0.30 mm (own) radial" in it.words
        await Typist(it).rows("14 18")
        assert "0.14" in it.words


async def test_hostile_texts_stand_as_they_are(stage: Any, tmp_path: Path) -> None:
    path = a_set(tmp_path, names=[HOSTILE[:30], "b"], title=HOSTILE, by=HOSTILE, gauge=HOSTILE)
    async with stage(case=path, size=(120, 40)) as it:
        man = Typist(it)
        await man.rows("14 18", "119 12", "3")
        assert "[/bad]" in it.words
        await man.press("e", "escape", "p", "c")
        assert "[red]x[/red]" in it.words
        assert "\x1b" not in it.text and "\u202e" not in it.text


async def test_the_wheels_of_a_car_go_into_its_case(stage: Any, kept: Any) -> None:
    async with stage(case=kept("vibration=strong")) as it:
        it.app.open_corner_wheels()
        await it.settle()
        man = Typist(it)
        await man.rows("0.14 0.18")
        screen = it.app.screen
        assert isinstance(screen, WheelsScreen)
        assert "left front" in it.words
        await man.press("escape")
        said = {(each.finding, each.corner) for each in it.opened.case.entries}

        assert {("bead_radial_inboard", "LF"), ("bead_lateral_inboard", "LF")} < said


async def test_another_unit_and_a_click(stage: Any, tmp_path: Path) -> None:
    path = a_set(tmp_path)
    OpenSet.open(path).see("3", Look.CLEAN)
    async with stage(case=path) as it:
        await Typist(it).rows("14 18")
        await it.press("f2")
        assert "0.0055" in it.words  # 0.14 mm / 25.4
        await it.pilot.click("#wheels-grid", offset=(2, 4))
        await it.settle()
        assert "4" == it.app.screen.key


async def test_a_full_disk_is_said_and_the_row_stays(
    stage: Any, tmp_path: Path, full_disk: Any
) -> None:
    async with stage(case=a_set(tmp_path)) as it:
        full_disk(True)
        await Typist(it).rows("14 18")
        assert "NOT saved: the disk is full" in " ".join(shown(it, "wheels-word").split())
        assert "14 18" == it.app.screen.entry.value

        full_disk(False)
        await it.press("enter")
        assert 2 == len(bench_of(it).table.row("1").read)

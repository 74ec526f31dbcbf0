"""Wheels on the bench, whatever they belong to: a set of their own, or a car with its tires off.

Front ends see a `WheelBench`: its table, and the ways to put a reading or a look into it. What is
typed is checked first, then saved, and only then believed.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from pathlib import Path

from vibecheck.calculators.runout import CALCULATOR, RunoutResult, run
from vibecheck.casebook.case import Case, Entry
from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.metrology.runout.wheel_verdict import Surface
from vibecheck.session.answers import Assignment
from vibecheck.session.wheel import WheelRules
from vibecheck.session.wheel_table import ANSWERS, FINDINGS, Look, WheelTable


class WheelBench(ABC):
    """Wheels that are read side by side. `keys` name them, `dial` is what bare numbers count in."""

    library: Library

    def __init__(self) -> None:
        self._steps: list[tuple[str, ...]] = []  # ids of entries that were made together
        self._table: tuple[object, WheelTable] | None = None

    @property
    @abstractmethod
    def case(self) -> Case:
        """The case as it is now."""

    @property
    @abstractmethod
    def path(self) -> Path | None:
        """The case's file; None for one in memory."""

    @property
    @abstractmethod
    def names(self) -> Mapping[str, str]:
        """The wheels by key, in order."""

    @property
    @abstractmethod
    def dial(self) -> str:
        """What a number typed bare counts in, see `wheel_row.DIALS`."""

    @property
    @abstractmethod
    def rules(self) -> WheelRules:
        """What the wheels are judged by."""

    @abstractmethod
    def set_dial(self, dial: str) -> None:
        """Count bare numbers otherwise from now on; what was typed before stays as it was."""

    @abstractmethod
    def reload(self) -> bool:
        """Read the file again if it changed underneath; True if it did."""

    @abstractmethod
    def _judged(self) -> WheelTable:
        """The table as it follows from the case."""

    @abstractmethod
    def _put(self, key: str, said: list[Assignment], taken_back: tuple[str, ...]
             ) -> tuple[Entry, ...]:
        """Keep readings and answers of one wheel, and take entries back; all or nothing."""

    @abstractmethod
    def _retract(self, ids: tuple[str, ...]) -> None:
        """Take entries back; all or none."""

    @property
    def table(self) -> WheelTable:
        """All wheels, judged; worked out once for each state of the case."""
        if self._table is None or self._table[0] is not self.case:
            self._table = (self.case, self._judged())
        return self._table[1]

    def limit_mm(self, surface: Surface) -> float:
        """The limit in force at a surface [mm]."""
        return self.rules.limit_mm(FINDINGS[surface])

    def newest(self, key: str, surface: Surface) -> Entry | None:
        """The reading of a surface that was taken last."""
        entries = self.table.row(key).readings.get(surface, ())
        return entries[-1] if entries else None

    def slow_turn_of(self, key: str, surface: Surface) -> dict[str, str]:
        """The newest reading of a surface as texts, where it is high and low of a slow turn."""
        entry = self.newest(key, surface)
        if entry is None or entry.angles:
            return {}
        read = list(entry.readings) or [entry.value]
        return {"tir": read[0]} if len(read) == 1 else {"high": read[0], "low": read[1]}

    def take(
        self, key: str, texts: Mapping[Surface, Mapping[str, str]], *, same_setup: bool = False
    ) -> tuple[Entry, ...]:
        """Readings of one wheel, each as texts of the runout calculator; all are kept, or none.

        Parameters
        ----------
        same_setup : the wheel and gauge were not set up anew since the newest reading of each
            surface, which is within these readings; that one is taken back for the whole.

        Raises
        ------
        InputError family : no such wheel, or a reading that cannot be. CaseError family : not
            saved.
        """
        if key not in self.names:
            raise InputError(f"there is no wheel '{key[:20]}'", "",
                             f"write one of {', '.join(self.names)}")
        said, replaced = [], []
        for surface, each in texts.items():
            result: RunoutResult = run(each)
            answer = CALCULATOR.answers_of(result, FINDINGS[surface])[0]
            said.append(Assignment(answer.finding, answer.text, None, answer.readings,
                                   answer.angles))
            before = self.newest(key, surface)
            if same_setup and before is not None:
                replaced.append(before.id)
        return self._step(key, said, tuple(replaced))

    def see(self, key: str, look: Look) -> tuple[Entry, ...]:
        """What a look at a wheel found."""
        said = [Assignment(finding, value) for finding, value in ANSWERS[look].items()]
        return self._step(key, said, ())

    def undo(self) -> tuple[Entry, ...]:
        """Take back what was entered last; gives those entries, none where there is nothing."""
        if self._steps:
            ids = self._steps[-1]
        else:
            newest = max((entry for row in self.table.rows for entries in row.readings.values()
                          for entry in entries), key=lambda entry: (entry.at, entry.id),
                         default=None)
            ids = (newest.id,) if newest is not None else ()
        if not ids:
            return ()
        gone = tuple(entry for entry in self.case.entries if entry.id in ids)
        self._retract(ids)
        del self._steps[-1:]
        return gone

    def _step(
        self, key: str, said: list[Assignment], taken_back: tuple[str, ...]
    ) -> tuple[Entry, ...]:
        made = self._put(key, said, taken_back)
        self._steps.append(tuple(entry.id for entry in made))
        return made

"""A case, or a set of wheels, together with the file it is kept in, if it is kept at all."""

from __future__ import annotations

from abc import ABC, abstractmethod
from pathlib import Path
from typing import Generic, TypeVar

from vibecheck.casebook import store
from vibecheck.casebook.case import Case
from vibecheck.casebook.store import StoredCase

Made = TypeVar("Made")


class Kept(ABC, Generic[Made]):
    """What is saved before it is believed, and held against the rules where others wrote it.

    `Made` is what is believed of a case.
    """

    _stored: StoredCase | None
    _waiting = False  # True while several steps are to be saved at once

    @property
    @abstractmethod
    def case(self) -> Case:
        """The case as it is now."""

    @abstractmethod
    def _follow(self, case: Case) -> Made:
        """What follows from a case that was changed here."""

    @abstractmethod
    def _held(self, case: Case, where: str) -> Made:
        """The same of a case that somebody else wrote; raises where the rules do not know it."""

    @abstractmethod
    def _believe(self, made: Made) -> None:
        """Take it as what counts from now on."""

    @property
    def path(self) -> Path | None:
        """The file, or None for what is in memory alone."""
        return self._stored.path if self._stored else None

    def keep(self, path: Path) -> None:
        """Begin to keep what was only in memory; an existing file is never overwritten.

        Raises
        ------
        CaseError family : it cannot be written there.
        """
        self._stored = store.create(path, self.case)

    def reload(self) -> bool:
        """Read the file again if it changed underneath; True if it did.

        Raises
        ------
        CaseReplacedError : the file holds something else. CaseError family : it cannot be read.
        """
        if self._stored is None:
            return False
        found = store.reread(self._stored)
        if found.digest == self._stored.digest:
            return False
        made = self._held(found.case, str(found.path))
        self._stored = found
        self._believe(made)
        return True

    def _replace(self, case: Case) -> None:
        """Save the case, then believe it."""
        made = self._follow(case)
        if self._stored is not None and not self._waiting:
            stored = store.save(self._stored, case)
            if stored.case != case:  # somebody else wrote into it
                made = self._held(stored.case, str(stored.path))
            self._stored = stored
        self._believe(made)

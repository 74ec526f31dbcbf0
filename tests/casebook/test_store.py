"""Saving: whatever fails, the case's path leads to one whole file and the person is told."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import Any

import pytest
from filelock import FileLock
from msgspec import structs

from vibecheck.casebook import atomic_write, journal, store
from vibecheck.casebook.case import Case
from vibecheck.errors import (
    CaseBusyError,
    CaseDamagedError,
    CaseError,
    CaseNotFoundError,
    CaseNotSavedError,
    CaseTooNewError,
)


def longer(case: Case, text: str = "one more") -> Case:
    return journal.append(case, [journal.Draft("note", text=text)])[0]


def visible(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir() if not entry.name.endswith(".lock"))


class TestSave:
    def test_saved_is_loaded(self, stored: store.StoredCase):
        saved = store.save(stored, longer(stored.case))

        assert saved == store.load(stored.path)
        assert len(saved.case.entries) == len(stored.case.entries) + 1
        assert ["visit.yaml"] == visible(stored.path.parent)

    def test_create_never_overwrites(self, stored: store.StoredCase):
        before = stored.path.read_bytes()
        with pytest.raises(CaseError, match="exists already"):
            store.create(stored.path, structs.replace(stored.case, id="other"))

        assert before == stored.path.read_bytes()

    def test_permissions_stay(self, stored: store.StoredCase):
        stored.path.chmod(0o640)
        store.save(stored, longer(stored.case))

        assert 0o640 == stat.S_IMODE(stored.path.stat().st_mode)

    def test_a_link_to_a_case_stays_a_link(self, stored: store.StoredCase, tmp_path: Path):
        link = tmp_path / "link.yaml"
        link.symlink_to(stored.path)
        opened = store.load(link)
        store.save(opened, longer(opened.case))

        assert link.is_symlink()
        assert len(opened.case.entries) + 1 == len(store.load(stored.path).case.entries)

    def test_leftovers_of_killed_saves_are_swept(self, stored: store.StoredCase):
        (stored.path.parent / ".visit.yaml.x1.part").write_text("half")
        store.save(stored, longer(stored.case))

        assert ["visit.yaml"] == visible(stored.path.parent)


class TestChangedUnderneath:
    def test_both_people_keep_their_entries(self, stored: store.StoredCase):
        hers = store.save(stored, longer(stored.case, "hers"))
        his = store.save(stored, longer(stored.case, "his"))

        texts = [entry.text for entry in store.load(stored.path).case.entries]
        assert {"hers", "his"} <= set(texts)
        assert len(stored.case.entries) + 2 == len(his.case.entries)
        assert his.digest != hers.digest

    def test_another_case_is_not_touched(self, stored: store.StoredCase):
        other = structs.replace(stored.case, id="c2")
        store.save(stored, other)
        before = stored.path.read_bytes()

        with pytest.raises(CaseNotSavedError, match="another case"):
            store.save(stored, longer(stored.case))

        assert before == stored.path.read_bytes()

    @pytest.mark.parametrize(
        ("content", "error"),
        [(b"", CaseDamagedError), (b"vibecheck_case: 9\n", CaseTooNewError)],
    )
    def test_what_cannot_be_merged_is_not_overwritten(
        self, stored: store.StoredCase, content: bytes, error: type[CaseError]
    ):
        stored.path.write_bytes(content)

        with pytest.raises(error):
            store.save(stored, longer(stored.case))

        assert content == stored.path.read_bytes()

    def test_removed_file_is_written_anew(self, stored: store.StoredCase):
        stored.path.unlink()
        case = longer(stored.case)
        store.save(stored, case)

        assert case == store.load(stored.path).case

    def test_removed_folder_is_said(self, tmp_path: Path, case: Case):
        folder = tmp_path / "gone"
        folder.mkdir()
        stored = store.create(folder / "visit.yaml", case)
        for entry in folder.iterdir():
            entry.unlink()
        folder.rmdir()

        with pytest.raises(CaseNotSavedError, match="NOT saved"):
            store.save(stored, longer(case))

    def test_a_held_lock_is_waited_for_and_then_said(
        self, stored: store.StoredCase, monkeypatch: pytest.MonkeyPatch
    ):
        monkeypatch.setattr(store, "LOCK_WAIT_S", 0.01)
        with (
            FileLock(stored.path.parent / ".visit.yaml.lock"),
            pytest.raises(CaseBusyError, match="somebody else"),
        ):
            store.save(stored, longer(stored.case))

        assert stored == store.load(stored.path)


class _Failing:
    """Stands in for one function of `os` or `tempfile`; fails at its n-th call."""

    def __init__(self, real: Any, error: BaseException) -> None:
        self.real, self.error = real, error

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        raise self.error


STEPS = ["os.scandir", "tempfile.mkstemp", "os.fdopen", "os.fsync", "os.chmod", "os.replace"]


class TestFaultAtEveryStep:
    @pytest.mark.parametrize("step", STEPS)
    @pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EDQUOT])
    def test_the_old_file_is_whole_and_the_person_is_told(
        self, stored: store.StoredCase, monkeypatch: pytest.MonkeyPatch, step: str, number: int
    ):
        before = stored.path.read_bytes()
        error = OSError(number, os.strerror(number))
        self.break_step(monkeypatch, step, error)

        with pytest.raises(CaseNotSavedError) as caught:
            store.save(stored, longer(stored.case))

        monkeypatch.undo()
        assert before == stored.path.read_bytes()
        assert "NOT saved" in str(caught.value)
        assert "visit.yaml" in str(caught.value)
        store.save(stored, longer(stored.case))
        assert ["visit.yaml"] == visible(stored.path.parent)

    def test_every_step_that_writes_is_among_the_broken_ones(
        self, stored: store.StoredCase, monkeypatch: pytest.MonkeyPatch
    ):
        """Count the calls of one whole save, so that a new step cannot slip in untested."""
        seen: list[str] = []
        for step in STEPS:
            module, name = step.split(".")
            real = getattr(getattr(atomic_write, module), name)

            def spy(*args: Any, real: Any = real, step: str = step, **kwargs: Any) -> Any:
                seen.append(step)
                return real(*args, **kwargs)

            monkeypatch.setattr(getattr(atomic_write, module), name, spy)
        store.save(stored, longer(stored.case))

        assert [*STEPS, "os.fsync"] == seen

    @pytest.mark.parametrize("step", STEPS)
    def test_control_c_at_any_step_leaves_the_old_file_and_no_rubbish(
        self, stored: store.StoredCase, monkeypatch: pytest.MonkeyPatch, step: str
    ):
        before = stored.path.read_bytes()
        self.break_step(monkeypatch, step, KeyboardInterrupt())

        with pytest.raises(KeyboardInterrupt):
            store.save(stored, longer(stored.case))

        monkeypatch.undo()
        assert before == stored.path.read_bytes()
        assert ["visit.yaml"] == visible(stored.path.parent)

    def test_a_folder_that_cannot_be_synced_is_no_harm(
        self, stored: store.StoredCase, monkeypatch: pytest.MonkeyPatch
    ):
        real = os.open

        def refuse(path: Any, flags: int, *rest: Any, **named: Any) -> int:
            if os.path.isdir(path):
                raise OSError(errno.EINVAL, "no such thing for folders here")
            return real(path, flags, *rest, **named)

        monkeypatch.setattr(atomic_write.os, "open", refuse)
        case = longer(stored.case)
        store.save(stored, case)

        assert case == store.load(stored.path).case

    @staticmethod
    def break_step(monkeypatch: pytest.MonkeyPatch, step: str, error: BaseException) -> None:
        module, name = step.split(".")
        real = getattr(getattr(atomic_write, module), name)
        monkeypatch.setattr(getattr(atomic_write, module), name, _Failing(real, error))


class TestLoad:
    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "the file is empty"),
            (b"\xff\xfe\x00", ":1: the file is not UTF-8"),
            (b"vibecheck_case: 1\n\x00", ":2: the character U+0000"),
            (b"x" * (store.LARGEST_CASE + 1), "the file has 2.0 MB"),
            (b"[" * 5000, "write it flatter"),
            (b"a: &a [x]\nb: *a\n", ":1: the anchor"),
        ],
    )
    def test_damaged_file_gives_one_sentence(self, tmp_path: Path, content: bytes, says: str):
        path = tmp_path / "visit.yaml"
        path.write_bytes(content)

        with pytest.raises(CaseDamagedError) as caught:
            store.load(path)

        assert says in str(caught.value)
        assert "visit.yaml" in str(caught.value)
        assert content == path.read_bytes()

    @pytest.mark.parametrize("name", ["none.yaml", "", "visit.yaml/below.yaml"])
    def test_what_is_no_file_is_said(self, stored: store.StoredCase, name: str):
        with pytest.raises(CaseNotFoundError):
            store.load(stored.path.parent / name)

    @pytest.mark.parametrize("name", ["a\0b", "x" * 300])
    def test_impossible_names_are_said(self, tmp_path: Path, case: Case, name: str):
        with pytest.raises(CaseError):
            store.load(tmp_path / name)
        with pytest.raises(CaseError):
            store.create(tmp_path / name, case)

    def test_windows_line_ends_are_read(self, stored: store.StoredCase):
        content = stored.path.read_bytes().replace(b"\n", b"\r\n")
        stored.path.write_bytes(content)

        assert stored.case == store.load(stored.path).case

"""Real processes: killed in the midst, refused by the system, and two on one case."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from vibecheck.casebook import store

ROOT = Path(__file__).parents[2]
SAVING = """
import sys
from pathlib import Path
from vibecheck.casebook import journal, store
stored = store.load(Path(sys.argv[1]))
while True:
    case, made = journal.append(stored.case, [journal.Draft("note", text="x" * 5000)])
    stored = store.save(stored, case)
    print(made[0].id, flush=True)
"""
TWENTY = """
import sys
from pathlib import Path
from vibecheck.casebook import journal, store
stored = store.load(Path(sys.argv[1]))
for _ in range(20):
    case, made = journal.append(stored.case, [journal.Draft("note", text="x")])
    stored = store.save(stored, case)
    print(made[0].id, made[0].text, flush=True)
"""
FULL = """
import resource, sys
from pathlib import Path
from vibecheck.casebook import journal, store
from vibecheck.errors import CaseNotSavedError
stored = store.load(Path(sys.argv[1]))
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, resource.RLIM_INFINITY))
case, _ = journal.append(stored.case, [journal.Draft("note", text="x" * 9000)])
try:
    store.save(stored, case)
except CaseNotSavedError as error:
    print(error)
"""


def start(code: str, path: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", code, str(path)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)


@pytest.mark.parametrize("saves", [1, 2, 5, 9])
def test_a_killed_process_loses_nothing_it_said_was_saved(
    stored: store.StoredCase, saves: int
):
    """Killed after so many saves, in the midst of whatever came next."""
    process = start(SAVING, stored.path)
    assert process.stdout is not None
    said = [process.stdout.readline().strip() for _ in range(saves)]
    process.kill()
    said += process.stdout.read().split()
    process.wait()
    process.stdout.close()

    found = store.load(stored.path)

    assert set(said) <= {entry.id for entry in found.case.entries}
    assert stored.case.entries == found.case.entries[: len(stored.case.entries)]
    store.save(found, found.case)
    assert not list(stored.path.parent.glob(".*.part"))


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on file size")
def test_a_system_that_refuses_the_bytes_leaves_the_old_file(stored: store.StoredCase):
    before = stored.path.read_bytes()
    process = start(FULL, stored.path)
    said, _ = process.communicate(timeout=60)

    assert "NOT saved: the disk does not take a file this large" in said
    assert before == stored.path.read_bytes()
    assert not list(stored.path.parent.glob(".*.part"))


def test_two_processes_on_one_case_lose_nothing(stored: store.StoredCase):
    both = [start(TWENTY, stored.path) for _ in range(2)]
    said = [line.split()[0] for each in both for line in each.communicate(timeout=60)[0].split("\n")
            if line]

    entries = store.load(stored.path).case.entries
    assert 40 == len(said)
    assert len(stored.case.entries) + 40 == len(entries)
    assert set(said) <= {entry.id for entry in entries}

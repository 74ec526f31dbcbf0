"""A PostgreSQL server of the tests' own, on a socket in a folder of theirs, or none."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

_PLACES = ("/usr/lib/postgresql",)


def programs() -> Path | None:
    """The folder with initdb and pg_ctl, or None where PostgreSQL is not installed."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(os.path.realpath(found)).parent
    for place in _PLACES:
        for folder in sorted(Path(place).glob("*/bin"), reverse=True):
            if (folder / "initdb").exists():
                return folder
    return None


@contextlib.contextmanager
def server() -> Iterator[str]:
    """The URL of an empty database; the server ends with the block."""
    folder = programs()
    assert folder is not None
    home = Path(tempfile.mkdtemp(prefix="vibecheck-pg-"))
    as_user: Sequence[str] = ()
    if os.getuid() == 0:  # the server refuses to run as root
        shutil.chown(home, "postgres", "postgres")
        as_user = ("runuser", "-u", "postgres", "--")
    data = home / "data"

    def run(*command: str) -> None:
        done = subprocess.run(
            [*as_user, *command], cwd=home, capture_output=True, text=True, timeout=120,
            check=False, stdin=subprocess.DEVNULL,
        )
        assert done.returncode == 0, done.stderr

    try:
        run(str(folder / "initdb"), "-D", str(data), "-U", "tests", "--auth=trust", "-N",
            "--encoding=UTF8", "--locale=C.UTF-8")
        run(str(folder / "pg_ctl"), "-D", str(data), "-w", "-l", str(home / "log"), "-o",
            f"-c listen_addresses='' -k {home} -c fsync=off", "start")
        yield f"postgresql+psycopg://tests@/postgres?host={home}"
        run(str(folder / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop")
    finally:
        shutil.rmtree(home, ignore_errors=True)

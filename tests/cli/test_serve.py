"""The command `serve`: which addresses it takes, and what it says."""

from __future__ import annotations

import socket
import sys
from pathlib import Path

import pytest

from vibecheck.cli import serve
from vibecheck.cli.exitcodes import ExitCode

pytest.importorskip("textual_serve")


@pytest.fixture
def started(monkeypatch):
    """What would be served: the guard and the wizard's command; nothing runs on."""
    seen = []

    def served(wizard, guard, door, tell):
        seen.append((wizard, guard, door.getsockname()))

    monkeypatch.setattr(serve, "_serve", served)
    return seen


def test_it_listens_on_this_machine_alone_and_prints_the_address(run, started):
    done = run("serve", "--port", "0")
    [(wizard, guard, (host, port))] = started

    assert ExitCode.FINE == done.code
    assert "127.0.0.1" == host and guard.url == f"http://127.0.0.1:{port}"
    assert f"{guard.url}/?token={guard.token}\n" == done.out
    assert [sys.executable, "-m", "vibecheck.cli.main", "wizard"] == wizard
    assert "WARNING" not in done.err


def test_the_wizard_gets_case_folder_and_rules(run, started, tmp_path):
    odd = tmp_path / "a $(touch x) 'case'.yaml"
    run("serve", odd, "--port", "0", "--cases", tmp_path, "--rules", tmp_path)
    words = started[0][0]

    assert ["--cases", str(tmp_path), "--rules", str(tmp_path), "--", str(odd)] == words[4:]


@pytest.mark.parametrize("host", ["192.0.2.7", "example.org", "10.0.0.1", "2001:db8::1"])
def test_an_address_that_others_reach_needs_to_be_allowed(run, started, host):
    done = run("serve", "--host", host, "--port", "0")

    assert ExitCode.WRONG_INPUT == done.code
    assert "--let-others-in" in done.err and [] == started


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "", "*"])
def test_every_address_at_once_is_never_taken(run, started, host):
    done = run("serve", "--host", host, "--port", "0", "--let-others-in")

    assert ExitCode.WRONG_INPUT == done.code
    assert "every address" in done.err and [] == started


def test_an_allowed_address_comes_with_a_warning(run, started, monkeypatch):
    monkeypatch.setattr(serve, "is_loopback", lambda host: False)
    done = run("serve", "--port", "0", "--let-others-in")

    assert ExitCode.FINE == done.code and 1 == len(started)
    assert "WARNING: other machines can reach this address." in done.err
    assert "share all visits" in " ".join(done.err.split())


def test_a_port_in_use_is_one_sentence(run, started):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        done = run("serve", "--port", str(taken.getsockname()[1]))

    assert ExitCode.WRONG_INPUT == done.code
    assert "cannot be taken" in done.err and 1 == done.err.count("\n")


@pytest.mark.parametrize("port", ["-1", "65536", "http"])
def test_no_such_port(run, started, port):
    done = run("serve", "--port", port)

    assert ExitCode.WRONG_INPUT == done.code and [] == started


@pytest.mark.parametrize("host", ["127.0.0.1", "127.1.2.3", "::1", "localhost", "LOCALHOST"])
def test_loopback(host):
    assert serve.is_loopback(host)


@pytest.mark.parametrize(
    ("host", "port", "url"),
    [("127.0.0.1", 8000, "http://127.0.0.1:8000"), ("::1", 8001, "http://[::1]:8001"),
     ("LocalHost", 80, "http://localhost")],
)
def test_the_address_is_written_as_browsers_write_it(host, port, url):
    assert url == serve.url_of(host, port)


def test_a_missing_extra_is_one_sentence_that_says_how_to_get_it(run, started, monkeypatch):
    monkeypatch.setitem(sys.modules, "textual_serve", None)
    monkeypatch.setitem(sys.modules, "textual_serve.server", None)
    done = run("serve", "--port", "0")

    assert ExitCode.ADD_ON_MISSING == done.code
    assert "pip install 'vibecheck[serve]'" in done.err and [] == started


def test_the_help_says_that_it_is_an_extra(run):
    assert "extra 'serve'" in run("serve", "--help").out


def test_relative_paths_still_lead_to_the_case_from_elsewhere():
    words = serve.wizard_command(Path("v.yaml"), None, None)

    assert str(Path.cwd() / "v.yaml") == words[-1]

"""The table of commands names what the modules add, so that one module alone can be loaded."""

from __future__ import annotations

from importlib import import_module

import pytest

from vibecheck.cli.main import GROUPS
from vibecheck.cli.parser import Parser


@pytest.mark.parametrize("group", GROUPS)
def test_a_module_adds_the_commands_that_the_table_names(group: str) -> None:
    parser = Parser(prog="vibecheck")
    commands = parser.add_subparsers(dest="command", parser_class=Parser)
    import_module(f"vibecheck.cli.{group}").add(commands)

    assert GROUPS[group] == tuple(commands.choices)

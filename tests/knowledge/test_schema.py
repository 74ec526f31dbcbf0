"""The JSON Schema for editors."""

from __future__ import annotations

import json
from pathlib import Path

from vibecheck.knowledge.model import RuleFile
from vibecheck.knowledge.schema import FILE, rule_schema

ROOT = Path(__file__).parents[2]


def test_the_schema_in_docs_is_current() -> None:
    """If not, write `rule_schema()` to `FILE` again."""
    assert rule_schema() == (ROOT / FILE).read_text(encoding="utf-8")


def test_the_schema_knows_every_list_and_refuses_unknown_keys() -> None:
    parts = json.loads(rule_schema())["$defs"]

    assert set(RuleFile.__struct_fields__) == set(parts["RuleFile"]["properties"])
    structs = [part for part in parts.values() if part.get("type") == "object"]
    assert all(part["additionalProperties"] is False for part in structs)

"""JSON Schema of a rule file, so that an editor can complete and check it while it is written."""

from __future__ import annotations

import json

import msgspec

from vibecheck.knowledge.model import RuleFile

FILE = "docs/rule_schema.json"  # where the current schema is kept in the source tree


def rule_schema() -> str:
    """The schema as JSON text. It checks shape only; `rules check` also checks meaning."""
    body = msgspec.json.schema(RuleFile)
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "vibecheck rule file",
    }
    return json.dumps({**head, **body}, indent=2, ensure_ascii=False) + "\n"

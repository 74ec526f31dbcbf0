"""A fingerprint of a rule library's content."""

from __future__ import annotations

import hashlib
from typing import Any

import msgspec

# Mappings whose order has a meaning: the first state of a graded finding is the normal one.
_ORDERED = ("states",)


def digest(content: dict[str, Any]) -> str:
    """SHA-256 of the content, whatever the order of files and keys and the layout of the YAML.

    Parameters
    ----------
    content : rules by kind; a kind is one rule, a list, or rules by their id.
    """
    plain = {kind: _plain(rules) for kind, rules in content.items()}
    return hashlib.sha256(msgspec.json.encode(plain, order="sorted")).hexdigest()


def _plain(rules: Any) -> Any:
    data = msgspec.to_builtins(rules)
    if isinstance(data, list):
        return sorted(data, key=lambda rule: msgspec.json.encode(rule, order="sorted"))
    for rule in data.values() if isinstance(data, dict) else ():
        for name in _ORDERED:
            if isinstance(rule, dict) and isinstance(rule.get(name), dict):
                rule[name] = list(rule[name].items())
    return data

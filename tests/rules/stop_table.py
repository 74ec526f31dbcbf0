"""The table of stops in docs/safety.md, made from the rules.

    python tests/rules/stop_table.py --write      write it into the page
"""

from __future__ import annotations

import sys
from pathlib import Path

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.model import Seen, Trigger
from vibecheck.knowledge.place import find_rules
from vibecheck.knowledge.words import Level

PAGE = Path(__file__).parents[2] / "docs" / "safety.md"
HEAD = "| what was found, or how likely a cause is | caution | source (standing) |"
STANDING = {"common_practice": "", "reasoned": ""}


def _seen(library: Library, seen: Seen | Trigger) -> str:
    node = library.findings[seen.finding or ""]
    beyond = getattr(seen, "beyond", None)
    if beyond:
        return f"{node.name}: beyond {library.tolerances[beyond].name}"
    return f"{node.name}: {', or '.join(node.states[state].lower() for state in seen.states)}"


def _trigger(library: Library, trigger: Trigger) -> str:
    parts = [_seen(library, trigger)] if trigger.finding else []
    parts += [_seen(library, each) for each in trigger.all_of]
    if trigger.cause:
        name = library.causes[trigger.cause].name.lower()
        parts.append(f'cause "{name}" at {trigger.above:.0%} or more')
    return ", and ".join(parts)


def _source(library: Library, source: str) -> str:
    if source in STANDING:
        return source.replace("_", " ")
    node = library.sources[source]
    return f"{node.title.partition(', ')[0]} ({node.standing.value})"


def table(library: Library) -> str:
    """The rows of every caution that stops the drive, in the order of the rules."""
    rows = [HEAD, "|---|---|---|"]
    for caution in library.cautions.values():
        if caution.level is Level.STOP:
            found = "<br>".join(_trigger(library, trigger) for trigger in caution.triggers)
            sources = "; ".join(_source(library, source) for source in caution.source)
            rows.append(f"| {found} | `{caution.id}` | {sources} |")
    return "\n".join(rows) + "\n"


def main() -> None:
    """Write the table into the page, or print it."""
    made = table(load(find_rules()))
    if "--write" not in sys.argv:
        print(made)
        return
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(HEAD)
    after = rest.partition("\n\n")[2]
    PAGE.write_text(f"{before}{made}\n{after}", encoding="utf-8")


if __name__ == "__main__":
    main()

"""What publications say causes a complaint, held against the ranking of the rules.

    python tests/reference/published_statements.py           print the table
    python tests/reference/published_statements.py --write   write docs/published_statements.md

A statement counts as met if a cause that it names is among the three likeliest causes, each taken
over all its corners. The stricter count asks for the cause named first or most.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import msgspec
from msgspec import Struct

from vibecheck import yamltext
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.reasoning.belief import anywhere
from vibecheck.session.proving import diagnosis_of

FOLDER = Path(__file__).parent / "published"
DOCUMENT = Path(__file__).parents[2] / "docs" / "published_statements.md"
PLACES = 3


class Statement(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One published statement; `says` is our own rendering, `cause` the cause named first."""

    id: str
    publisher: str
    title: str
    read_at: str
    standing: str
    says: str
    answers: list[str]
    cause: str
    also: list[str]
    year: str = ""
    facts: dict[str, str] = {}


@dataclass(frozen=True)
class Held:
    """A statement with the likeliest causes, (cause, probability [unitless]), likeliest first."""

    statement: Statement
    first: tuple[tuple[str, float], ...]

    @property
    def named_first(self) -> bool:
        """Whether the cause named first is among the likeliest."""
        return any(cause == self.statement.cause for cause, _ in self.first)

    @property
    def met(self) -> bool:
        """Whether a cause that the statement names is among the likeliest."""
        named = {self.statement.cause, *self.statement.also}
        return any(cause in named for cause, _ in self.first)


def statements() -> tuple[Statement, ...]:
    """Every statement, file by file.

    Raises
    ------
    YamlError, ValidationError : a file is not of the right shape.
    """
    found: list[Statement] = []
    for path in sorted(FOLDER.glob("*.yaml")):
        data, _ = yamltext.read(path.read_text(encoding="utf-8"), path.name, texts=True)
        found += msgspec.convert(data["statements"], list[Statement])
    return tuple(found)


def hold(library: Library, statement: Statement) -> Held:
    """The likeliest causes for one statement."""
    belief = diagnosis_of(library, statement.facts, statement.answers).belief
    chances = {cause: anywhere(belief, cause) for cause in library.causes}
    order = sorted(chances, key=lambda cause: -chances[cause])
    return Held(statement, tuple((cause, chances[cause]) for cause in order[:PLACES]))


def hold_all(library: Library) -> tuple[Held, ...]:
    """All statements; those of like facts share a network."""
    every = statements()
    order = sorted(range(len(every)), key=lambda index: sorted(every[index].facts.items()))
    held = {index: hold(library, every[index]) for index in order}
    return tuple(held[index] for index in range(len(every)))


def page(held: Sequence[Held]) -> str:
    """The page of the documentation."""
    met, first = sum(each.met for each in held), sum(each.named_first for each in held)
    lines = [
        "# What publications say, and what the rules say",
        "",
        "Statements of makers' bulletins, service manuals, handbooks and pages of the trade. The",
        "rules were written from these and pages like them, so this is no test of the rules: it",
        "shows that they still say what their sources say, and where they do not. How well they",
        "do on complaints that they have not seen is counted on real cases, kept apart. Each",
        "statement is encoded as answers from its own words. It is met if a cause that it names",
        "is among the three likeliest; a cause counts over all its corners.",
        "`read` means that the text was seen in a stored copy, mostly an excerpt; `memory` that it",
        "was not. Written by `python tests/reference/published_statements.py --write`.",
        "",
        f"**{met} of {len(held)} statements are met; in {first} of them the cause named first or",
        "most is itself among the three.**",
        "",
        "| statement | source | standing | says | named | three likeliest | met |",
        "|---|---|---|---|---|---|---|",
        *(_row(each) for each in held),
        "",
        "## Misses",
        "",
        *([_miss(each) for each in held if not each.met] or ["None."]),
        "",
    ]
    return "\n".join(lines)


def _row(held: Held) -> str:
    each = held.statement
    likeliest = ", ".join(cause for cause, _ in held.first)
    met = "yes" if held.named_first else "another named cause" if held.met else "no"
    return f"{said(each)} {likeliest} | {met} |"


def said(each: Statement) -> str:
    """The part of a row that the statement alone decides."""
    year = f", {each.year}" if each.year else ""
    named = ", ".join([f"**{each.cause}**", *each.also])
    cells = (f"`{each.id}`", f"{each.publisher}: {each.title}{year}; {each.read_at}",
             each.standing, each.says.strip(), named)  # fmt: skip
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def _miss(held: Held) -> str:
    each = held.statement
    likeliest = ", ".join(cause for cause, _ in held.first)
    return f"- `{each.id}` names {each.cause}; the rules say {likeliest}."


def main(arguments: Sequence[str]) -> None:
    """Print the page, or write it into the documentation."""
    text = page(hold_all(load(find_rules())))
    if "--write" in arguments:
        DOCUMENT.write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)


if __name__ == "__main__":
    main(sys.argv[1:])

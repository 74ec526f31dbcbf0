"""Proposals from confirmed visits as a file of rules, with the counts beside each value.

Laid over the rules it replaces the causes that it names; it holds them whole, as they are written,
with their new rates and strengths. Nothing reads it until somebody says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause
from vibecheck.knowledge.words import Axle, Scale, Side
from vibecheck.session.learning import Learned, RateProposal, StrengthProposal
from vibecheck.yamltext import survey, write

SOURCE = "counted_visits"
_DIGITS = 3  # significant ones of a proposed value
_HIGHEST_RATE = 0.5
_PARTS = {None: "shows", **{at: f"shows_{at.value}" for at in (*Axle, *Side)}}
_HEAD = """\
# Proposed by 'vibecheck learn' from {visits} visits with a confirmed outcome. Nothing is applied
# until this file is laid over the rules: name it with --rules, or put it into the folder of your
# own rules. The counts stand beside each value. Each rate written before was taken to be worth
# {rate_weight:g} visits with its fault, each row of strengths {strength_weight:g} answers. A cause
# stands here whole: look at this file again when the rules that it replaces are changed.
"""


def overlay_text(library: Library, learned: Learned) -> str:
    """The proposals as YAML; only a comment where there are none."""
    head = _HEAD.format(visits=learned.visits, rate_weight=learned.rate_weight,
                        strength_weight=learned.strength_weight)  # fmt: skip
    rates = {each.cause: each for each in learned.changes}
    strengths: dict[str, list[StrengthProposal]] = {}
    for each in learned.strengths:
        strengths.setdefault(each.key.cause, []).append(each)
    names = [name for name in library.written if name in rates or name in strengths]
    if not names:
        return head + "# There are too few visits to propose anything.\n"
    words: dict[str, float] = {}
    new_rates: list[dict[str, Any]] = []
    causes = [
        _cause(library, library.written[name], rates.get(name), strengths.get(name, ()),
               new_rates, words)
        for name in names
    ]  # fmt: skip
    data = {
        "sources": [{"id": SOURCE, "title": "Counted in the shop's own visits with a confirmed "
                                            "outcome", "standing": "calculated"}],
        "rates": new_rates,
        "strengths": [{"word": word, "probability": words[word]} for word in sorted(words)],
        "causes": causes,
    }  # fmt: skip
    text = write({key: value for key, value in data.items() if value})
    return head + _with_counts(library, text, causes, strengths)


def _cause(
    library: Library, cause: Cause, rate: RateProposal | None,
    strengths: list[StrengthProposal] | tuple[()], new_rates: list[dict[str, Any]],
    words: dict[str, float],
) -> dict[str, Any]:  # fmt: skip
    made = _without_defaults(cause)
    made["source"] = [*dict.fromkeys([*cause.source, SOURCE])]
    if rate is not None:
        said = (f"{rate.seen} of the counted visits, {rate.expected:.1f} expected; "
                f"written {library.rate(cause.rate):g}")  # fmt: skip
        made["rate"] = _rate(library, cause.rate, f"{cause.id} as counted", rate, said, new_rates)
        for number, case in enumerate(made.get("rates", ()), 1):
            case["rate"] = _rate(library, case["rate"], f"{cause.id} as counted, case {number}",
                                 rate, "in proportion to the first", new_rates)  # fmt: skip
    for each in strengths:
        shows = made.setdefault(_PARTS[each.key.at], {})
        shows[each.key.finding] = _strength(library, each, words)
    return made


def _without_defaults(cause: Cause) -> dict[str, Any]:
    """A cause as plain data, without what it does not say."""
    plain: dict[str, Any] = msgspec.to_builtins(cause)
    silent = {field.name: field.default for field in msgspec.structs.fields(cause)
              if field.default is not msgspec.NODEFAULT}  # fmt: skip
    return {
        key: [{k: v for k, v in each.items() if v} for each in value] if key == "rates" else value
        for key, value in plain.items()
        if value not in ({}, [], "", None) and value != silent.get(key)
    }


def _rate(
    library: Library, written: str, word: str, rate: RateProposal, said: str,
    new_rates: list[dict[str, Any]],
) -> str:  # fmt: skip
    value = min(_rounded(library.rate(written) * rate.factor), _HIGHEST_RATE)
    new_rates.append({"word": word, "probability": value, "meaning": said})
    return word


def _strength(
    library: Library, proposal: StrengthProposal, words: dict[str, float]
) -> str | dict[str, str]:
    finding = library.findings[proposal.key.finding]
    values = [_rounded(float(each)) for each in proposal.strength]
    if finding.scale is Scale.GRADED and len(values) == 2:  # noqa: PLR2004
        return _word(values[1], words)
    return {state: _word(value, words)
            for state, value in zip(finding.states, values, strict=True)}  # fmt: skip


def _word(value: float, words: dict[str, float]) -> str:
    word = f"counted {value:g}"
    words[word] = value
    return word


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")


def _with_counts(
    library: Library, text: str, causes: list[dict[str, Any]],
    strengths: Mapping[str, list[StrengthProposal]],
) -> str:  # fmt: skip
    """The text with the counts of every proposed strength at the end of its first line."""
    lines = text.splitlines()
    where = survey(text, "overlay").lines
    for place, cause in enumerate(causes):
        for each in strengths.get(cause["id"], ()):
            part = _PARTS[each.key.at]
            line = where["causes", place, part, each.key.finding]
            states = library.findings[each.key.finding].states
            counts = ", ".join(f"{state} {count:.4g}" for state, count
                               in zip(states, each.counts, strict=True))  # fmt: skip
            lines[line - 1] += f"  # {counts}"
    return "\n".join(lines) + "\n"

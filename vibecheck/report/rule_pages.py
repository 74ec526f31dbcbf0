"""Pages that the rules make: one cause whole, causes against the core profile, what is behind each
kind of complaint, how far a part that is seen bad is believed. Markdown, but for the first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Excites, Finding, RateCase, Strength
from vibecheck.knowledge.profile import Part, all_shown, shares, speakers, words_at
from vibecheck.knowledge.words import Aspect, Axle, Scale, Scope, Side
from vibecheck.report.lines import capital, heading, safe, wrapped
from vibecheck.session.rule_numbers import Behind, SeenPart, behind, seen_parts

ENOUGH = 0.9  # a part that was seen bad should be believed this far [unitless]
_LEAST_STATE = 0.1  # states below this share are left out of a cell
_MOST_BEHIND = 18
_LEAST_BEHIND = 0.005
_CARS = {
    "all cars": {},
    "front-wheel drive": {"drive": "front", "propulsion": "combustion"},
    "rear-wheel drive": {"drive": "rear", "propulsion": "combustion"},
    "electric": {"propulsion": "electric", "transmission": "single_speed"},
}
_ASPECTS = {
    Aspect.KIND: "complaint", Aspect.WHEN: "when", Aspect.WHERE: "where felt",
    Aspect.WHAT: "what it is like", Aspect.SPEED: "speed", Aspect.LOAD: "load",
    Aspect.WARMTH: "warmth", Aspect.SINCE: "since",
}  # fmt: skip


def cause_lines(library: Library, cause: Cause, width: int) -> list[str]:
    """One cause with every word it has, and where each comes from."""
    written = library.written.get(cause.id, cause)
    lines = heading(f"{cause.name} ({cause.id})", width)
    lines += wrapped(cause.says, width)
    lines += _pairs(_head(cause), width)
    for aspect in Aspect:
        core = [each.id for each in library.core.values() if each.aspect is aspect]
        if core:
            lines += heading(_ASPECTS[aspect], width)
            lines += _pairs(_told(library, cause, written, core), width)
    other = [name for name in all_shown(cause) if name not in library.core]
    lines += heading("history, looks, readings and trials", width)
    lines += _pairs(_told(library, cause, written, other), width)
    return lines


def _pairs(pairs: Iterable[tuple[str, str]], width: int) -> list[str]:
    return [line for label, text in pairs for line in wrapped(text, width, f"  {label:<24} ")]


def _head(cause: Cause) -> list[tuple[str, str]]:
    place = cause.scope.value
    if cause.scope is Scope.CORNER:
        place = f"one corner ({cause.where.value})"
    rates = [cause.rate, *(f"{_case(each)}: {each.rate}" for each in cause.rates)]
    found = [("family", cause.family.value), ("stands at", place), ("rate", "; ".join(rates)),
             ("like", ", ".join(cause.like) or "no kind")]  # fmt: skip
    if cause.fits:
        found.append(("only on cars with", _facts(cause.fits)))
    if cause.excites:
        found.append(("shakes", "; ".join(_shaken(each) for each in cause.excites)))
    if cause.seen_as:
        seen = (f"{name} {' or '.join(states)}" for name, states in cause.seen_as.items())
        found.append(("is seen as", ", ".join(seen)))
    found.append(("confirmed by", ", ".join(cause.confirm_by)))
    return [*found, ("cured by", _spoken_map(cause.remedies)), ("danger", cause.danger.value)]


def _case(case: RateCase) -> str:
    axle = [f"{case.axle.value} axle"] if case.axle else []
    return " and ".join([*axle, *([_facts(case.when)] if case.when else [])])


def _facts(needs: dict[str, list[str]]) -> str:
    return ", ".join(f"{fact} {' or '.join(values)}" for fact, values in needs.items())


def _shaken(excites: Excites) -> str:
    return (f"{excites.order:g} times a turn of the {excites.of.value}, {excites.law.value}, "
            f"{excites.path.value}")  # fmt: skip


def _told(
    library: Library, cause: Cause, written: Cause, names: Sequence[str]
) -> list[tuple[str, str]]:
    found = []
    for name in names:
        finding, parts = library.findings[name], _parts(cause, name)
        texts = [_one(library, finding, cause, written, at) for at in parts]
        if len({repr(words_at(cause, at).get(name)) for at in parts}) == 1:
            found.append((name, texts[0]))
        else:
            found += [(name if at is parts[0] else "", f"{at.value if at else ''}: {text}")
                      for at, text in zip(parts, texts, strict=True)]  # fmt: skip
    return found


def _parts(cause: Cause, name: str) -> list[Part]:
    """The places of the car by which a cause may part its words on a finding."""
    if cause.scope is Scope.VEHICLE:
        return [None]
    return [*Side] if name in cause.shows_left or name in cause.shows_right else [*Axle]


def _one(
    library: Library, finding: Finding, cause: Cause, written: Cause, at: Part
) -> str:
    strength = words_at(cause, at).get(finding.id)
    if strength is None:
        if finding.computed is not None and cause.excites:
            return "[from what it shakes]"
        return "as usual [among all causes of the complaint]"
    who = speakers(written, library.kinds, finding.id, at)
    return f"{_spoken(library, finding, strength)} [{' + '.join(who)}]"


def _spoken(library: Library, finding: Finding, strength: Strength) -> str:
    if isinstance(strength, str):
        return strength
    if all(word in library.strengths for word in strength.values()):
        return _spoken_map(strength)
    parts = zip(finding.states, shares(list(finding.states), strength, library.strengths),
                strict=True)  # fmt: skip
    return ", ".join(f"{state} {share:.0%}" for state, share in parts)


def _spoken_map(words: dict[str, str]) -> str:
    return ", ".join(f"{name} {word}" for name, word in words.items())


def core_table(library: Library) -> str:
    """Causes against the core profile, family by family."""
    lines = [
        "# Causes and how they show",
        "",
        "Every cause against the core profile: of a hundred cars that have this fault alone, in",
        "how many is it so? `hum 95` means that 95 of them hum; `feel shimmy 62, hop 20` that 62",
        "shimmy and 20 hop (shares under 10 are left out). `85/30` is the front axle and the rear",
        "axle. A star marks a word of the cause's own; without one it comes from its kinds.",
        "`usual` means that nothing is said: what is usual among the causes of the complaint is",
        "taken. Speeds follow from tire size and resonance unless they are given.",
        "",
        "Kept current by `vibecheck rules table`; the words stand in `rules/causes` and",
        "`rules/kinds.yaml`.",
    ]
    for family in dict.fromkeys(cause.family for cause in library.causes.values()):
        lines += ["", f"## {capital(family.value)}", ""]
        lines += ["| cause | " + " | ".join(_ASPECTS.values()) + " |", "|---" * 9 + "|"]
        for cause in library.causes.values():
            if cause.family is family:
                lines.append(_row(library, cause))
    return "\n".join([*lines, ""])


def _row(library: Library, cause: Cause) -> str:
    like = ", ".join(cause.like) or "no kind"
    cells = [f"**{_cell(cause.name)}**<br>like {_cell(like)}"]
    for aspect in _ASPECTS:
        core = [each.id for each in library.core.values() if each.aspect is aspect]
        cells.append("<br>".join(_entry(library, cause, name) for name in core))
    return "| " + " | ".join(cells) + " |"


def _entry(library: Library, cause: Cause, name: str) -> str:
    finding = library.findings[name]
    written = library.written.get(cause.id, cause)
    parts = _parts(cause, name)
    said = [_share(library, cause, finding, at) for at in parts]
    own = any(speakers(written, library.kinds, name, at) == ["own"] for at in parts)
    label = name if name != library.complaint else ""
    return f"{label} {'/'.join(dict.fromkeys(said))}{'*' if own else ''}".strip()


def _share(library: Library, cause: Cause, finding: Finding, at: Part) -> str:
    strength = words_at(cause, at).get(finding.id)
    if strength is None:
        return "computed" if finding.computed is not None and cause.excites else "usual"
    row = shares(list(finding.states), strength, library.strengths)
    if finding.scale is Scale.GRADED:
        return f"{100 * (1 - row[0]):.0f}"
    ordered = sorted(zip(finding.states, row, strict=True), key=lambda item: -item[1])
    return ", ".join(f"{state} {100 * share:.0f}" for state, share in ordered
                     if share >= _LEAST_STATE)  # fmt: skip


def behind_page(library: Library) -> str:
    """What is behind each kind of complaint, how often, for some sorts of cars."""
    found = {cars: {each.complaint: each for each in behind(library, facts)}
             for cars, facts in _CARS.items()}  # fmt: skip
    lines = [
        "# What is behind a complaint",
        "",
        "Of a hundred visits with this kind of complaint and nothing else known, how many have",
        "each cause behind them: its rate (`rate`, `rates` in `rules/causes`) times the share of",
        "its visits that bring this complaint, over the sum of all causes. Causes that only some",
        "cars can have count by the share of such cars (`rules/fleet.yaml`). The rates are",
        "reasoned from the trade; where counts of published cases spoke, they took a step toward",
        "them.",
        "",
        "Kept current by `vibecheck rules behind`.",
    ]
    finding = library.findings[str(library.complaint)]
    for state, label in finding.states.items():
        if finding.background.get(state) != "always":
            lines += ["", f"## {_cell(label)}", ""]
            lines += _behind_table(library, state, found)
    return "\n".join([*lines, ""])


def _behind_table(
    library: Library, state: str, found: dict[str, dict[str, Behind]]
) -> list[str]:
    columns = {cars: dict(each[state].shares) for cars, each in found.items()}
    first = next(iter(columns.values()))
    names = list(first)[:_MOST_BEHIND]
    lines = ["| cause | " + " | ".join(columns) + " |", "|---" + "|---:" * len(columns) + "|"]
    for name in names:
        if max(column.get(name, 0.0) for column in columns.values()) >= _LEAST_BEHIND:
            cells = (_hundredth(column.get(name, 0.0)) for column in columns.values())
            lines.append(f"| {_cell(library.causes[name].name)} | {' | '.join(cells)} |")
    rest = (_hundredth(1.0 - sum(column.get(name, 0.0) for name in names))
            for column in columns.values())  # fmt: skip
    return [*lines, f"| all others | {' | '.join(rest)} |"]


def _hundredth(share: float) -> str:
    return f"{100 * max(share, 0.0):.1f}" if share > 0.0 else "-"


def seen_page(library: Library) -> str:
    """How far a part that was seen bad is believed beside one strong complaint."""
    parts = sorted(seen_parts(library), key=lambda each: (each.probability, each.cause))
    short = sum(each.probability < ENOUGH for each in parts)
    lines = [
        "# What is seen is believed",
        "",
        "A part that was seen bad, with one strong complaint of the kind that it brings and",
        f"nothing else known: its probability. It should be {ENOUGH:g} or more;",
        f"{short} of {len(parts)} are below.",
        "",
        "Kept current by `vibecheck rules seen`; a finding that is its cause stands in its rule",
        "under `seen_as`.",
        "",
        "| cause | seen | complaint | probability | leads |",
        "|---|---|---|---:|---|",
    ]
    for each in parts:
        lines.append(_seen_row(library, each))
    return "\n".join([*lines, ""])


def _seen_row(library: Library, part: SeenPart) -> str:
    finding = library.findings[part.finding]
    first = library.causes[part.first].name
    leads = "it does" if part.first == part.cause else _cell(first)
    return (f"| {_cell(library.causes[part.cause].name)} | {_cell(finding.name)}: "
            f"{_cell(finding.states[part.state])} | {part.complaint} | {part.probability:.2f} | "
            f"{leads} |")  # fmt: skip


def _cell(text: str) -> str:
    return safe(text).replace("|", "/").replace("<", "&lt;")

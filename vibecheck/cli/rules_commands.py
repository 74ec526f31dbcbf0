"""Commands that look at the rules: rules check, list, graph, prove and pages; findings."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, Parser, UsageError, add_json, add_rules, command
from vibecheck.cli.rule_folders import folders, library_of
from vibecheck.cli.rules_proofs import name_unasked, run_prove
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import heading, safe, wrapped

if TYPE_CHECKING:
    from vibecheck.knowledge.book import Issue
    from vibecheck.knowledge.model import Finding

KINDS = ("causes", "findings", "checks", "remedies", "cautions", "tolerances", "facts", "tools",
         "sources", "resonances")


def add(commands: Commands) -> None:
    """The commands of this group."""
    rules = commands.add_parser("rules", help="Check, list or draw the rules")
    parts = rules.add_subparsers(
        title="parts", metavar="PART", dest="part", required=True, parser_class=Parser
    )
    check = command(parts, "check", run_check, "Look for every fault in the rules, and give advice")
    check.add_argument("--simulate", action="store_true",
                       help="also name checks that no simulated visit asks for (some minutes)")
    listing = command(parts, "list", run_list, "List the rules of a kind",
                      "  vibecheck rules list causes brake")
    listing.add_argument("kind", metavar="KIND", nargs="?", default="causes",
                         help=f"one of {', '.join(KINDS)}")
    listing.add_argument("word", metavar="WORD", nargs="?", default="",
                         help="only those with this word in their id or name")
    graph = command(parts, "graph", run_graph, "Give the rule graph in the DOT language",
                    "  vibecheck rules graph > rules.dot; dot -Tsvg rules.dot > rules.svg\n"
                    "  vibecheck rules graph --case visit.yaml > live.dot")
    graph.add_argument("--case", metavar="CASE", type=Path, help="only what is alive in a case")
    prove = command(parts, "prove", run_prove, "Try the proofs that stand beside the rules")
    parsers = [check, listing, graph, prove, *_add_pages(parts)]
    for parser in parsers:
        add_rules(parser)
    findings = command(
        commands, "findings", run_findings, "List the findings one can answer, with their states",
        "  vibecheck findings wheel",
    )
    findings.add_argument("word", metavar="WORD", nargs="?", default="",
                          help="only those with this word in their id or name")
    add_rules(findings)
    add_json(findings)


def _add_pages(parts: Commands) -> list[Parser]:
    from vibecheck.cli.rules_pages import run_page, run_show

    show = command(parts, "show", run_show, "One cause whole, with where each word comes from",
                   "  vibecheck rules show bent_wheel")
    show.add_argument("cause", metavar="CAUSE", help="its id; see 'vibecheck rules list'")
    return [
        show,
        command(parts, "table", run_page, "Every cause against the core profile, in Markdown",
                "  vibecheck rules table > docs/causes_table.md"),
        command(parts, "behind", run_page, "What is behind each kind of complaint, in Markdown"),
        command(parts, "seen", run_page, "How far a part seen bad is believed, in Markdown"),
    ]


def run_check(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Every fault and every piece of advice, and what the rules hold."""
    from vibecheck.knowledge.loader import examine

    folder, overlays = folders(chosen.rules)
    library, issues = examine(folder, overlays)
    terminal.lines(f"{issue.level.value}: {safe(issue)}" for issue in issues)
    if library is None:
        noun = "fault" if len(issues) == 1 else "faults"
        terminal.talk(f"the rules have {len(issues)} {noun}")
        return ExitCode.RULES_FAULTY
    if chosen.simulate:
        name_unasked(library, terminal)
    counts = ", ".join(f"{len(getattr(library, kind))} {kind}" for kind in KINDS)
    terminal.lines(wrapped(f"{library.settings.name} {library.settings.version}: {counts}", 10**6))
    terminal.talk(_summary(issues))
    return ExitCode.FINE


def _summary(issues: Sequence[Issue]) -> str:
    broken = sum(issue.level == "law" for issue in issues)
    advice = len(issues) - broken
    said = [f"{broken} laws not kept" if broken else "",
            f"{advice} pieces of advice" if advice else ""]  # fmt: skip
    return ", ".join(["no faults", *filter(None, said)])


def run_list(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Ids and names of one kind of rules."""
    if chosen.kind not in KINDS:
        raise UsageError(f"'{chosen.kind[:60]}' is no kind of rule", "vibecheck rules list",
                         f"write one of {', '.join(KINDS)}")
    rules = getattr(library_of(chosen), chosen.kind)
    for name, rule in rules.items():
        text = name_of(rule)
        if matches(chosen.word, name, text):
            terminal.lines(wrapped(text, terminal.width, f"{name:<28} ", " " * 29))
    return ExitCode.FINE


def run_findings(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """What can be answered, and how."""
    found = {
        name: finding for name, finding in library_of(chosen).findings.items()
        if matches(chosen.word, name, finding.name)
    }
    if chosen.json:
        from msgspec import to_builtins

        terminal.json(to_builtins(found))
        return ExitCode.FINE
    kind = ""
    for finding in sorted(found.values(), key=lambda each: each.kind):
        if finding.kind != kind:
            kind = finding.kind
            terminal.lines(heading(kind, terminal.width))
        terminal.lines(finding_lines(finding, terminal.width))
    if not found:
        terminal.talk(f"no finding has '{chosen.word[:60]}' in its id or name")
    return ExitCode.FINE


def run_graph(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """The rule graph, or what of it is alive in a case, in the DOT language."""
    from vibecheck.knowledge import drawing, graph

    if chosen.case is None:
        whole = graph.build(library_of(chosen))
    else:
        from vibecheck.session.open_case import OpenCase

        opened = OpenCase.open(chosen.case, chosen.rules)
        live = [each.cause for each in opened.diagnosis.ranking]
        whole = graph.live_part(graph.build(opened.library), live)
    terminal.raw(drawing.dot(whole))
    return ExitCode.FINE


def finding_lines(finding: Finding, width: int) -> list[str]:
    """One finding: how it is typed, and what it is."""
    corner = "@CORNER" if finding.scope == "corner" else ""
    states = "|".join(finding.states)
    lines = wrapped(f"{finding.id}{corner}={states}", width)
    if finding.measure is not None:
        unit = finding.measure.unit
        lines += wrapped(f"or a measured value, such as {finding.id}{corner}=... {unit}", width,
                         "    ")
    return [*lines, *wrapped(finding.name, width, "    ")]


def matches(word: str, *texts: str) -> bool:
    """Whether one of the texts holds the word, whatever its case."""
    return any(word.lower() in text.lower() for text in texts)


def name_of(rule: Any) -> str:
    """What a rule is called: its name, title or text."""
    for key in ("name", "title", "text"):
        if text := getattr(rule, key, ""):
            return str(text)
    return ""

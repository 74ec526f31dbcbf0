"""The commands of the calculators: options, help, text, JSON and `--into`, made from their fields.

A calculator is loaded when its command is called or its help asked for, not before.
"""

from __future__ import annotations

import argparse
import shlex
import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from vibecheck.calculators.registry import CALCULATORS, Listed
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, give
from vibecheck.cli.parser import Commands, Parser, UsageError, add_by, add_json, add_rules
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import InputError

if TYPE_CHECKING:
    from vibecheck.calculators.calculator import Calculator, Example, Tell
    from vibecheck.calculators.fields import Field, Group
    from vibecheck.calculators.wheel import WheelResult
    from vibecheck.casebook.case import Entry
    from vibecheck.report.wording import Wording
    from vibecheck.session.open_case import OpenCase

LONG_FILE_BYTES = 4_000_000  # from here on a person is told what is being done
HELP_WIDTH = 84
_PLACE = ("corner", "surface")
_USUAL_UNITS = "metric"
_UNITS_HELP = ("units of bare numbers and of what is printed: us, metric, or as 'in, mph, oz'; if "
               "not named, bare numbers are metric and results are printed as typed")


class CalculatorParser(Parser):
    """Takes its options from the calculator's fields when they are needed."""

    listed: Listed | None = None

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """As usual, with the options of the fields."""
        self.complete()
        return super().parse_known_args(args, namespace)

    def complete(self) -> None:
        """Add the options, once."""
        if self.listed is None:
            return
        calculator, self.listed = self.listed.load(), None
        self.epilog = "example:\n" + "\n\n".join(
            _example_text(calculator, each) for each in calculator.examples)
        for entry in calculator.entries:
            for field in _optional(entry):
                _add_option(self, field, often=field.often or entry in calculator.groups)
        _add_shared(self, calculator)


def add(commands: Commands) -> None:
    """The command of every calculator."""
    usual = commands._parser_class
    commands._parser_class = CalculatorParser
    for each in CALCULATORS:
        made = commands.add_parser(each.name, help=each.says, description=f"{each.says}.")
        made.set_defaults(run=partial(run_calculator, each))
        made.mixes = True
        made.listed = each  # type: ignore[attr-defined]
    commands._parser_class = usual


def option_of(field: Field) -> str:
    """The option of a field; a file is written without one."""
    from vibecheck.calculators.fields import Shape

    if field.shape is Shape.FILE:
        return field.name.upper()
    return f"--{field.name.replace('_', '-')}"


def run_calculator(
    listed: Listed, chosen: argparse.Namespace, terminal: Terminal
) -> ExitCode:
    """Calculate, add to the case if one is named, and print; nothing before all of it is done."""
    from vibecheck.calculators.echo import read_as, refuse_doubtful
    from vibecheck.cli.case_writing import leading
    from vibecheck.metrology.units.choice import units_named
    from vibecheck.report.calculators.pages import calculator_page, headline_of, read_as_blocks
    from vibecheck.report.case_page import entry_text
    from vibecheck.report.wording import Wording
    from vibecheck.session.intake import check_place, setup_text, take_in

    calculator = listed.load()
    wording = Wording(units_named(chosen.units or _USUAL_UNITS))
    opened = _open_into(chosen)
    with _option_names(calculator):
        if opened is not None:
            check_place(opened.library, calculator, chosen.corner, chosen.surface)
        texts = typed_texts(calculator, chosen, wording)
        if opened is not None:
            for name, known in calculator.known_beside(opened.diagnosis.facts, texts).items():
                texts[name] = texts.get(name) or known
        refuse_doubtful(calculator, typed_texts(calculator, chosen, None), texts)
        if opened is not None and calculator.takes_surface:
            texts["setup"] = texts["setup"] or setup_text(opened.library, chosen.surface)
        result = calculator.run(texts, _tell(texts, terminal))
        wording = _shown_in(calculator, chosen, wording)
        page = calculator_page(calculator.name, result, wording)
        read = read_as(calculator, typed_texts(calculator, chosen, None), texts)
        page = (*page, *read_as_blocks(read))
        entries: tuple[Entry, ...] = ()
        if opened is not None:
            entries = take_in(opened, calculator, result, headline_of(page), chosen.corner,
                              chosen.surface, chosen.by)
    wheel = _wheel(opened, chosen)
    if chosen.json:
        terminal.json(as_data(result, entries, wheel))
    else:
        if wheel is not None:
            from vibecheck.report.calculators.wheel import wheel_blocks

            page = (*page, *wheel_blocks(chosen.corner, wheel, wording))
        give(chosen, terminal, headline_of(page), lambda: page)
    if opened is not None:
        for entry in entries:
            terminal.talk(f"{entry.id} {entry_text(entry, wording)}")
        terminal.talk(leading(opened))
    return ExitCode.FINE


def _shown_in(calculator: Calculator, chosen: argparse.Namespace, usual: Wording) -> Wording:
    """The units of the page: those named, else those of what was typed."""
    from vibecheck.calculators.written_units import units_as_typed
    from vibecheck.report.wording import Wording

    if chosen.units:
        return usual
    typed = typed_texts(calculator, chosen, None)
    return Wording(units_as_typed(calculator.fields, typed, usual.units))


def typed_texts(
    calculator: Calculator, chosen: argparse.Namespace, wording: Any
) -> dict[str, str]:
    """The typed text of every field, units written out; as typed without a wording.

    Raises
    ------
    InputError family : a text for a whole group that does not split.
    """
    from vibecheck.calculators.fields import Group
    from vibecheck.calculators.written_units import written_units

    texts: dict[str, str] = {}
    for entry in calculator.entries:
        if isinstance(entry, Group):
            texts |= _group_texts(entry, chosen)
            continue
        given = getattr(chosen, _kept(entry.name), None)
        if entry.often:
            given = "; ".join(given or ())
        texts[entry.name] = "yes" if given is True else given or ""
    return texts if wording is None else written_units(
        calculator.fields, texts, wording.units.of)


def _group_texts(group: Group, chosen: argparse.Namespace) -> dict[str, str]:
    texts: dict[str, str] = {}
    for field in _optional(group):
        given: Sequence[str] = getattr(chosen, _kept(field.name)) or ()
        if len(given) > group.most:
            raise UsageError(f"{len(given)} are more than {group.most}", option_of(field),
                             f"give it up to {group.most} times")
        for number, text in enumerate(given, start=1):
            members = {field.name: text}
            if group.split is not None:
                members = group.split(text, f"{group.name}, {number}")
            texts |= {f"{name}{number}": each for name, each in members.items()}
    return texts


def _optional(entry: Field | Group) -> tuple[Field, ...]:
    """What has an option: a field, a group as a whole, or each of its members."""
    from vibecheck.calculators.fields import Field, Shape

    if isinstance(entry, Field):
        return (entry,)
    if entry.split is None:
        return entry.members
    return (Field(entry.name, entry.label, entry.hint, entry.help, shape=Shape.TEXT),)


def _add_option(parser: Parser, field: Field, *, often: bool) -> None:
    from vibecheck.calculators.fields import Shape

    about = field.help.replace("%", "%%")
    if field.shape is Shape.FILE:
        parser.add_argument(_kept(field.name), metavar=field.name.upper(), help=about)
        return
    option: dict[str, Any] = {"dest": _kept(field.name), "help": about}
    if field.shape is Shape.FLAG:
        parser.add_argument(option_of(field), action="store_true", **option)
        return
    hint = field.hint.replace("{unit}", "UNIT").replace("%", "%%")
    parser.add_argument(option_of(field), metavar=_metavar(hint), default=None,
                        action="append" if often else "store", **option)


def _metavar(hint: str) -> str:
    return hint if " " not in hint or hint.startswith("'") else f"'{hint}'"


def _kept(name: str) -> str:
    """Under which name an option is kept, apart from those that all commands share."""
    return f"field_{name}"


def _add_shared(parser: Parser, calculator: Calculator) -> None:
    parser.add_argument("--units", metavar="UNITS", help=_UNITS_HELP)
    parser.add_argument("--into", metavar="CASE", type=Path, help="add the result to this case")
    parser.add_argument("--corner", metavar="CORNER", help="where it was read: LF, RF, LR, RR")
    parser.set_defaults(surface="")
    if calculator.takes_surface:
        parser.add_argument("--surface", metavar="FINDING", default="",
                            help="what was read, such as bead_radial_inboard or assembly_radial")
    add_by(parser)
    add_format(parser, data=False)
    add_json(parser)
    add_rules(parser)


def _example_text(calculator: Calculator, example: Example) -> str:
    """A worked example: the command, what it shows, and a part of what it prints."""
    command = f"vibecheck {calculator.name} {' '.join(example_words(calculator, example))}"
    lines = textwrap.wrap(command, HELP_WIDTH, initial_indent="  ", subsequent_indent="      ",
                          break_on_hyphens=False, break_long_words=False)
    shown = [f"{line} \\" if line is not lines[-1] else line for line in lines]
    shown += textwrap.wrap(f"{example.says} It prints:", HELP_WIDTH, initial_indent="  ",
                           subsequent_indent="  ")
    return "\n".join([*shown, *(f"    {each}" for each in example.prints)])


def example_words(calculator: Calculator, example: Example) -> list[str]:
    """The words of the command line that stand for an example, quoted for a shell."""
    from vibecheck.calculators.fields import Group, Shape

    words: list[str] = []
    for entry in calculator.entries:
        if isinstance(entry, Group):
            words += _group_words(entry, example)
        elif entry.shape is Shape.FILE:
            words.append(shlex.quote(example.texts[entry.name]))
        elif text := example.texts.get(entry.name, ""):
            flag = entry.shape is Shape.FLAG
            words += [option_of(entry)] if flag else [option_of(entry), shlex.quote(text)]
    return [*words, *example.into.split()]


def _group_words(group: Group, example: Example) -> list[str]:
    words: list[str] = []
    for number in group.filled(example.texts):
        texts = {each.name: example.texts.get(f"{each.name}{number}", "")
                 for each in group.members}
        if group.joined is not None:
            words += [f"--{group.name}", shlex.quote(group.joined(texts))]
            continue
        for field in group.members:
            words += [option_of(field), shlex.quote(texts[field.name])]
    return words


@contextmanager
def _option_names(calculator: Calculator) -> Iterator[None]:
    """Name the option in a complaint that names a field or a group."""
    try:
        yield
    except InputError as error:
        name, comma, rest = error.where.partition(",")
        option = _named(calculator, name)
        if not option:
            raise
        raise type(error)(error.what, f"{option}{comma}{rest}", error.instead) from None


def _named(calculator: Calculator, name: str) -> str:
    """The option behind a field, with the number where it is given often; "" for none."""
    if name in _PLACE:
        return f"--{name}"
    for group in calculator.groups:
        if name == group.name:
            return f"--{group.name if group.split else group.members[0].name}"
        for member in group.members:
            number = name.removeprefix(member.name)
            if name.startswith(member.name) and number.isdigit():
                option = f"--{group.name}" if group.split else option_of(member)
                return f"{option}, {number}"
    field = next((each for each in calculator.fields if each.name == name), None)
    return option_of(field) if field is not None else ""


def _open_into(chosen: argparse.Namespace) -> OpenCase | None:
    """The case to add to, if one is named."""
    if chosen.into is None:
        for name in _PLACE:
            if getattr(chosen, name, ""):
                raise UsageError(f"--{name} says where a result goes", f"--{name}",
                                 "name the case with --into CASE")
        return None
    from vibecheck.session.open_case import OpenCase

    return OpenCase.open(chosen.into, chosen.rules)


def _wheel(opened: OpenCase | None, chosen: argparse.Namespace) -> WheelResult | None:
    """What the case holds of the whole wheel, where a bead surface was read."""
    from vibecheck.calculators.wheel import SURFACES
    from vibecheck.session.answers import corner_named
    from vibecheck.session.wheel import wheel_so_far

    if opened is None or chosen.surface not in SURFACES or not chosen.corner:
        return None
    return wheel_so_far(opened, corner_named(chosen.corner, "corner"))


def _tell(texts: dict[str, str], terminal: Terminal) -> Tell | None:
    """Says what is being done with a long file."""
    if not is_long(texts.get("file", "")):
        return None
    from vibecheck.report.calculators.record import working_text

    return lambda note: terminal.talk(working_text(note))


def is_long(name: str) -> bool:
    """Whether a file takes more than a moment; one that cannot be is judged by the reader."""
    from vibecheck.metrology.record.textblocks import MOST_BYTES

    try:
        return LONG_FILE_BYTES <= Path(name).stat().st_size <= MOST_BYTES
    except (OSError, ValueError):
        return False


def as_data(
    result: Any, entries: tuple[Entry, ...], wheel: WheelResult | None = None
) -> dict[str, Any]:
    """The result for programs, what was saved of it, and the wheel as the case has it."""
    from msgspec import to_builtins

    def plain(value: Any) -> Any:
        return [value.real, value.imag] if isinstance(value, complex) else value.tolist()

    data: dict[str, Any] = to_builtins(result, enc_hook=plain)
    data["saved"] = [
        {"entry": entry.id, "finding": entry.finding, "corner": entry.corner, "value": entry.value}
        for entry in entries
    ]
    data["wheel"] = to_builtins(wheel, enc_hook=plain)
    return data

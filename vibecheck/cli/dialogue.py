"""The interview as a talk line by line: the same questions as in the wizard, for any terminal."""

from __future__ import annotations

from collections.abc import Callable

from vibecheck.calculators.written_units import with_unit
from vibecheck.cli import ask_text
from vibecheck.cli.parser import PLACES
from vibecheck.cli.print_rank import rank_lines
from vibecheck.cli.talk import Talk
from vibecheck.errors import CaseError, InputError
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.lines import safe, wrapped
from vibecheck.report.sheets import sheet_lines
from vibecheck.session.desk import Desk
from vibecheck.session.ending import ending
from vibecheck.session.interview import Ended, Interview, Question
from vibecheck.session.typed import doubts, limit_text
from vibecheck.session.unitchoice import Units
from vibecheck.session.views import SessionView

_WITH_WORDS = ("a", "n", "f", "t", "m")


class Dialogue:
    """Asks until the person stops, the input ends, or nothing is left to ask."""

    def __init__(self, desk: Desk, talk: Talk, units: Units) -> None:
        self.desk, self.talk, self.units = desk, talk, units
        self.interview = Interview(desk)
        self._stopped = False
        self._spoken: object = None
        self._check: tuple[str, str | None] | None = None
        self._said: tuple[str, str] = ("", "")
        self._cautions: set[str] = set()
        self._verbs: dict[str, Callable[[str], None]] = {
            "?": self._why, "h": self._help, "u": self._unsure, "c": self._cannot,
            "s": self._skip, "b": self._back, "q": self._stop, "g": self._go_on,
            "p": self._sheet, "r": self._ranking, "a": self._answers, "n": self._note,
            "f": self._facts, "t": self._tools, "m": self._move,
        }

    def run(self) -> None:
        """Talk from here to the end."""
        self.say(f"{self.desk.case.title} ({self.desk.case.place}). h lists the keys.")
        while not self._stopped:
            self._standing(self.desk.view())
            question = self.interview.current()
            if question is None:
                self._say_end(self.interview.ended or Ended.NOTHING)
            else:
                self._say_question(question)
            typed = self.talk.ask()
            if typed is None:
                self._stopped = True
            else:
                self._take(typed.strip(), question)

    def _take(self, typed: str, question: Question | None) -> None:
        """Act on one line."""
        if not typed:
            self._leave_or_repeat(question)
        elif self._verb(typed, question):
            return
        elif question is None:
            self.say("There is no question now; h lists the keys.")
        else:
            self._try(lambda: self._answer(question, typed))

    def say(self, text: str) -> None:
        """Say one text, wrapped."""
        self.talk.say(wrapped(text, self.talk.width))

    def _standing(self, view: SessionView) -> None:
        """The word on driving, the leading causes and the cautions, as far as they changed."""
        drive, leading = ask_text.drive_text(view), ask_text.leading_text(view)
        if drive != self._said[0]:
            self.say(drive)
        if leading != self._said[1]:
            self.say(leading)
            self.say(ask_text.time_text(view))
        self._said = (drive, leading)
        for caution in view.cautions:
            if caution.id not in self._cautions:
                self.talk.say(ask_text.caution_lines(caution, self.talk.width))
        self._cautions = {caution.id for caution in view.cautions}

    def _say_question(self, question: Question) -> None:
        """Say a question once; after a refusal or a key only the prompt comes again."""
        spoken = (question.field, question.earlier, question.again)
        if spoken == self._spoken:
            return
        self._spoken = spoken
        at = (question.check.check, question.check.corner)
        limit = limit_text(self.desk.workbench, question.field.finding, self.units)
        self.talk.say(ask_text.question_lines(
            question, self._unit(question), limit, self.talk.width, procedure=self._check != at
        ))
        self._check = at

    def _say_end(self, ended: Ended) -> None:
        if self._spoken == (ended, self.desk.workbench):
            return
        self._spoken = (ended, self.desk.workbench)
        end = ending(self.desk, nothing_left=ended is not Ended.DECIDED)
        self.talk.say(ask_text.ending_lines(end, ended, self.desk.view(), self.talk.width))
        more = "" if ended is Ended.NOTHING else "g asks on, "
        self.say(f"{more}b goes back, p prints the sheet, m PLACE takes it elsewhere, q stops.")

    def _leave_or_repeat(self, question: Question | None) -> None:
        if question is not None and question.earlier:
            self.interview.forward_to_end()
        self._spoken, self._check = None, None

    def _verb(self, typed: str, question: Question | None) -> bool:
        """Do what a key says; False if this is no key."""
        labels = question.field.states.values() if question else ()
        if typed.lower() in (label.lower() for label in labels):
            return False
        key, _, rest = typed.partition(" ")
        if len(key) != 1 or (rest and key not in _WITH_WORDS):
            return False
        verb = self._verbs.get(key.lower())
        if verb is None or (key == "a" and rest and not rest.strip().isdecimal()):
            return False
        self._try(lambda: verb(rest.strip()))
        return True

    def _try(self, call: Callable[[], None]) -> None:
        """Do something that may be refused: a person is told and asked again."""
        try:
            call()
        except CaseError as error:
            if not self.talk.person:
                raise
            self.say(f"! {error}")
        except InputError as error:
            self.say(f"! {error}")

    def _answer(self, question: Question, typed: str) -> None:
        field = question.field
        if field.quantity is None:
            self.interview.answer(self._numbered(list(field.states), typed))
            return
        unit = self._unit(question)
        value = with_unit(typed, Quantity(field.quantity), unit)
        others = doubts(self.desk.workbench, field.finding, typed, unit)
        chosen = self._doubt(value, others, field.finding) if others else value
        if chosen is not None:
            self.interview.answer(chosen)

    def _numbered(self, states: list[str], typed: str) -> str:
        if not typed.isdecimal() or typed in states:
            return typed
        if not 1 <= int(typed[:9]) <= len(states):
            raise InputError(
                f"there is no answer {typed[:20]}", "", f"type a number from 1 to {len(states)}"
            )
        return states[int(typed) - 1]

    def _doubt(self, value: str, others: tuple[str, ...], finding: str) -> str | None:
        """Ask for the unit that was meant; None if the person does not say."""
        limit = limit_text(self.desk.workbench, finding, self.units)
        self.say(f"{value} would be far from the limit of {limit}. Which unit was meant?")
        values = [value, *others]
        for number, each in enumerate(values, start=1):
            self.say(f"  {number}. {each}{' (as typed)' if number == 1 else ''}")
        typed = self.talk.ask()
        if typed is None:
            self._stopped = True
            return None
        return self._numbered(values, typed.strip()) if typed.strip().isdecimal() else None

    def _unit(self, question: Question) -> str:
        field = question.field
        return self.units.of(field.quantity, field.unit or "") if field.quantity else ""

    # Keys

    def _why(self, _: str) -> None:
        question = self.interview.current()
        if question is not None:
            self.talk.say(ask_text.why_lines(question.check, self.talk.width))

    def _help(self, _: str) -> None:
        self.talk.say(ask_text.help_lines(self.talk.width))

    def _unsure(self, _: str) -> None:
        self.interview.unsure()

    def _cannot(self, _: str) -> None:
        self.interview.cannot()

    def _skip(self, _: str) -> None:
        self.interview.skip()

    def _back(self, _: str) -> None:
        if not self.interview.back():
            self.say("There is no earlier answer.")

    def _stop(self, _: str) -> None:
        self._stopped = True

    def _go_on(self, _: str) -> None:
        self.interview.go_on()

    def _sheet(self, _: str) -> None:
        self.talk.say(sheet_lines(self.desk, self.desk.case.place, self.talk.width))

    def _ranking(self, _: str) -> None:
        self.talk.say(rank_lines(self.desk.view(), self.talk.width))

    def _answers(self, number: str) -> None:
        answers = self.desk.view().answers
        if number:
            chosen = self._numbered([each.entry for each in answers], number)
            answer = next(each for each in answers if each.entry == chosen)
            self.interview.jump(answer.finding, answer.corner)
            return
        for count, answer in enumerate(answers, start=1):
            self.say(f"{count}. {answer.name}: {answer.shown}")
        if not answers:
            self.say("Nothing has been answered yet.")

    def _note(self, words: str) -> None:
        if not words:
            raise InputError("the note is empty", "", "write n and then the words")
        self.desk.note(words)
        self.say("The note is kept.")

    def _facts(self, pair: str) -> None:
        name, equals, value = (part.strip() for part in pair.partition("="))
        if pair and not (equals and name):
            raise InputError(f"'{pair[:60]}' is not a fact", "", "write f NAME=VALUE")
        if pair:
            self.desk.set_facts({name: value})
            return
        for fact in self.desk.library.facts.values():
            known = self.desk.case.facts.get(fact.id, "not known")
            choices = f" ({', '.join(fact.values)})" if fact.values else ""
            self.say(f"{fact.id}: {known} - {fact.question}{choices}")

    def _tools(self, numbers: str) -> None:
        tools = list(self.desk.library.tools)
        if numbers:
            self.desk.set_tools([self._numbered(tools, each) for each in numbers.split()])
            return
        at_hand = self.desk.case.tools
        for count, tool in enumerate(self.desk.library.tools.values(), start=1):
            here = tool.id in at_hand if at_hand else tool.home
            self.say(f"{count}. {tool.name}{' (at hand)' if here else ''}")

    def _move(self, place: str) -> None:
        if place not in PLACES:
            raise InputError(f"'{safe(place)[:60]}' is no place", "", f"one of {', '.join(PLACES)}")
        self.desk.move(place)
        self.interview.moved()

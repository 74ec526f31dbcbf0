"""The interview as a talk line by line: the same questions as in the wizard, for any terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from vibecheck.calculators.written_units import with_unit
from vibecheck.cli.parser import PLACES
from vibecheck.cli.talk import Talk
from vibecheck.errors import CaseError, InputError
from vibecheck.knowledge.model import Spot
from vibecheck.metrology.units.values import Quantity
from vibecheck.report import interview_page
from vibecheck.report.blocks import Block
from vibecheck.report.lines import safe, wrapped
from vibecheck.report.names import finding_name
from vibecheck.report.opening_page import ASKS, kind_page, understood_page
from vibecheck.report.parts import caution_blocks, driving_blocks
from vibecheck.report.rank_page import rank_page
from vibecheck.report.sentences import bare_unit, limit_text, shown_answer, taken_text
from vibecheck.report.sheets import sheet_lines
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import ending
from vibecheck.session.interview import Ended, Interview, Question
from vibecheck.session.open_case import OpenCase
from vibecheck.session.opening import KIND, Understood, take, understand, wants_opening
from vibecheck.session.typed import doubts

HELP = """\
A number chooses an answer. Where a value is asked for, type it:
0.49, 18 thou, 0.49 mm +/- 0.02.
Enter says the question again.
?  why this question              h  this help
u  not sure                       c  cannot check it here
s  skip this check                b  back to the answer before
q  stop (everything is saved)
r  the whole ranking              p  print the sheet for this place
a  list the answers; a 3 changes the third
n WORDS  keep a note              m PLACE  go to counter, bay or driveway
f  list the vehicle's facts; f NAME=VALUE sets one
t  list the tools; t 1 4 says that only these are at hand"""
SHORTEST_WORD = 3  # letters; shorter lines are keys and numbers
_WITH_WORDS = ("a", "n", "f", "t", "m")


class Dialogue:
    """Asks until the person stops, the input ends, or nothing is left to ask."""

    def __init__(self, open_case: OpenCase, talk: Talk, wording: Wording) -> None:
        self.open_case, self.talk, self.wording = open_case, talk, wording
        self.interview = Interview(open_case)
        self._stopped = False
        self._spoken: object = None
        self._check: Spot | None = None
        self._said: dict[str, tuple[Block, ...]] = {}
        self._cautions: set[str] = set()
        self._verbs: dict[str, Callable[[str], None]] = {
            "?": self._why, "h": self._help, "u": self._unsure, "c": self._cannot,
            "s": self._skip, "b": self._back, "q": self._stop, "g": self._go_on,
            "p": self._sheet, "r": self._ranking, "a": self._answers, "n": self._note,
            "f": self._facts, "t": self._tools, "m": self._move,
        }

    def run(self) -> None:
        """Talk from here to the end."""
        self.say(f"{self.open_case.case.title} ({self.open_case.case.place}). h lists the keys.")
        held = self._opening() if wants_opening(self.open_case) else None
        while not self._stopped:
            self._standing(self.diagnosis)
            question = self.interview.current()
            if question is None:
                self._say_end(self.interview.ended or Ended.NOTHING)
            else:
                self._say_question(question)
            typed = self.talk.ask() if held is None else held
            held = None
            if typed is None:
                self._stopped = True
            else:
                self._take(typed.strip(), question)

    def _opening(self) -> str | None:
        """Ask what the customer says; gives back a line that was no complaint but a key."""
        self.say(f"{ASKS[self.diagnosis.place]} Write it in free words; Enter skips.")
        typed = self.talk.ask()
        if typed is None:
            self._stopped = True
            return None
        words = typed.strip()
        if not words:
            return None
        if self._is_key(words):
            return words
        said = understand(self.open_case.library, words, self.wording.unit(Quantity.SPEED))
        self.show(understood_page(self.open_case.library, said))
        left_out = self._left_out(said)
        if left_out is None:
            return None

        def taken() -> None:
            take(self.open_case, said, left_out)

        self._try(taken)
        return self._kind()

    def _is_key(self, line: str) -> bool:
        """Whether a line is a key or a number ("2", "q", "a 3") and no complaint ("a hum")."""
        first, _, rest = line.partition(" ")
        if first == "a" and rest:
            return rest.strip().isdigit()
        return first in self._verbs or line.isdigit() or len(line) < SHORTEST_WORD

    def _kind(self) -> str | None:
        """Ask what kind of complaint it is, where the words did not tell; a key is handed back."""
        if KIND not in self.open_case.library.findings:
            return None
        if any(spot.id == KIND for spot in self.diagnosis.case_evidence.closed):
            return None
        self.show(kind_page(self.open_case.library))
        typed = self.talk.ask()
        if typed is None:
            self._stopped = True
            return None
        states = list(self.open_case.library.findings[KIND].states)
        if not (typed.strip().isascii() and typed.strip().isdigit()):
            return typed.strip() or None
        if not 1 <= int(typed) <= len(states):
            self.say(f"There is no {typed.strip()}; it is asked again later.")
            return None

        def answered() -> None:
            self.open_case.answer([f"{KIND}={states[int(typed) - 1]}"])

        self._try(answered)
        return None

    def _left_out(self, said: Understood) -> set[int] | None:
        """Which meanings a person leaves out by their numbers; None where the talk ends."""
        if not said.meanings:
            return set()
        self.say("Enter takes what is ticked; numbers leave out, as 2 4.")
        while True:
            typed = self.talk.ask()
            if typed is None:
                self._stopped = True
                return None
            numbers = typed.replace(",", " ").split()
            if all(each.isascii() and each.isdigit() and 1 <= int(each) <= len(said.meanings)
                   for each in numbers):
                return {int(each) - 1 for each in numbers}
            self.say(f"Write numbers from 1 to {len(said.meanings)}, or nothing.")

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

    def show(self, page: Iterable[Block]) -> None:
        """Say a page."""
        self.talk.say(text_lines(page, self.talk.width))

    @property
    def diagnosis(self) -> Diagnosis:
        """The diagnosis of this moment."""
        return self.open_case.diagnosis

    def _standing(self, found: Diagnosis) -> None:
        """The word on driving, the leading causes and the cautions, as far as they changed."""
        self._show_changed("driving", driving_blocks(found, self.wording))
        leading = interview_page.standing_page(found)
        if leading[:1] != self._said.get("leading", ())[:1]:
            self._show_changed("leading", leading)
        fresh = [each for each in found.cautions if each.rule.id not in self._cautions]
        self.show(caution_blocks(found, fresh, self.wording)[1:])
        self._cautions = {each.rule.id for each in found.cautions}

    def _show_changed(self, part: str, page: tuple[Block, ...]) -> None:
        if page != self._said.get(part):
            self.show(page)
        self._said[part] = page

    def _say_question(self, question: Question) -> None:
        """Say a question once; after a refusal or a key only the prompt comes again."""
        spoken = (question.field, question.earlier, question.again)
        if spoken == self._spoken:
            return
        self._spoken = spoken
        procedure = self._check != question.check.spot
        self.show(interview_page.question_page(
            self.diagnosis, question, self.wording, procedure=procedure))
        self._check = question.check.spot

    def _say_end(self, ended: Ended) -> None:
        if self._spoken == (ended, self.diagnosis):
            return
        self._spoken = (ended, self.diagnosis)
        end = ending(self.diagnosis, nothing_left=ended is not Ended.DECIDED)
        self.show(interview_page.ending_page(self.diagnosis, end, ended, self.wording))
        more = "" if ended is Ended.NOTHING else "g asks on, "
        self.say(f"{more}b goes back, p prints the sheet, m PLACE takes it elsewhere, q stops.")

    def _leave_or_repeat(self, question: Question | None) -> None:
        if question is not None and question.earlier:
            self.interview.forward_to_end()
        self._spoken, self._check = None, None

    def _verb(self, typed: str, question: Question | None) -> bool:
        """Do what a key says; False if this is no key."""
        labels = question.field.rule.states.values() if question else ()
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
            self.interview.answer(self._numbered(list(field.rule.states), typed))
            return
        unit = bare_unit(field, self.wording)
        value = with_unit(typed, Quantity(field.quantity), unit)
        others = doubts(self.diagnosis, field.finding, typed, unit)
        chosen = self._doubt(value, others, field.finding) if others else value
        if chosen is not None:
            self.interview.answer(chosen)
            self._echo(field.finding, typed)

    def _echo(self, finding: str, typed: str) -> None:
        """Say how a value was read where it was typed bare, and what a repeat says."""
        entry = next(each for each in reversed(self.open_case.case.entries)
                     if each.finding == finding)  # fmt: skip
        how = taken_text(self.diagnosis, entry)
        if entry.kind == "reading" and (how or entry.value != typed.strip()):
            self.say(f"Read as {entry.value}{how}.")

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
        limit = limit_text(self.diagnosis, finding, self.wording)
        self.say(f"{value} would be far from the limit of {limit}. Which unit was meant?")
        values = [value, *others]
        for number, each in enumerate(values, start=1):
            self.say(f"  {number}. {each}{' (as typed)' if number == 1 else ''}")
        typed = self.talk.ask()
        if typed is None:
            self._stopped = True
            return None
        return self._numbered(values, typed.strip()) if typed.strip().isdecimal() else None

    # Keys

    def _why(self, _: str) -> None:
        question = self.interview.current()
        if question is not None:
            self.show(interview_page.why_asked_page(self.diagnosis, question, self.wording))

    def _help(self, _: str) -> None:
        width = self.talk.width
        for text in HELP.split("\n"):  # a line of the table stays as it is where it fits
            self.talk.say([text] if len(text) <= width else wrapped(text, width, "", "   "))

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
        place = self.open_case.case.place
        self.talk.say(sheet_lines(self.diagnosis, place, self.talk.width, self.wording))

    def _ranking(self, _: str) -> None:
        self.show(rank_page(self.diagnosis, self.wording))

    def _answers(self, number: str) -> None:
        found = self.diagnosis
        answers = found.answers
        if number:
            chosen = self._numbered([each.entry.id for each in answers], number)
            answer = next(each for each in answers if each.entry.id == chosen)
            self.interview.jump(answer.finding, answer.corner)
            return
        for count, answer in enumerate(answers, start=1):
            name = finding_name(found.library, answer.spot)
            self.say(f"{count}. {name}: {shown_answer(found, answer, self.wording)}")
        if not answers:
            self.say("Nothing has been answered yet.")

    def _note(self, words: str) -> None:
        if not words:
            raise InputError("the note is empty", "", "write n and then the words")
        self.open_case.note(words)
        self.say("The note is kept.")

    def _facts(self, pair: str) -> None:
        name, equals, value = (part.strip() for part in pair.partition("="))
        if pair and not (equals and name):
            raise InputError(f"'{pair[:60]}' is not a fact", "", "write f NAME=VALUE")
        if pair:
            self.open_case.set_facts({name: value})
            return
        for fact in self.open_case.library.facts.values():
            known = self.open_case.case.facts.get(fact.id, "not known")
            choices = f" ({', '.join(fact.values)})" if fact.values else ""
            self.say(f"{fact.id}: {known} - {fact.question}{choices}")

    def _tools(self, numbers: str) -> None:
        tools = list(self.open_case.library.tools)
        if numbers:
            self.open_case.set_tools([self._numbered(tools, each) for each in numbers.split()])
            return
        at_hand = self.open_case.case.tools
        for count, tool in enumerate(self.open_case.library.tools.values(), start=1):
            here = tool.id in at_hand if at_hand else tool.home
            self.say(f"{count}. {tool.name}{' (at hand)' if here else ''}")

    def _move(self, place: str) -> None:
        if place not in PLACES:
            raise InputError(f"'{safe(place)[:60]}' is no place", "", f"one of {', '.join(PLACES)}")
        self.open_case.move(place)
        self.interview.moved()

"""The interview: one question at a time over an open case, the same for every front end.

The check in hand is finished before another begins; then the plan's order counts, so safety
checks come first. Going back shows an earlier answer to be changed; nothing is lost by looking.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from vibecheck.casebook.case import Entry
from vibecheck.casebook.journal import active_entries, active_steps, ordered
from vibecheck.errors import InputError
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner, Place
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session import advice
from vibecheck.session.answers import UNSURE, Assignment
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.open_case import OpenCase
from vibecheck.session.raised import RaisedBy

MOST_AT = {Place.COUNTER: 12, Place.DRIVEWAY: 30}  # a customer's and an owner's patience
WORTH_A_LOOK = 0.02  # chance that a danger seen somewhere is at this corner


class Ended(StrEnum):
    """Why there is no further question."""

    STOP = "stop"  # the car must not be driven
    DECIDED = "decided"
    MOST = "most"  # the interview has had all its questions
    ELSEWHERE = "elsewhere"  # what would tell most cannot be done here
    ASKED = "asked"  # a person asked how it stands now
    NOTHING = "nothing"  # nothing here would tell more


class Question(Struct, frozen=True):
    """One thing to ask or do now.

    `again`: measured before, but undecided. `earlier`: answered or passed over before, shown so
    that it can be changed. `number` counts the questions at this place, from 1; `most` is how
    many there may be, or None.
    """

    check: advice.NextCheck
    field: advice.Asked
    again: bool
    earlier: bool
    number: int
    most: int | None


class Interview:
    """Walks through the questions of an open case; see the module's docstring."""

    def __init__(self, open_case: OpenCase) -> None:
        self.open_case = open_case
        self._held: Spot | None = None
        self._shown: Spot | None = None
        self._back = 0
        self._beyond = False

    @property
    def diagnosis(self) -> Diagnosis:
        """The diagnosis of this moment."""
        return self.open_case.diagnosis

    @property
    def asked(self) -> int:
        """Questions answered or passed over at this place."""
        return sum(1 for entry in self._trail() if entry.place == self.diagnosis.place.value)

    @property
    def _safety_asked(self) -> int:
        """Of them, those of safety checks: they come first and use up nobody's patience."""
        checks = self.diagnosis.library.checks
        return sum(
            1 for entry in self._trail()
            if entry.place == self.diagnosis.place.value
            and entry.check in checks and checks[entry.check].safety
        )

    @property
    def most(self) -> int | None:
        """The most questions there may be here, besides those of safety checks, unless the person
        goes on all the same."""
        return None if self._beyond else MOST_AT.get(self.diagnosis.place)

    @property
    def ended(self) -> Ended | None:
        """Why there is no further question, or None if there is one."""
        if self._shown is not None:
            return None
        if not self._beyond:
            said = self._said()
            if said is not None:
                return said
        return None if self._option() is not None else Ended.NOTHING

    def current(self) -> Question | None:
        """The question now, or None if the interview has ended."""
        if self._shown is not None:
            earlier = self._earlier(self._shown)
            if earlier is not None:
                return earlier
            self.forward_to_end()
        if self.ended is not None:
            return None
        if (where := self._where()) is not None:
            return self._question(*where, again=False, earlier=False)
        option = self._option()
        if option is None:
            return None
        self._held = option.spot
        wanted = option.asks[0]
        return self._question(option, wanted, again=wanted in option.repeats, earlier=False)

    def answer(
        self, value: str, readings: tuple[str, ...] = (), angles: tuple[str, ...] = ()
    ) -> None:
        """Answer the question now.

        Raises
        ------
        InputError family : the answer cannot be used. CaseError family : it is not saved.
        """
        question = self._needed()
        field = question.field
        passed = self._passed_step(question) if question.earlier else None
        made = Assignment(field.finding, value, field.corner, readings, angles)
        spot = _spot(field.finding, field.corner)
        before = self.diagnosis.case_evidence.entries.get(spot) if question.earlier else None
        self.open_case.answer([made], check=question.check.check)
        if before is not None and before.kind == "reading":
            self.open_case.retract(before.id)  # a correction, no repeat
        if passed is not None:
            self.open_case.retract(passed.id)
            self._held = _spot(question.check.check, question.check.corner)
        self.forward_to_end()

    def unsure(self) -> None:
        """The person cannot say."""
        self.answer(UNSURE)

    def skip(self) -> None:
        """Pass over the check in hand."""
        self._pass("skipped")

    def cannot(self) -> None:
        """The check in hand cannot be done here."""
        self._pass("cannot")

    def back(self) -> bool:
        """Show the answer before; False if there is none."""
        trail = self._trail()
        if self._back >= len(trail):
            return False
        self._back += 1
        self._shown = self._finding_of(trail[-self._back])
        return True

    def forward(self) -> bool:
        """Show the answer after, or the question now; False if that is shown already."""
        if self._shown is None:
            return False
        if self._back <= 1:
            self.forward_to_end()
            return True
        self._back -= 1
        self._shown = self._finding_of(self._trail()[-self._back])
        return True

    def forward_to_end(self) -> None:
        """Back to the question now."""
        self._shown, self._back = None, 0

    def jump(self, finding: str, corner: str | None) -> None:
        """Show one answer so that it can be changed."""
        self._shown = _spot(finding, corner)
        spots = [self._finding_of(entry) for entry in self._trail()]
        at = spots.index(self._shown) if self._shown in spots else len(spots)
        self._back = len(spots) - at

    def choose(self, check: str, corner: str | None) -> None:
        """Take another check in hand than the one proposed.

        Raises
        ------
        InputError : it is not among the checks worth doing now.
        """
        spot = _spot(check, corner)
        if all(option.spot != spot for option in self.diagnosis.checks):
            raise InputError(f"'{spot}' would tell nothing now", "", "choose one of the list")
        self.forward_to_end()
        self._held, self._beyond = spot, True

    def go_on(self) -> None:
        """Ask on although the interview has ended."""
        self._beyond = True

    def moved(self) -> None:
        """The case was taken to another place, or changed underneath."""
        self.forward_to_end()
        self._held, self._beyond = None, False

    def _said(self) -> Ended | None:
        conclusion = self.diagnosis.conclusion
        if conclusion.kind is advice.ConclusionKind.STOP:
            return Ended.STOP if self._where() is None else None
        if conclusion.decided:
            return Ended.DECIDED
        if self.most is not None and self.asked - self._safety_asked >= self.most:
            return Ended.MOST
        if conclusion.go_on is advice.GoOn.ELSEWHERE and self._held_option() is None:
            return Ended.ELSEWHERE
        return None

    def _where(self) -> tuple[Option, Spot] | None:
        """The look that tells at which corner something dangerous is that was seen on the whole
        car, and what to look for there first; None if nothing such was seen, or it is found."""
        found = self.diagnosis
        if not found.stopped:
            return None
        seen = {each.spot.id for caution in found.driving.seen for each in caution.raised
                if each.by is RaisedBy.ANSWER and each.spot.corner is None}
        checks = found.library.checks
        at_corners = {
            spot: option
            for option in found.checks
            if option.here and option.urgent and option.spot.corner is not None
            and any(seen & set(checks[name].yields) for name in option.rule.ask_after)
            for spot in option.asks
        }
        chances = {
            spot: 1.0 - float((found.belief.weights @ found.belief.predict(spot))[0])
            for spot in at_corners
        }
        likeliest = max(chances, key=lambda spot: chances[spot], default=None)
        if likeliest is None or chances[likeliest] < WORTH_A_LOOK:
            return None
        return at_corners[likeliest], likeliest

    def _option(self) -> Option | None:
        held = self._held_option()
        if held is not None:
            return held
        return next((option for option in self.diagnosis.checks if option.here), None)

    def _held_option(self) -> Option | None:
        """The check in hand, as long as something of it is still worth asking."""
        found = (option for option in self.diagnosis.checks if option.spot == self._held)
        return next(found, None) if self._held is not None else None

    def _question(self, option: Option, wanted: Spot, *, again: bool, earlier: bool) -> Question:
        shown = (each for each in self.diagnosis.next_checks if each.spot == option.spot)
        return Question(
            check=next(shown, None) or advice.next_check(self.diagnosis, option),
            field=advice.asked(self.diagnosis, wanted),
            again=again,
            earlier=earlier,
            number=max(1, self.asked - self._back + 1) if earlier else self.asked + 1,
            most=None if self.most is None else self.most + self._safety_asked,
        )

    def _earlier(self, spot: Spot) -> Question | None:
        if spot not in self.diagnosis.network.findings:
            return None
        entry = self.diagnosis.case_evidence.entries.get(spot)
        named = [entry.check] if entry is not None and entry.check else []
        named += self.diagnosis.library.checks_yielding.get(spot.id, ())
        rule = next((self.diagnosis.library.checks[each] for each in named), None)
        if rule is None:
            return None
        at = spot.corner if rule.scope == "corner" else None
        here = self.diagnosis.place in rule.places
        way = self.diagnosis.ways.to(rule.access, at, here=here)
        option = Option(
            Spot(rule.id, at), rule, (spot,), (), rule.minutes, way.minutes, way.here, 0, 0, 0
        )
        return self._question(option, spot, again=False, earlier=True)

    def _needed(self) -> Question:
        question = self.current()
        if question is None:
            raise InputError("there is no question to answer now", "", "go on, or go back")
        return question

    def _pass(self, result: str) -> None:
        question = self._needed()
        self.open_case.step(question.check.check, question.check.corner, result)
        self._held = None
        self.forward_to_end()

    def _passed_step(self, question: Question) -> Entry | None:
        """The step that passed over the check of an earlier question."""
        for entry in active_steps(self.open_case.case):
            at = (entry.check, entry.corner)
            if at == (question.check.check, question.check.corner) and entry.value != "done":
                return entry
        return None

    def _trail(self) -> list[Entry]:
        """What was answered or passed over, oldest first; only what can be shown again."""
        case = self.open_case.case
        entries = ordered([*active_entries(case), *active_steps(case)])
        return [entry for entry in entries if self._finding_of(entry) is not None]

    def _finding_of(self, entry: Entry) -> Spot | None:
        findings = self.diagnosis.network.findings
        if entry.kind != "step":
            spot = _spot(entry.finding, entry.corner)
            return spot if spot in findings else None
        rule = self.diagnosis.library.checks[entry.check]
        at = Corner(entry.corner) if entry.corner else None
        asked = advice.asked_by(self.diagnosis, Spot(rule.id, at))
        first = next((each for each in asked if each.entry is None), asked[0] if asked else None)
        return first.spot if first else None


def _spot(id_: str, corner: str | None) -> Spot:
    return Spot(id_, Corner(corner) if corner else None)

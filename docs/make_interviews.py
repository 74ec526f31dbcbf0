"""Makes docs/interviews.md: what the interview asks, and what it comes to, at each place.

Run: python docs/make_interviews.py

Each visit is invented: a sentence, a car, and the fault that is truly there. Its questions are
answered by what is likeliest with that fault, or by what the visit says of it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from vibecheck.casebook.case import PlaceName
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.report.lines import percent
from vibecheck.report.names import (
    DRIVE_WORDS,
    cause_name,
    check_name,
    finding_name,
    ranked_name,
    remedy_name,
    state_name,
)
from vibecheck.report.sentences import ENDED, HEADLINES
from vibecheck.session.ending import Ending, ending
from vibecheck.session.interview import Ended, Interview
from vibecheck.session.open_case import OpenCase
from vibecheck.session.opening import take, understand
from vibecheck.session.rule_simulation import chances

PAGE = Path(__file__).with_name("interviews.md")
PLACES: tuple[PlaceName, ...] = ("counter", "bay", "driveway")
MOST = 60  # questions shown of one interview
FAULTS, STEPS = 3, 3  # shown of the ranking and of the plan
HEAD = f"""# Interviews from the first sentence on

Invented visits, not records of real cars. Each begins with one sentence; the questions are
answered by what is likeliest with the fault that is truly there. Ticked answers that were taken
from the sentence are not asked again. An interview that goes on is cut after {MOST} questions.
Made by `python docs/make_interviews.py`.
"""


@dataclass(frozen=True)
class Visit:
    """An invented visit.

    says : the customer's sentence; spot : the fault that is truly there; facts : of the car.
    answers : what is true of this visit, whatever else is likely with such a fault.
    """

    says: str
    spot: Spot
    facts: Mapping[str, str]
    answers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Told:
    """One interview: what its first sentence told, every finding asked for with its answer, and
    how it ended."""

    visit: Visit
    place: PlaceName
    heard: tuple[Spot, ...]
    asked: tuple[tuple[Spot, str], ...]
    opened: OpenCase
    ended: Ended | None

    @property
    def end(self) -> Ending:
        """What it comes to."""
        return ending(self.opened.diagnosis, nothing_left=self.ended is not Ended.DECIDED)


GAS = {"propulsion": "combustion", "tire_size": "225/50R17"}
FRONT = GAS | {"drive": "front", "transmission": "automatic"}
REAR = GAS | {"drive": "rear", "transmission": "automatic"}
VISITS = (
    Visit("It shimmies at 70 since the winter tires went on",
          Spot("imbalance", Corner.LF), FRONT),
    Visit("The steering wheel shakes when I brake from the highway",
          Spot("rotor_thickness_varies", Corner.RF), FRONT),
    Visit("A hum that gets louder with speed and changes in curves",
          Spot("bearing_worn", Corner.RF), FRONT),
    Visit("It shudders when I speed up and is fine when I let off the gas",
          Spot("inner_joint_worn", Corner.LF), FRONT),
    Visit("It shakes at idle in drive, and is smooth in neutral",
          Spot("engine_mount"), FRONT),
    Visit("After a bump the steering wheel shakes for a while",
          Spot("steering_damper_worn"), REAR),
    Visit("It vibrates at 60 since I hit a pothole", Spot("bent_wheel", Corner.RF), FRONT),
    Visit("It hops for the first few miles after standing all week",
          Spot("flat_spot_parked"), FRONT),
    Visit("The seat shakes at 65, in the back, and it was just balanced",
          Spot("tire_radial_runout", Corner.RR), REAR),
    Visit("It clunks and shudders when it pulls away", Spot("center_support_bearing_worn"), REAR),
    Visit("It wobbles and the wheel was off last week",
          Spot("loose_nuts", Corner.LF), FRONT),
    Visit("There is a bulge on a tire", Spot("belt_separation", Corner.RF), FRONT),
)


def told(visit: Visit, place: PlaceName) -> Told:
    """The interview of a visit at a place."""
    opened = OpenCase.new(None, place=place, title=visit.says, facts=dict(visit.facts))
    take(opened, understand(opened.library, visit.says, "mph"))
    heard = tuple(each.spot for each in opened.diagnosis.answers)
    interview = Interview(opened)
    asked: list[tuple[Spot, str]] = []
    while len(asked) < MOST and (question := interview.current()) is not None:
        asked.append((question.field.spot, answer(visit, opened, question.field.spot)))
        interview.answer(asked[-1][1])
    return Told(visit, place, heard, tuple(asked), opened, interview.ended)


def answer(visit: Visit, opened: OpenCase, spot: Spot) -> str:
    """What is true of the visit, or else the likeliest state of a finding with its fault."""
    told = visit.answers.get(str(spot), visit.answers.get(spot.id))
    if told is not None:
        return told
    network = opened.diagnosis.network
    node = network.findings[spot]
    shares = chances(node, [network.index[visit.spot]])
    return node.states[int(np.argmax(shares))]


def page(visits: Iterable[Visit] = VISITS) -> str:
    """The whole page."""
    return "\n".join([HEAD, *(section(each) for each in visits)])


def section(visit: Visit) -> str:
    """One visit: its sentence, what was taken from it, and its interviews as a table."""
    made = [told(visit, place) for place in PLACES]
    library = made[0].opened.library
    rows = [
        ("", *(each.place for each in made)),
        ("asked", *("<br>".join(_asked(each)) for each in made)),
        ("ranking", *("<br>".join(_ranking(each)) for each in made)),
        ("driving", *(DRIVE_WORDS[each.opened.diagnosis.driving.word] for each in made)),
        ("ends", *(_ends(each) for each in made)),
        ("plan", *("<br>".join(_plan(each)) for each in made)),
    ]
    table = [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join([
        f"## \"{visit.says}\"", "",
        f"Truly there: {cause_name(library, visit.spot)}.", "",
        f"Taken from the sentence: {_taken(made[0])}.", "",
        table[0], "|---|---|---|---|", *table[1:], "",
    ])


def _taken(made: Told) -> str:
    found = [
        _line(made.opened, each.spot, each.value) for each in made.opened.diagnosis.answers
        if each.spot in made.heard
    ]
    return "; ".join(found) or "nothing"


def _asked(made: Told) -> Iterator[str]:
    for number, (spot, value) in enumerate(made.asked, 1):
        yield f"{number}. {_line(made.opened, spot, value)}"


def _line(opened: OpenCase, spot: Spot, value: str) -> str:
    rule = opened.library.findings[spot.id]
    return _cell(f"{finding_name(opened.library, spot)}: {state_name(rule, value)}")


def _ranking(made: Told) -> Iterator[str]:
    for fault in made.opened.diagnosis.faults[:FAULTS]:
        name = ranked_name(made.opened.library, fault)
        yield _cell(f"{percent(fault.probability).strip()} {name}")


def _ends(made: Told) -> str:
    if made.ended is None:
        return f"goes on after {len(made.asked)} questions"
    return _cell(f"{HEADLINES[made.end.kind]} ({ENDED[made.ended]})")


def _plan(made: Told) -> Iterator[str]:
    """The remedy decided on, or the next checks."""
    found = made.opened.diagnosis
    if found.ruling.decided and made.end.remedy is not None:
        yield _cell(remedy_name(found.library, made.end.remedy.spot))
        return
    for each in found.in_the_bay.next_checks[:STEPS]:
        yield _cell(check_name(found.library, each.spot))


def _cell(text: str) -> str:
    """A text that can stand in a table."""
    return text.replace("|", "/").replace("\n", " ")


if __name__ == "__main__":
    if len(sys.argv) > 1:  # some visits by number, to read without writing
        sys.stdout.write(page([VISITS[int(number) - 1] for number in sys.argv[1:]]))
    else:
        PAGE.write_text(page(), encoding="utf-8")

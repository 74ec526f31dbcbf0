"""Views made by hand for the printers' tests; everything in them is invented."""

from __future__ import annotations

from msgspec import structs

from vibecheck.session.views import (
    CauseSet,
    CautionShown,
    Conclusion,
    Drive,
    DriveWord,
    Field,
    JudgedReading,
    NextCheck,
    RankedCause,
    Reason,
    RemedyChoice,
    RuledOut,
    RulesStamp,
    SessionView,
)


def reason(text: str = "wobble far beyond its limit", weight: float = 5.1) -> Reason:
    return Reason(finding="wobble", corner="LF", text=text, weight=weight, check="measure")


def ranked(name: str = "Bent hoop, left front", probability: float = 0.62) -> RankedCause:
    return RankedCause(
        cause="bent_hoop", corner="LF", name=name, family="wheel", probability=probability,
        word="likely", danger="none", for_=(reason(),), against=(reason("no curb strike", -1.2),),
    )


def check(name: str = "Measure the wobble", **changes: object) -> NextCheck:
    made = NextCheck(
        check="measure", corner="LF", name=name, kind="measurement", access="wheel off",
        minutes=5.0, access_minutes=11.0, gain=0.8, saves=25.0, score=0.1, safety=False,
        near_tie=False, also_at=("RF", "LR"), here=True,
        why="it parts hoop from tire", decides="hoop or tire",
        tools=("dial indicator",), steps=("Turn the wheel.", "Read the dial."), calculator="",
        fields=(
            Field(finding="wobble", corner="LF", name="Wobble", question="How much?", help="",
                  states={"within": "Within"}, quantity="length", unit="mm", tolerance="0.5 mm",
                  answered=None),
            Field(finding="seen", corner=None, name="Seen", question="Is it seen?", help="",
                  states={"none": "No", "seen": "Yes"}, quantity=None, unit=None, tolerance=None,
                  answered="none"),
        ),
        cautions=("Use stands.",), shop_request="Ask for the wobble of the bare wheel.",
    )
    return structs.replace(made, **changes)


def view(**changes: object) -> SessionView:
    made = SessionView(
        case="c1", title="a van", invented=True, place="bay", facts={"drive": "rear"},
        ranking=(ranked(), ranked("Tire out of round", 0.21)),
        sets=(
            CauseSet(causes=("bent_hoop@LF",), name="Bent hoop alone", probability=0.5),
            CauseSet(causes=("a", "b"), name="Bent hoop and worn joint", probability=0.3),
            CauseSet(causes=("a", "c"), name="Bent hoop and rare thing", probability=0.02),
        ),
        ruled_out=(
            RuledOut(cause="loose", corner="RF", name="Loose wheel, right front", probability=0.001,
                     check="look", finding="loose", entry="e1", text="by 'Look': not seen"),
        ),
        next=(check(), check("Look at the joint", near_tie=True, here=False)),
        remedies=(
            RemedyChoice(remedy="new", corner="LF", name="New hoop", chance=0.8, minutes=30.0,
                         parts="high", cost_to_resolve=140.0, here=False, cures=("bent_hoop@LF",),
                         steps=(), verify="Drive again.", comeback="Measure.",
                         cautions=("Torque by the maker's figure.",), shop_request="A new hoop."),
        ),
        cautions=(
            CautionShown(id="s", level="stop", text="Do not drive.", why="loose wheel seen"),
            CautionShown(id="w", level="work", text="Use stands.", why="raised"),
        ),
        drive=Drive(word=DriveWord.STOP, text="A wheel is loose."),
        conclusion=Conclusion(decided=False, kind="ask", text="Two causes are still near."),
        answers=(),
        readings=(
            JudgedReading(entry="e2", finding="wobble", corner="LF", name="Wobble", value=1.19,
                          uncertainty=0.02, unit="mm", typed="47 thou", tolerance="wobble_limit",
                          limit=0.5, limit_from="generic", decision="beyond",
                          text="beyond 0.5 mm"),
        ),
        no_fault=0.004, prune_below=0.01, left_out=0.0, minutes_spent=12.0,
        minutes_expected=(10.0, 130.0),
        rules=RulesStamp(name="Small rules", version="1", hash="ab" * 32, same_as_case=False),
    )
    return structs.replace(made, **changes)

"""Cautions in force and the word on driving."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from vibecheck.knowledge.model import Caution, Seen, Spot, Trigger
from vibecheck.knowledge.words import Danger, Level, Place
from vibecheck.metrology.units.values import parse
from vibecheck.reasoning.belief import Belief, anywhere
from vibecheck.reasoning.decide import Try
from vibecheck.reasoning.network import Network
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.gather import Gathered
from vibecheck.session.views import CautionShown, Drive, DriveWord
from vibecheck.session.wording import answer_text, cause_name, chance_word

LIKELY_ENOUGH = 0.2  # a cause's own cautions are shown from this probability on
GENTLY_ABOVE = 0.3
REMEDY_NEAR = 0.4  # the first remedy's own cautions are shown from this chance of cure on
_RANK = {Level.STOP: 0, Level.WORK: 1, Level.NOTE: 2}


@dataclass(frozen=True)
class Outlook:
    """What is believed, gathered, and about to be done."""

    network: Network
    belief: Belief
    gathered: Gathered
    options: tuple[Option, ...]
    tries: tuple[Try, ...]
    place: Place

    @property
    def coming_check(self) -> Option | None:
        """The check to do next."""
        return self.options[0] if self.options else None

    @property
    def coming_remedy(self) -> Try | None:
        """The remedy to try first, once it is likely enough to be near."""
        near = self.tries and self.tries[0].chance >= REMEDY_NEAR
        return self.tries[0] if near else None


def cautions(outlook: Outlook) -> tuple[CautionShown, ...]:
    """Every caution in force, the loudest first."""
    library = outlook.network.library
    named = _named(outlook)
    shown: dict[str, CautionShown] = {}
    for caution in library.cautions.values():
        why = _why(outlook, caution) or named.get(caution.id)
        if why is not None:
            shown[caution.id] = CautionShown(
                id=caution.id, level=caution.level.value, text=caution.text, why=why
            )
    return tuple(sorted(shown.values(), key=lambda each: _RANK[Level(each.level)]))


def drive(outlook: Outlook, shown: Iterable[CautionShown]) -> Drive:
    """May the car be driven, as far as is known?"""
    stop = next((each for each in shown if each.level == Level.STOP.value), None)
    if stop is not None:
        return Drive(word=DriveWord.STOP, text=f"{stop.text} ({stop.why})")
    settings = outlook.network.library.settings
    chance, worst = _danger(outlook, Danger.STOP)
    if chance >= settings.stop_driving_above:
        return Drive(
            word=DriveWord.STOP,
            text=f"{worst} cannot be ruled out; check it before the car moves again",
        )
    watch, worst = _danger(outlook, Danger.WATCH)
    if watch >= GENTLY_ABOVE:
        return Drive(
            word=DriveWord.GENTLY,
            text=f"{worst}: {chance_word(watch)}; no fast or long drive until that is put right",
        )
    waiting = [option for option in outlook.options if option.urgent]
    if waiting:
        return Drive(
            word=DriveWord.GENTLY,
            text=f"not yet checked for safety: {waiting[0].rule.name.lower()}",
        )
    return Drive(
        word=DriveWord.OPEN,
        text="this is no safety inspection; if it gets worse or the car pulls, stop",
    )


def _danger(outlook: Outlook, level: Danger) -> tuple[float, str]:
    """The likeliest cause of this danger, and the chance that it is present at some corner."""
    network, chances = outlook.network, outlook.belief.chances
    sums: dict[str, float] = {}
    for node, chance in zip(network.causes, chances, strict=True):
        if node.rule.danger is level:
            sums[node.spot.id] = sums.get(node.spot.id, 0.0) + float(chance)
    top, most = "", 0.0
    for cause in sorted(sums, key=lambda each: -sums[each]):
        if sums[cause] <= most:
            break  # the chance of any corner is never above the sum over the corners
        found = anywhere(outlook.belief, cause)
        if found > most:
            top, most = cause, found
    spots = [spot for spot in network.index if spot.id == top]
    if not spots:
        return 0.0, ""
    best = max(spots, key=lambda spot: chances[network.index[spot]])
    return most, cause_name(network.library, best).lower()


def _named(outlook: Outlook) -> dict[str, str]:
    """Cautions that likely causes, the next check and the first remedy name themselves."""
    library = outlook.network.library
    named: dict[str, str] = {}
    for node, chance in zip(outlook.network.causes, outlook.belief.chances, strict=True):
        if chance >= LIKELY_ENOUGH:
            for caution in node.rule.cautions:
                named.setdefault(caution, f"for: {cause_name(library, node.spot)}")
    if outlook.coming_check is not None:
        rule = outlook.coming_check.rule
        for caution in rule.cautions:
            named.setdefault(caution, f"for the next check: {rule.name}")
    if outlook.coming_remedy is not None:
        remedy = library.remedies[outlook.coming_remedy.spot.id]
        for caution in remedy.cautions:
            named.setdefault(caution, f"for the remedy: {remedy.name}")
    return {id_: why for id_, why in named.items() if library.cautions[id_].level is not Level.STOP}


def _why(outlook: Outlook, caution: Caution) -> str | None:
    """What raises a caution now, or None."""
    for trigger in caution.triggers:
        why = _met(outlook, trigger)
        if why is not None:
            return why
    return None


def _met(outlook: Outlook, trigger: Trigger) -> str | None:
    """The reason a trigger is met; all conditions that it names must hold."""
    reasons: list[str] = []
    for condition in (_by_finding, _by_findings, _by_cause, _by_step, _by_setting):
        met, reason = condition(outlook, trigger)
        if not met:
            return None
        if reason:
            reasons.append(reason)
    return "; ".join(reasons) if reasons else None


def _by_finding(outlook: Outlook, trigger: Trigger) -> tuple[bool, str]:
    if trigger.finding is None:
        return True, ""
    return _sees(outlook, Seen(finding=trigger.finding, states=trigger.states))


def _by_findings(outlook: Outlook, trigger: Trigger) -> tuple[bool, str]:
    """All findings that the trigger names together."""
    seen = [_sees(outlook, each) for each in trigger.all_of]
    return all(met for met, _ in seen), "; ".join(reason for _, reason in seen)


def _sees(outlook: Outlook, seen: Seen) -> tuple[bool, str]:
    """Whether a finding is as a trigger wants it, at some corner, and the answer that says so."""
    for spot, likelihood in outlook.gathered.evidence.items():
        if spot.id != seen.finding or spot not in outlook.network.findings:
            continue
        if seen.beyond is not None:
            met = _is_beyond(outlook, spot, seen.beyond)
        else:
            states = outlook.network.findings[spot].states
            met = states[int(np.argmax(likelihood))] in seen.states
        if met:
            return True, answer_text(outlook.network, outlook.gathered, spot)
    return False, ""


def _is_beyond(outlook: Outlook, spot: Spot, tolerance: str) -> bool:
    """Whether a reading lies beyond a tolerance other than that of its finding."""
    judged = outlook.gathered.judged.get(spot)
    if judged is None:
        return False
    limit = outlook.network.library.tolerances[tolerance].value
    return judged.measured.value > parse(limit, judged.quantity, judged.unit).value


def _by_cause(outlook: Outlook, trigger: Trigger) -> tuple[bool, str]:
    if trigger.cause is None:
        return True, ""
    for node, chance in zip(outlook.network.causes, outlook.belief.chances, strict=True):
        if node.spot.id == trigger.cause and chance >= trigger.above:
            return True, f"{cause_name(outlook.network.library, node.spot)} is possible"
    return False, ""


def _by_step(outlook: Outlook, trigger: Trigger) -> tuple[bool, str]:
    check, remedy = outlook.coming_check, outlook.coming_remedy
    if trigger.check is not None:
        hit = check is not None and check.spot.id == trigger.check
        return hit, f"for the next check: {check.rule.name}" if hit and check else ""
    if trigger.remedy is not None:
        hit = remedy is not None and remedy.spot.id == trigger.remedy
        return hit, "for the remedy" if hit else ""
    if trigger.access is not None:
        hit = check is not None and check.rule.access == trigger.access
        return hit, f"for the next check: {check.rule.name}" if hit and check else ""
    return True, ""


def _by_setting(outlook: Outlook, trigger: Trigger) -> tuple[bool, str]:
    if trigger.place is not None and trigger.place is not outlook.place:
        return False, ""
    if trigger.fact is not None:
        value = outlook.network.facts.get(trigger.fact)
        return value in trigger.values, f"{trigger.fact}: {value}"
    return True, f"at the {trigger.place.value}" if trigger.place else ""


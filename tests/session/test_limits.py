"""The limit in force counts wherever a limit counts, and bounds of states have one unit."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from msgspec import structs

from vibecheck.knowledge.library import Library
from vibecheck.metrology.units.values import Quantity, parse, unit_named
from vibecheck.report.sentences import driving_reasons
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import DriveWord
from vibecheck.session.judge import judge
from vibecheck.session.limits import LimitOrigin, base_edges, limit_of_tolerance
from vibecheck.session.open_case import OpenCase, library_at
from vibecheck.session.physics import rows

MILE_KM = 1.609344  # exact; NIST SP 811 (2008), Appendix B
SAFE = ("danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no")


def compared(library: Library) -> Iterator[tuple[str, str, str]]:
    """Every comparison with a tolerance in a trigger: caution, finding, tolerance."""
    for caution in library.cautions.values():
        for trigger in caution.triggers:
            for seen in trigger.all_of:
                if seen.beyond is not None:
                    yield caution.id, seen.finding, seen.beyond


CASES = list(compared(library_at(None)))


def test_the_sweep_is_not_empty() -> None:
    assert "wheel_bead_inspection" in {tolerance for _, _, tolerance in CASES}


def raised(
    finding: str, millimeters: float, limits: dict[str, str], facts: dict[str, str]
) -> set[str]:
    made = OpenCase.new(None, place="bay", facts=facts, limits=limits)
    corner = "@LF" if library_at(None).findings[finding].scope == "corner" else ""
    made.answer([*SAFE, f"{finding}{corner}={millimeters:.4f} mm +/- 0.01"])
    return {each.rule.id for each in made.diagnosis.cautions}


@pytest.mark.parametrize(("caution", "finding", "tolerance"), CASES)
def test_the_own_limit_counts_in_cautions_too(caution: str, finding: str, tolerance: str) -> None:
    """Halfway to the general limit nothing is raised; a limit of the car's own below it does."""
    library = library_at(None)
    measure = library.findings[finding].measure
    assert measure is not None
    general = parse(library.tolerances[tolerance].value, Quantity(measure.quantity)).value
    value = 0.5 * general
    own = {tolerance: f"{0.4 * general:.4f} mm"}
    trigger = next(
        each for each in library.cautions[caution].triggers
        if any(seen.beyond == tolerance for seen in each.all_of)
    )
    others = [each for each in trigger.all_of if each.beyond is None]
    if others:
        pytest.skip("raised together with another finding")

    assert caution not in raised(finding, value, {}, {})
    assert caution in raised(finding, value, own, {})
    assert caution not in raised(finding, 1.2 * general, {tolerance: f"{2 * general:.3f} mm"}, {})


def test_2_9_mm_against_an_own_inspection_limit_of_2_mm_stops_the_car() -> None:
    """The general one is 1/8 in = 3.175 mm: 49 CFR 570.10(b) (read)."""
    facts = {"drive": "front"}
    own = OpenCase.new(None, place="bay", facts=facts, limits={"wheel_bead_inspection": "2 mm"})
    general = OpenCase.new(None, place="bay", facts=facts)
    for made in (own, general):
        made.answer([*SAFE, "bead_radial_inboard@LF=2.9 mm", "bead_over_inspection@LF=2.9 mm"])
    words = [made.diagnosis.driving.word for made in (own, general)]

    assert DriveWord.STOP == words[0]
    assert DriveWord.STOP != words[1]
    limits = [
        limit_of_tolerance(made.library, made.case.limits, made.diagnosis.facts,
                           "wheel_bead_inspection", Quantity.LENGTH, "mm")
        for made in (own, general)
    ]
    assert [2.0, 3.175] == [pytest.approx(each.value) for each in limits]
    assert [LimitOrigin.OWN, LimitOrigin.GENERAL] == [each.origin for each in limits]
    assert driving_reasons(own.diagnosis, Wording())


def test_an_own_limit_that_only_a_caution_uses_is_read_as_its_quantity() -> None:
    from vibecheck.errors import InputError

    made = OpenCase.new(None, place="bay")
    with pytest.raises(InputError):
        made.set_facts(limits={"wheel_bead_inspection": "2 kPa"})


def in_mph(library: Library) -> Library:
    """The rules with every speed finding written in mph instead."""
    findings = {}
    for name, finding in library.findings.items():
        measure = finding.measure
        if measure is not None and measure.quantity == "speed" and measure.unit == "km/h":
            measure = structs.replace(
                measure, unit="mph", edges=[edge / MILE_KM for edge in measure.edges],
                lowest=measure.lowest / MILE_KM, highest=measure.highest / MILE_KM,
                smear=measure.smear / MILE_KM,
            )
            finding = structs.replace(finding, measure=measure)
        findings[name] = finding
    from dataclasses import replace

    return replace(library, findings=findings, digest="in mph")


def test_rules_in_mph_rank_as_the_same_rules_in_kmh() -> None:
    """Whatever unit the rules write bounds in: judging and physics take them through one door."""
    library = library_at(None)
    other = in_mph(library)
    facts = {"tire_size": "205/55R16"}
    known, again = rows(library, facts), rows(other, facts)

    assert known and set(known) == set(again)
    for key, row in known.items():
        assert again[key] == pytest.approx(row, abs=1e-9)
    for typed in ("65 mph", "110 km/h"):
        both = [
            judge(each, {}, facts, each.findings["worst_speed"], typed)
            for each in (library, other)
        ]
        assert both[1].likelihood == pytest.approx(both[0].likelihood, abs=1e-9)


def test_base_edges_are_in_the_base_unit_for_every_categorical_finding() -> None:
    for finding in library_at(None).findings.values():
        measure = finding.measure
        if measure is not None and measure.edges:
            factor = unit_named(measure.unit, Quantity(measure.quantity)).factor
            assert base_edges(measure) == pytest.approx(list(np.array(measure.edges) * factor))


def test_a_diagnosis_is_the_same_in_any_spelling_of_a_time() -> None:
    """`T09:15Z` and `T09:15:00Z` are one moment: entries are ordered as times, not as text."""
    made = OpenCase.new(None, place="bay", facts={"drive": "front"})
    made.answer([*SAFE, "vibration=strong"])
    made.answer(["bead_radial_inboard@LF=0.2 mm"], check="measure_bead_seats")
    made.answer(["nuts_loose@RF=tight"], check="check_fasteners")
    times = ["2026-03-02T09:15", "2026-03-02T09:15:30", "2026-03-02T09:16"]

    def at(spell: dict[str, str]) -> Diagnosis:
        moments = [times[0]] * (len(made.case.entries) - 2) + times[1:]
        entries = [
            structs.replace(entry, at=f"{spell.get(moment, moment)}Z")
            for entry, moment in zip(made.case.entries, moments, strict=True)
        ]
        return OpenCase(None, structs.replace(made.case, entries=entries), made.library).diagnosis

    short = at({})
    long = at({times[0]: f"{times[0]}:00", times[2]: f"{times[2]}:00.000"})

    assert short.case_evidence.position == long.case_evidence.position
    assert short.case_evidence.minutes == long.case_evidence.minutes
    assert [each.spot for each in short.next_checks] == [each.spot for each in long.next_checks]

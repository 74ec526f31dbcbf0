"""Many invented visits on disk, made fast: cars, people and faults of no place."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

from vibecheck.casebook.case import Case, Customer, Entry, Outcome
from vibecheck.casebook.moments import moment_text
from vibecheck.casebook.shape import write_case

PEOPLE = ("Oduya", "Brandt", "Ilves", "Moreau", "Castellan", "Nyberg", "Okafor", "Tamsin")
CARS = ("Ambleford Pip", "Ambleford Drover", "Kestrel wagon", "Corriedale pickup", "Harrow van")
FAULTS = ("bent_wheel", "imbalance", "bearing_worn", "tie_rod_play", "pads_worn_out")
REMEDIES = ("replace_wheel", "rebalance", "replace_bearing", "replace_tie_rod", "replace_pads")
WORDS = ("shimmies", "hums", "judders", "waddles", "50% worse", "under_score", "since O'Dell's")
ENDS = ("fixed", "better", "unchanged", "")
FIRST_DAY = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)


def visit(number: int, rng: random.Random) -> Case:
    """One visit; the same number and seed give the same visit."""
    at = FIRST_DAY + timedelta(minutes=37 * number)
    which = rng.randrange(len(FAULTS))
    said = f"{rng.choice(WORDS)} at {rng.randrange(40, 80)}"
    entries = [
        Entry(id=f"n{number}", at=moment_text(at), kind="note", place="counter", by="writer",
              text=said),
        Entry(id=f"a{number}", at=moment_text(at + timedelta(minutes=2)), kind="answer",
              place="counter", by="writer", finding="vibration", value="strong"),
    ]
    return Case(
        id=f"visit-{number:06d}", title=f"{rng.choice(CARS)} {number}", place="bay", invented=True,
        archived=number % 50 == 0,
        customer=Customer(
            name=rng.choice(PEOPLE), phone=f"555-{number:04d}", vin=f"INV{number:014d}",
            plate=f"{chr(65 + number % 26)}{chr(65 + number // 26 % 26)}-{number % 1000:03d}",
        ),
        entries=entries,
        outcome=Outcome(cause=FAULTS[which], remedy=REMEDIES[which], confirmed=rng.choice(ENDS)),
    )


def write_visits(folder: Path, count: int, seed: int = 1) -> None:
    """`count` visits as files of a folder."""
    rng = random.Random(seed)
    for number in range(count):
        text = write_case(visit(number, rng))
        (folder / f"v{number:06d}.yaml").write_text(text, encoding="utf-8")

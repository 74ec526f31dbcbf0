"""A case without the person: for a colleague, a claim or a collection of cases."""

from __future__ import annotations

import re

from msgspec import structs

from vibecheck.casebook.case import Case

REMOVED = "(removed)"


def without_customer(case: Case, *, notes: bool = False) -> Case:
    """The case without customer, phone, plate, odometer and VIN.

    Notes are free words in which anybody may be named: they are left out unless `notes` is true,
    and then everything that the customer's fields hold is taken out of them, as out of the title
    and the story. The id is replaced, since it may stand on a bill.
    """
    secrets = _secrets(case)
    entries = [
        structs.replace(entry, text=_cleared(entry.text, secrets))
        for entry in case.entries
        if notes or entry.kind != "note"
    ]
    outcome = case.outcome
    if outcome is not None:
        outcome = structs.replace(outcome, confirmed=_cleared(outcome.confirmed, secrets))
    return structs.replace(
        case, id="exported", customer=None, follows="", entries=entries, outcome=outcome,
        title=_cleared(case.title, secrets), story=_cleared(case.story, secrets),
    )


def _secrets(case: Case) -> list[str]:
    about = case.customer
    if about is None:
        return []
    words = [about.name, about.phone, about.plate, about.vin, about.odometer]
    words += [part for part in about.name.split() if len(part) > 2]
    return sorted({word.strip() for word in words if word.strip()}, key=len, reverse=True)


def _cleared(text: str, secrets: list[str]) -> str:
    for secret in secrets:
        text = re.sub(re.escape(secret), REMOVED, text, flags=re.IGNORECASE)
    return text

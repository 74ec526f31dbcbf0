"""What leaves the shop holds nobody's name."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from vibecheck.casebook.case import Case, Customer, Entry, Outcome
from vibecheck.casebook.shape import write_case
from vibecheck.casebook.without_customer import without_customer

WORDS = st.text(st.characters(categories=("L", "N")), min_size=3, max_size=12)


@given(WORDS, WORDS, WORDS, st.booleans())
def test_no_field_of_the_customer_is_in_the_text(
    name: str, plate: str, vin: str, notes: bool
) -> None:
    about = Customer(name=f"Q{name}", plate=f"W{plate}", vin=f"X{vin}", phone="555-0134")
    case = Case(
        id="c", title=f"car of Q{name}", place="bay", customer=about, story=f"W{plate} shakes",
        entries=[Entry(id="e", at="2026-03-02T08:40:00Z", kind="note", place="bay",
                       by="technician", text=f"call Q{name} at 555-0134, X{vin}")],
        outcome=Outcome(confirmed=f"Q{name} agrees"),
    )
    done = without_customer(case, notes=notes)
    text = write_case(done).lower()

    for secret in (about.name, about.plate, about.vin, about.phone):
        assert secret.lower() not in text
    assert notes == bool(done.entries)


def test_answers_and_readings_stay() -> None:
    case = Case(id="c", title="t", place="bay", customer=Customer(name="Oduya"), entries=[
        Entry(id="e", at="2026-03-02T08:40:00Z", kind="reading", place="bay", by="technician",
              finding="runout", corner="LF", value="0.10 mm"),
    ])

    assert structs.replace(case.entries[0]) == without_customer(case).entries[0]

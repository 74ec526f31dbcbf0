"""One item against its shape."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.knowledge.book import KINDS
from vibecheck.knowledge.examples import example
from vibecheck.knowledge.model import Access, Cause, Finding, RuleFile, Tolerance, Tool
from vibecheck.knowledge.shape import shape
from vibecheck.yamltext import read

CAUSE = {
    "id": "bent_hoop", "name": "Bent hoop", "family": "wheel", "says": "It is bent.",
    "rate": "common", "shows": {"shake": "often", "side": {"left": "often"}},
    "excites": [{"order": 1, "law": "constant", "path": "vertical"}],
    "remedies": {"new_hoop": "often"},
}  # fmt: skip
ODD: st.SearchStrategy[Any] = st.none() | st.booleans() | st.integers(-5, 5)
ODD |= st.text(max_size=5) | st.lists(st.text(max_size=3), max_size=2) | st.just({})
ODD |= st.floats(allow_nan=False) | st.just({"x": "y"}) | st.just([{}])


def test_a_good_item_has_no_troubles() -> None:
    result = shape(Cause, CAUSE)

    assert [] == result.troubles
    assert result.item == msgspec.convert(CAUSE, Cause)
    assert result.whole


def test_every_fault_of_an_item_is_named_at_its_path() -> None:
    bad = {
        **CAUSE, "id": "Bad Id", "family": "boat", "shows": {"shake": 3, "side": {"left": 4}},
        "excites": [{"order": 0, "law": "constant"}, 5], "cautoins": [], "danger": None,
    }  # fmt: skip
    del bad["rate"]
    found = {trouble.path for trouble in shape(Cause, bad).troubles}

    assert {
        ("id",), ("family",), ("shows", "shake"), ("shows", "side", "left"),
        ("excites", 0, "order"), ("excites", 0), ("excites", 1), ("cautoins",), ("danger",), (),
    } == found  # fmt: skip


@settings(max_examples=300, derandomize=True, deadline=None)
@given(key=st.sampled_from([*CAUSE, "excites", "fits", "source", "new"]), value=ODD)
def test_troubles_are_named_exactly_when_the_shape_is_wrong(key: str, value: Any) -> None:
    """msgspec's own verdict is the reference."""
    item = {**CAUSE, key: value}
    try:
        msgspec.convert(item, Cause)
        good = True
    except msgspec.ValidationError:
        good = False
    result = shape(Cause, item)

    assert good == (not result.troubles)
    assert all(trouble.what for trouble in result.troubles)
    assert all("Object" not in trouble.what for trouble in result.troubles)


def test_a_misspelt_key_is_read_as_the_one_meant() -> None:
    item = {**CAUSE, "shwos": CAUSE["shows"]}
    del item["shows"]
    result = shape(Cause, item)

    assert ["did you mean 'shows'?"] == [trouble.instead for trouble in result.troubles]
    assert result.item is not None and CAUSE["shows"] == result.item.shows
    assert result.whole


def test_a_faulty_optional_part_is_left_out_and_the_item_is_not_whole() -> None:
    result = shape(Cause, {**CAUSE, "confirm_by": "x", "note": 4})

    assert result.item == msgspec.convert(CAUSE, Cause)
    assert not result.whole
    assert 2 == len(result.troubles)


def test_an_item_whose_needed_part_is_wrong_is_lost() -> None:
    assert shape(Cause, {**CAUSE, "rate": 4}).item is None
    assert shape(Tool, None).item is None
    assert shape(Tool, []).item is None


def test_the_item_given_is_not_changed() -> None:
    bad = {**CAUSE, "note": 4}
    shape(Cause, bad)

    assert 4 == bad["note"]


def _needed(kind: type[Any]) -> list[tuple[str, str]]:
    """Required keys of a struct and of the structs inside it."""
    schema = msgspec.json.schema(kind)["$defs"]
    return [(name, key) for name, part in schema.items() for key in part.get("required", [])]


@pytest.mark.parametrize(("name", "key"), _needed(RuleFile))
def test_the_example_for_a_missing_key_is_itself_of_the_right_shape(name: str, key: str) -> None:
    kinds: dict[str, Any] = {kind.__name__: kind for kind in KINDS.values()}
    kind = kinds.get(name)
    data, _ = read(example(name, key), "example")

    assert [key] == list(data)
    if kind is not None:
        troubles = shape(kind, data).troubles
        assert all(trouble.path == () for trouble in troubles)


def test_examples_of_parts_are_of_the_right_shape() -> None:
    parts = ((Access, "places"), (Access, "states"), (Finding, "ask"), (Tolerance, "value"))
    for kind, key in parts:
        data, _ = read(example(kind.__name__, key), "example")
        assert all(trouble.path == () for trouble in shape(kind, data).troubles)

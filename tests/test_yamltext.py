"""The strict YAML reader and the writer."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from vibecheck.errors import InputError, YamlError
from vibecheck.yamltext import DEEPEST, LARGEST_TEXT, MOST_FAULTS, read, survey, write

LOADERS = [pytest.param(yaml.SafeLoader, id="plain"), pytest.param(yaml.CSafeLoader, id="fast")]
MODERATE = settings(max_examples=150, derandomize=True, deadline=None)
TEXTS = st.text(max_size=60) | st.sampled_from(
    ["no", "yes", "on", "1e3", "007", "0x1F", "1_000", "12:30:45", "2024-01-31", "~", "", " ", "=",
     "<<", "[/bad]", "[red]x[/red]", "null", "true", ".5", "-", "- a", "a: b", "# c", "*a", "&a",
     "!t", "@x", "%d", "\u200fmark", "\u202etext", "\x07bell", "\x1b[31m", "a\nb", "a\nb\n", "\n",
     " a\nb", "a \nb", "a\n\n\nb\n\n", "\ta", "a\tb", "\x85", "\u2028", "\ufeff", "---", "...",
     "long text " * 40, "x" * 10_000, "'", '"', "\\", "it's", 'say "no"']
)  # fmt: skip
PLAIN: st.SearchStrategy[Any] = st.none() | st.booleans() | st.integers(-(10**30), 10**30) | TEXTS
PLAIN |= st.floats(allow_nan=False, allow_infinity=False)
TREES = st.recursive(
    PLAIN, lambda kid: st.lists(kid, max_size=4) | st.dictionaries(TEXTS, kid, max_size=4),
    max_leaves=12,
)  # fmt: skip


def faults(text: str, loader: Any = yaml.SafeLoader) -> list[tuple[int, str]]:
    return [(fault.line, fault.what) for fault in survey(text, "f.yaml", loader=loader).faults]


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("a: 1\nb: 2\na: 3\n", 3, "'a' stands here a second time (first on line 1)"),
        ("a: {b: 1,\n  b: 2}\n", 2, "'b' stands here a second time"),
        ("a: &x 1\n", 1, "the anchor &x is not used"),
        ("a: 1\nb: *x\n", 2, "the alias *x is not used"),
        ("*x : 1\n", 1, "the alias *x is not used"),
        ("a: 1\n<<: {b: 1}\n", 2, "the merge key << is not used"),
        ("a: !!str 1\n", 1, "the tag tag:yaml.org,2002:str is not used"),
        ("a: !!python/object/apply:os.system [x]\n", 1, "python/object/apply"),
        ("a: ! x\n", 1, "the tag ! is not used"),
        ("a:\n  - .nan\n", 2, ".nan is not a finite number"),
        ("a: -.inf\n", 1, "-.inf is not a finite number"),
        ("a: 1e999\n", 1, "1e999 is not a finite number"),
        ("a: " + "9" * 5000, 1, "a number of 5000 characters"),
        ("a: 1\n1: 2\n", 2, "the key 1 is not text"),
        ("null: 2\n", 1, "the key null is not text"),
        ("?\n: 2\n", 1, "the key an empty key is not text"),
        ("? [a, b]\n: c\n", 1, "a key must be text"),
        ("? {a: b}\n: c\n", 1, "a key must be text"),
        ("a: 1\n---\nb: 2\n", 2, "a second document begins here"),
        ("%YAML 1.1\n---\na: 1\n", 1, "directives are not used"),
        ("a:\n\tb: 1\n", 2, "a tab in the indentation"),
        ("a: b\n# x\x07y\n", 2, "the character U+0007"),
        ("a: \udc80\n", 1, "the character U+DC80"),
        ("[" * 40, 1, "nested more than 30 levels deep"),
        ("a: b: c\n", 1, "this is not YAML"),
        ("a: 'b\nc: 1\n", 1, "this is not YAML"),
        ("a: 1\n  b: 2\n", 2, "this is not YAML"),
        ("a: 1\nb: @c\n", 2, "this is not YAML"),
        ("a: [1, 2\n", 1, "this is not YAML"),
        ("a: " + "x" * LARGEST_TEXT, 1, "the text is 2.0 MB long"),
    ],
)
def test_every_refusal_names_its_line(loader: Any, text: str, line: int, words: str) -> None:
    found = faults(text, loader)

    assert [line] == [at for at, _ in found]
    assert words in found[0][1]


def test_all_faults_of_a_text_are_found_at_once() -> None:
    text = "a: &x 1\nb: *x\na: 2\nc: .nan\n2: d\ne: fine\n"
    found = survey(text, "f.yaml")

    assert [1, 2, 3, 4, 5] == [fault.line for fault in found.faults]
    assert "fine" == found.data["e"]


def test_a_repeated_key_keeps_the_first_value_and_its_lines() -> None:
    found = survey("a: {x: 1}\nb: 0\na:\n  x: 2\n  y: 3\n", "f.yaml")

    assert {"a": {"x": 1}, "b": 0} == found.data
    assert {(): 1, ("a",): 1, ("a", "x"): 1, ("b",): 2} == found.lines


@pytest.mark.parametrize("text", ["- *a\n" * 100_000, "\x01" * 100_000, "\t\n" * 100_000])
def test_the_list_of_faults_ends_somewhere(text: str) -> None:
    assert MOST_FAULTS == len(faults(text, yaml.CSafeLoader))


def test_read_raises_with_every_fault_and_no_parser_error() -> None:
    with pytest.raises(YamlError) as caught:
        read("a: 1\na: 2\nb: &x 3\n", "rules/x.yaml")

    assert ["rules/x.yaml:2", "rules/x.yaml:3"] == [
        line.split(": ")[0] for line in str(caught.value).splitlines()
    ]


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("off", "off"), ("y", "y"), ("N", "N"),
        ("True", "True"), ("~", "~"), ("2024-01-31", "2024-01-31"), ("007", "007"),
        ("0x1F", "0x1F"), ("1_000", "1_000"), ("12:30:45", "12:30:45"), ("'1'", "1"),
        ("1.2.3", "1.2.3"), ("5 mm", "5 mm"), ("-", [None]), ("inf", "inf"), ("nan", "nan"),
        ("true", True), ("false", False), ("null", None), ("", None), ("12", 12), ("-3", -3),
        ("+4", 4), ("0", 0), ("0.5", 0.5), (".018", 0.018), ("-2.5", -2.5), ("1e3", 1000.0),
        ("5.", 5.0), ("2.5E-3", 0.0025), ("\ufeffa", "a"), ("# only a remark\n", None),
    ],
)  # fmt: skip
def test_only_true_false_null_and_decimal_numbers_are_resolved(
    loader: Any, text: str, value: object
) -> None:
    found = survey(text, "f.yaml", loader=loader)

    assert [] == found.faults
    assert value == found.data
    assert type(value) is type(found.data)


@pytest.mark.parametrize("loader", LOADERS)
def test_lines_of_keys_and_items(loader: Any) -> None:
    text = "# top\na:\n  - id: x\n    b: |\n      long\n      text\n"
    text += "    c: {d: 1,\n      e: 2}\n  - y\n"
    found = survey(text, "f.yaml", loader=loader)

    expected = {
        (): 2, ("a",): 2, ("a", 0): 3, ("a", 0, "id"): 3, ("a", 0, "b"): 4, ("a", 0, "c"): 7,
        ("a", 0, "c", "d"): 7, ("a", 0, "c", "e"): 8, ("a", 1): 9,
    }  # fmt: skip
    assert expected == found.lines
    assert "long\ntext\n" == found.data["a"][0]["b"]


def test_nesting_up_to_the_limit_is_read() -> None:
    assert [] == faults("[" * DEEPEST + "]" * DEEPEST)
    assert [] != faults("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1))


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_absurd_nesting_stops_the_reading(loader: Any, opening: str) -> None:
    found = faults(opening * 100_000, loader)

    assert len(found) <= DEEPEST + 1
    assert "nest" in found[-1][1]


@MODERATE
@given(TREES)
@example({"a": [{}, [], ""], "": None})
@example(["a\nb\n\n", {"k": "\n"}, -0.0, 1e-300, 1e300, 10**39])
def test_what_is_written_is_read_back_unchanged(data: Any) -> None:
    text = write(data)

    for loader in (yaml.SafeLoader, yaml.CSafeLoader):
        found = survey(text, "f.yaml", loader=loader)
        assert [] == found.faults
        assert repr(data) == repr(found.data)


@MODERATE
@given(TEXTS)
def test_text_is_text_for_any_other_reader_too(text: str) -> None:
    """PyYAML's own YAML 1.1 loader takes every written text as the same text."""
    assert [text, {"k": text}] == yaml.safe_load(write([text, {"k": text}]))


@MODERATE
@given(st.text(st.sampled_from("abz01:#-[]{}\"'&*!|>%@`,? \n\t\\.~"), max_size=40))
def test_any_text_gives_data_or_faults_but_no_other_error(text: str) -> None:
    for loader in (yaml.SafeLoader, yaml.CSafeLoader):
        found = survey(text, "f.yaml", loader=loader)
        last = text.count("\n") + 1
        assert all(1 <= fault.line <= last and fault.what for fault in found.faults)


def test_several_lines_are_written_readably_and_keys_keep_their_order() -> None:
    text = write({"z": 1, "a": "first line\nsecond: line\n", "m": ["x", {"k": "v"}]})

    assert "z: 1\na: |\n  first line\n  second: line\nm:\n- x\n- k: v\n" == text


def test_shared_objects_are_written_in_full() -> None:
    shared = ["x"]

    assert "a:\n- x\nb:\n- x\n" == write({"a": shared, "b": shared})


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, object(), {1, 2}, b"x"])
def test_what_is_not_plain_data_is_not_written(value: object) -> None:
    with pytest.raises(InputError, match="cannot be written as YAML"):
        write({"a": value})


def test_half_a_surrogate_pair_becomes_the_replacement_mark() -> None:
    assert {"a": "x\ufffd"} == read(write({"a": "x\udc80"}), "f.yaml")[0]


def test_pyyaml_itself_is_left_as_it_was() -> None:
    shared = (yaml.SafeLoader, yaml.CSafeLoader, yaml.SafeDumper, yaml.CSafeDumper)
    before = copy.deepcopy([list(kind.yaml_implicit_resolvers) for kind in shared])
    read(write({"a": "no", "b": 1.5}), "f.yaml")

    assert before == [list(kind.yaml_implicit_resolvers) for kind in shared]
    assert {"a": False} == yaml.safe_load("a: no")
    assert "1e3\n...\n" == yaml.safe_dump("1e3")

"""The open case: what is refused or not saved leaves file and diagnosis as they were."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from vibecheck.casebook import store
from vibecheck.errors import (
    CaseBusyError,
    CaseDamagedError,
    CaseError,
    CaseNotFoundError,
    CaseNotSavedError,
    InputError,
    ReadingError,
    VehicleError,
)
from vibecheck.report.json_view import rank_data
from vibecheck.session.answers import Assignment
from vibecheck.session.open_case import OpenCase

REFUSED = [
    # (answer, kind of error, part of the sentence)
    ("bead_radial_inbord@LF=0.3mm", InputError, "did you mean bead_radial_inboard"),
    ("bead_radial_inboard@LF=-0.3 mm", ReadingError, "write a value from 0 to 25 mm"),
    ("bead_radial_inboard@LF=900 mm", ReadingError, "impossible"),
    ("bead_radial_inboard@LF=NaN", ReadingError, ""),
    ("bead_radial_inboard@LF=inf mm", ReadingError, ""),
    ("bead_radial_inboard@LF=1e999 mm", ReadingError, ""),
    ("bead_radial_inboard@LF=a bit", ReadingError, ""),
    ("bead_radial_inboard@LF=0.3 kPa", ReadingError, ""),
    ("bead_radial_inboard@LF=0.3 mm +/- -1", ReadingError, ""),
    ("bead_radial_inboard@XX=0.3mm", VehicleError, "write LF, RF, LR or RR"),
    ("bead_radial_inboard=0.3mm", VehicleError, "needs a corner"),
    ("vibration@LF=strong", VehicleError, "belongs to the whole vehicle"),
    ("vibration=enormous", InputError, "write one of none, slight, strong or unsure"),
    ("worst_speed=2000 mph", ReadingError, "impossible"),
    ("no equals sign", InputError, "write FINDING=VALUE"),
    ("=strong", InputError, "write FINDING=VALUE"),
    ("vibration=", InputError, "write FINDING=VALUE"),
    ("driveshaft_runout=0.3 mm", VehicleError, "this vehicle cannot have"),
    ("[/bad]=\x1b[31m", InputError, ""),
]
BAD_FACTS = [
    ({"drive": "sideways"}, "write one of front, rear, all"),
    ({"tire_size": "205"}, "tire_size"),
    ({"tire_size": "banana"}, "tire_size"),
    ({"cylinders": "-4"}, "from 1 to 16"),
    ({"colour": "red"}, "there is no vehicle fact"),
    ({"propulsion": "electric", "cylinders": "4"}, "an electric car has no 'cylinders'"),
]
BAD_LIMITS = [
    ({"wheel_bead_radial": "-1 mm"}, "above zero"),
    ({"wheel_bead_radial": "0 mm"}, "above zero"),
    ({"wheel_bead_radial": "much"}, "much"),
    ({"bead": "0.5 mm"}, "there is no tolerance"),
]


@pytest.fixture
def opened(tmp_path: Path) -> OpenCase:
    made = OpenCase.new(tmp_path / "visit.yaml", place="bay", facts={"drive": "front"})
    made.answer(["vibration=strong", "bead_radial_inboard@LF=0.2 mm"])
    return made


def file_of(opened: OpenCase) -> Path:
    assert opened.path is not None
    return opened.path


class Untouched:
    """That nothing on disk and nothing in memory changed inside the block."""

    def __init__(self, opened: OpenCase) -> None:
        self.opened = opened

    def __enter__(self) -> None:
        self.bytes = file_of(self.opened).read_bytes()
        self.found = self.opened.diagnosis

    def __exit__(self, *raised: object) -> None:
        assert self.bytes == file_of(self.opened).read_bytes()
        assert self.found is self.opened.diagnosis
        left = {path.name for path in file_of(self.opened).parent.iterdir()}
        assert not [name for name in left if name.endswith(".part")]


@pytest.mark.parametrize(("answer", "kind", "words"), REFUSED, ids=[each[0] for each in REFUSED])
def test_a_refused_answer_changes_nothing(
    opened: OpenCase, answer: str, kind: type[InputError], words: str
) -> None:
    with Untouched(opened), pytest.raises(kind) as caught:
        opened.answer(["hum=no", answer])
    said = str(caught.value)

    assert words in said
    assert "\n" not in said and "\x1b" not in said


def test_contradicting_answers_are_refused_together(opened: OpenCase) -> None:
    with Untouched(opened), pytest.raises(InputError, match="contradict each other"):
        opened.answer(["hum=no", "hum=clearly"])


def test_a_check_that_does_not_exist(opened: OpenCase) -> None:
    with Untouched(opened), pytest.raises(InputError, match="there is no check 'guess'"):
        opened.answer(["hum=no"], check="guess")


@pytest.mark.parametrize(("facts", "words"), BAD_FACTS)
def test_a_bad_fact_changes_nothing(opened: OpenCase, facts: dict[str, str], words: str) -> None:
    with Untouched(opened), pytest.raises(VehicleError, match=words):
        opened.set_facts(facts)


@pytest.mark.parametrize(("facts", "words"), BAD_FACTS)
def test_a_bad_fact_begins_no_case(tmp_path: Path, facts: dict[str, str], words: str) -> None:
    with pytest.raises(VehicleError, match=words):
        OpenCase.new(tmp_path / "new.yaml", place="bay", facts=facts)

    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize(("limits", "words"), BAD_LIMITS)
def test_a_bad_limit_changes_nothing(opened: OpenCase, limits: dict[str, str], words: str) -> None:
    with Untouched(opened), pytest.raises(InputError, match=words):
        opened.set_facts(limits=limits)


@pytest.mark.parametrize("refused", [
    {"facts": {"colour": "red"}}, {"limits": {"nonsens": "1 mm"}}, {"customer": {"age": "40"}},
])
def test_of_facts_limits_and_customer_all_are_kept_or_none(
    opened: OpenCase, refused: dict[str, dict[str, str]]
) -> None:
    good = {"facts": {"tire_size": "205/55R16"}, "limits": {"wheel_bead_radial": "0.8 mm"},
            "customer": {"plate": "XY 482"}}
    with Untouched(opened), pytest.raises(InputError):
        opened.set_facts(**(good | refused))

    opened.set_facts(**good)
    case = OpenCase.open(file_of(opened)).case
    assert ("205/55R16", "0.8 mm") == (case.facts["tire_size"], case.limits["wheel_bead_radial"])
    assert case.customer is not None and "XY 482" == case.customer.plate


def test_retracting_what_is_not_there(opened: OpenCase) -> None:
    with Untouched(opened), pytest.raises(CaseError, match="no entry 'nowhere'"):
        opened.retract("nowhere")
    entry = opened.case.entries[0].id
    opened.retract(entry)
    with Untouched(opened), pytest.raises(CaseError, match="taken back already"):
        opened.retract(entry)


def test_bad_steps_and_tools(opened: OpenCase) -> None:
    with Untouched(opened):
        with pytest.raises(InputError, match="there is no check"):
            opened.step("guess", None, "done")
        with pytest.raises(InputError, match="write one of done, skipped, cannot"):
            opened.step("walk_round", None, "perhaps")
        with pytest.raises(InputError, match="there is no tool 'hammer'"):
            opened.set_tools(["hammer"])
        with pytest.raises(InputError, match="there is no cause 'gremlins'"):
            opened.finish(cause="gremlins")


def test_a_failed_save_changes_nothing(opened: OpenCase, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "no space")

    with monkeypatch.context() as patch, Untouched(opened):
        patch.setattr("vibecheck.casebook.store.os.replace", full)
        with pytest.raises(CaseNotSavedError, match="NOT saved: the disk is full"):
            opened.answer(["hum=no"])
    opened.answer(["hum=no"])

    assert "hum" in {entry.finding for entry in store.load(file_of(opened)).case.entries}


def test_somebody_else_saving_without_end(
    opened: OpenCase, monkeypatch: pytest.MonkeyPatch
) -> None:
    from filelock import FileLock

    monkeypatch.setattr(store, "LOCK_WAIT_S", 0.01)
    path = file_of(opened)
    with (
        FileLock(path.parent / f".{path.name}.lock"),
        Untouched(opened),
        pytest.raises(CaseBusyError),
    ):
        opened.answer(["hum=no"])


def test_two_people_on_one_case_lose_nothing(opened: OpenCase) -> None:
    other = OpenCase.open(file_of(opened))
    other.answer(["hum=clearly"])
    opened.answer(["thump=clearly"])
    both = {entry.finding for entry in store.load(file_of(opened)).case.entries}

    assert {"vibration", "hum", "thump"} <= both
    assert "hum" in {each.finding for each in opened.diagnosis.answers}  # merged into what is shown
    assert other.reload() and not other.reload()
    assert "thump" in {each.finding for each in other.diagnosis.answers}


def test_what_is_saved_is_what_is_shown(opened: OpenCase) -> None:
    opened.answer([Assignment("bead_radial_outboard", "9.5 thou", "LF", ("-2.5 thou", "7 thou"))])
    opened.note("customer waits")
    opened.step("swap_wheels", None, "skipped")
    opened.set_facts({"tire_size": "205/55R16"})
    opened.set_facts(limits={"wheel_bead_radial": "0.8 mm"})
    opened.move("driveway")
    again = OpenCase.open(file_of(opened))

    assert again.case == opened.case
    assert rank_data(again.diagnosis) == rank_data(opened.diagnosis)
    assert ["-2.5 thou", "7 thou"] == again.case.entries[2].readings


def test_an_existing_file_is_never_overwritten(opened: OpenCase) -> None:
    with Untouched(opened), pytest.raises(CaseError, match="exists already"):
        OpenCase.new(opened.path, place="bay")
    loose = OpenCase.new(None, place="bay")
    with Untouched(opened), pytest.raises(CaseError, match="exists already"):
        loose.keep(file_of(opened))
    assert loose.path is None


def test_without_a_file_nothing_is_written(tmp_path: Path) -> None:
    made = OpenCase.new(None, place="driveway")
    made.answer(["vibration=strong"])
    made.keep(tmp_path / "kept.yaml")
    made.answer(["hum=no"])

    assert OpenCase.open(tmp_path / "kept.yaml").case == made.case


@pytest.mark.parametrize(
    ("content", "kind", "words"),
    [
        (b"", CaseDamagedError, "the file is empty"),
        (b"vibecheck_case: 1\nid: half\n", CaseDamagedError, "is missing"),
        (b"just words", CaseDamagedError, "not a case"),
        (b"\xff\xfe\x00", CaseDamagedError, "not UTF-8"),
        (b"a: &x 1\nb: *x\n", CaseDamagedError, "bad.yaml"),
        (b"[" * 5000, CaseDamagedError, "bad.yaml"),
    ],
)
def test_a_file_that_is_no_case(
    tmp_path: Path, content: bytes, kind: type[CaseError], words: str
) -> None:
    path = tmp_path / "bad.yaml"
    path.write_bytes(content)
    with pytest.raises(kind, match=words) as caught:
        OpenCase.open(path)

    assert "bad.yaml" in str(caught.value) and "\n" not in str(caught.value)
    assert content == path.read_bytes()


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(CaseNotFoundError, match="there is no such file"):
        OpenCase.open(tmp_path / "none.yaml")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("finding: vibration", "finding: vibrations", "there is no finding 'vibrations'"),
        ("value: strong", "value: enormous", "enormous"),
        ("value: '0.2 mm'", "value: '-0.2 mm'", "impossible"),
        ("corner: LF", "corner: XX", "write LF, RF, LR or RR"),
        ("drive: front", "drive: sideways", "sideways"),
    ],
)
def test_a_case_spoiled_by_hand_names_file_and_place(
    opened: OpenCase, old: str, new: str, words: str
) -> None:
    text = file_of(opened).read_text(encoding="utf-8")
    assert old in text
    file_of(opened).write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=words) as caught:
        OpenCase.open(file_of(opened))

    assert "visit.yaml" in str(caught.value) and "\n" not in str(caught.value)


@pytest.mark.parametrize("value", ["", "red"])
def test_a_fact_that_does_not_exist_is_refused_also_when_it_is_unset(value: str) -> None:
    made = OpenCase.new(None, place="bay")
    with pytest.raises(InputError, match="there is no vehicle fact 'colour'"):
        made.set_facts({"colour": value})
    with pytest.raises(InputError, match="there is no tolerance 'nonsens'"):
        made.set_facts(limits={"nonsens": value})


def test_an_answer_checks_the_new_entry_alone_and_parses_nothing_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also with a file behind it, and with many entries before it."""
    from vibecheck.session import answers, case_evidence, judge

    made = OpenCase.new(tmp_path / "visit.yaml", place="bay")
    made.answer([f"bead_radial_inboard@{at}=0.2 mm" for at in ("LF", "RF", "LR", "RR")])
    assert made.diagnosis.ranking
    checked: list[str] = []
    judged: list[str] = []
    draft_of, judge_entries = answers.draft_of, judge.judge_entries
    monkeypatch.setattr(answers, "draft_of", lambda *a, **k: (
        checked.append(a[2].finding), draft_of(*a, **k))[1])
    monkeypatch.setattr(case_evidence, "draft_of", lambda *a, **k: (
        checked.append(a[2].finding), draft_of(*a, **k))[1])
    monkeypatch.setattr(case_evidence, "judge_entries", lambda *a, **k: (
        judged.extend(each.value for each in a[4]), judge_entries(*a, **k))[1])
    made.answer(["bead_lateral_inboard@LF=0.3 mm"])
    assert made.diagnosis.ranking

    assert ["bead_lateral_inboard"] == checked
    assert ["0.3 mm"] == judged


def test_a_line_after_an_answer_builds_no_list_of_checks_and_no_reasons() -> None:
    from vibecheck.report.sentences import leading_line

    made = OpenCase.new(None, place="bay")
    made.answer(["vibration=strong"])
    leading_line(made.diagnosis)

    assert not {"next_checks", "less_likely", "reasons", "prior"} & set(vars(made.diagnosis))

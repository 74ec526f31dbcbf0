"""Whose car it is: kept in the case, on its sheets, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.casebook import store
from vibecheck.casebook.archive import Archive, Search
from vibecheck.cli.main import main
from vibecheck.errors import InputError
from vibecheck.session.open_case import OpenCase


def test_a_field_is_set_corrected_and_emptied() -> None:
    opened = OpenCase.new(None, place="bay", customer={"name": "  Ms  Sample ", "plate": "XY 482"})
    assert opened.case.customer is not None
    assert ("Ms Sample", "XY 482") == (opened.case.customer.name, opened.case.customer.plate)

    opened.set_facts(customer={"plate": "XY 483", "vin": "INVENTED0000"})
    assert opened.case.customer.plate == "XY 483" and opened.case.customer.name == "Ms Sample"
    opened.set_facts(customer={"name": "", "plate": "", "vin": ""})
    assert opened.case.customer is None


def test_what_is_no_field_or_too_long_is_refused_and_nothing_is_changed() -> None:
    opened = OpenCase.new(None, place="bay", customer={"plate": "XY 482"})
    for fields in ({"hobby": "x"}, {"plate": "x" * 201}):
        with pytest.raises(InputError):
            opened.set_facts(customer=fields)
    assert opened.case.customer is not None and opened.case.customer.plate == "XY 482"


def test_typed_on_the_command_line_it_is_kept_found_and_handed_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "visit.yaml"
    assert 0 == main(["new", str(path), "customer.name=Ms Sample", "drive=front"])
    assert 0 == main(["facts", str(path), "customer.plate=XY 482"])
    about = store.load(path).case.customer
    assert about is not None and (about.name, about.plate) == ("Ms Sample", "XY 482")
    with Archive.beside(tmp_path) as archive:
        archive.refresh(tmp_path)
        [found] = archive.search(Search(plate="xy482"))
    assert found.path == str(path.resolve())

    again = tmp_path / "again.yaml"
    assert 0 == main(["new", str(again), "--follows", str(path), "customer.phone=555 0100"])
    about = store.load(again).case.customer
    assert about is not None and (about.plate, about.phone) == ("XY 482", "555 0100")

    before = path.read_bytes()
    assert 2 == main(["facts", str(path), "customer.hobby=x"]) and path.read_bytes() == before
    assert "write one of name, phone, plate, odometer, vin" in capsys.readouterr().err

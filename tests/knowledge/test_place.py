"""Where rules and demo cases are found."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from vibecheck.errors import InputError
from vibecheck.knowledge import place

ROOT = Path(__file__).parents[2]


def test_the_folder_named_is_taken(tmp_path: Path) -> None:
    assert tmp_path == place.find_rules(tmp_path)
    assert tmp_path == place.find_demo_cases(tmp_path)


def test_a_folder_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="there is no such folder; name a folder that holds rule"):
        place.find_rules(tmp_path / "nowhere")
    with pytest.raises(InputError, match="this is a file, not a folder"):
        place.find_demo_cases(tmp_path / "file")


def test_the_source_tree_has_its_own() -> None:
    assert ROOT / "rules" == place.find_rules()
    assert ROOT / "demo_cases" == place.find_demo_cases()


def test_an_installation_uses_its_package_data(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stray folder named rules beside the package is not taken for ours."""
    package = tmp_path / "vibecheck"
    (package / "data" / "rules").mkdir(parents=True)
    (tmp_path / "rules").mkdir()
    monkeypatch.setattr(place, "_PACKAGE", package)

    assert package / "data" / "rules" == place.find_rules()
    with pytest.raises(InputError, match="the installed demo_cases are missing"):
        place.find_demo_cases()


def test_the_overlay_is_only_there_if_the_user_made_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(platformdirs, "user_config_dir", lambda *_, **__: str(tmp_path))

    assert place.find_overlay() is None
    (tmp_path / "rules").mkdir()
    assert tmp_path / "rules" == place.find_overlay()


def test_a_file_is_laid_over_the_usual_rules(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After the user's own rules; a folder that is named stands alone."""
    monkeypatch.setattr(platformdirs, "user_config_dir", lambda *_, **__: str(tmp_path))
    file, own = tmp_path / "counted.yaml", tmp_path / "rules"
    file.write_text("rates: []\n", encoding="utf-8")
    usual = ROOT / "rules"

    assert (usual, ()) == place.layers(None)
    assert (usual, (file,)) == place.layers(file)
    own.mkdir()
    assert (usual, (own,)) == place.layers(None)
    assert (usual, (own, file)) == place.layers(file)
    assert (own, ()) == place.layers(own)
    with pytest.raises(InputError, match="this is a file, not a folder"):
        place.layers(Path(__file__))
    with pytest.raises(InputError, match="there is no such folder"):
        place.layers(tmp_path / "nowhere.yaml")

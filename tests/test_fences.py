"""The house keeps its shape: fences between rooms, bare captions, fixed top level."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "vibecheck", "rules", "tests", "demo_cases",
    "docs",
}  # fmt: skip
LIGHT = ("vibecheck.cli.main", "vibecheck.session", "vibecheck.knowledge.loader")


def run(*code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *code], cwd=ROOT, capture_output=True, text=True, timeout=120, check=False
    )


def test_imports_run_downward_only() -> None:
    """The contracts in pyproject.toml, by import-linter."""
    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())"
    done = run("-c", code)

    assert 0 == done.returncode, done.stdout + done.stderr
    assert "3 kept, 0 broken" in done.stdout


def test_the_fence_is_not_blind(tmp_path: Path) -> None:
    """The same contract on a copy with one import upward is broken."""
    room = tmp_path / "vibecheck"
    for name in ("", "knowledge", "reasoning", "metrology", "casebook", "calculators", "session",
                 "report", "cli", "tui", "virtual"):  # fmt: skip
        (room / name).mkdir(exist_ok=True)
        (room / name / "__init__.py").touch()
    (room / "errors.py").touch()
    (room / "yamltext.py").touch()
    (room / "distributions.py").touch()
    (room / "calculator_list.py").touch()
    (room / "memory.py").touch()
    (room / "knowledge" / "model.py").write_text("import vibecheck.session\n", encoding="utf-8")
    config = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    (tmp_path / "pyproject.toml").write_text(config, encoding="utf-8")
    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, timeout=120,
        check=False, env={"PYTHONPATH": str(tmp_path)},
    )  # fmt: skip

    assert 0 != done.returncode
    assert "vibecheck.knowledge.model -> vibecheck.session" in done.stdout


def test_rooms_open_with_a_caption_and_nothing_else() -> None:
    captions = sorted((ROOT / "vibecheck").rglob("__init__.py"))

    assert len(captions) >= 9
    for path in captions:
        body = ast.parse(path.read_text(encoding="utf-8")).body
        assert 1 == len(body), path
        assert isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant), path
        assert isinstance(body[0].value.value, str), path


def test_tests_are_no_package() -> None:
    assert [] == list((ROOT / "tests").rglob("__init__.py"))


def test_the_top_level_is_fixed() -> None:
    """Of what is under version control; hidden entries aside."""
    done = subprocess.run(
        ["git", "ls-tree", "--name-only", "HEAD"], cwd=ROOT, capture_output=True, text=True,
        timeout=60, check=False,
    )  # fmt: skip
    if done.returncode != 0:
        pytest.skip("not a git checkout")
    entries = {name for name in done.stdout.splitlines() if not name.startswith(".")}

    assert entries == TOP_LEVEL


@pytest.mark.parametrize("module", LIGHT)
def test_light_parts_do_not_load_the_screens(module: str) -> None:
    done = run("-c", f"import sys, {module}; print('textual' in sys.modules)")

    assert "False" == done.stdout.strip(), done.stderr


def test_loading_rules_does_not_load_the_graph_or_the_numbers() -> None:
    code = "import sys, vibecheck.knowledge.loader; print({'networkx', 'numpy'} & {*sys.modules})"

    assert "set()" == run("-c", code).stdout.strip()

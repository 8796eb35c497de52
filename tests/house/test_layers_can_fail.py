"""The import contracts, over a small copy of the house, complain about each import that must not be."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from house.tree import ROOT

PACKAGES = (
    "actions bakery cli forecast planning planning/check planning/engine planning/live planning/shift records "
    "reference science sheets web bakery/formula bakery/kitchen bakery/orders bakery/process"
)

LINT = "import sys; from importlinter.cli import lint_imports_command; sys.exit(lint_imports_command(['--no-cache']))"


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """An empty house of the same layers under the same contracts."""
    (tmp_path / ".importlinter").write_text((ROOT / ".importlinter").read_text(encoding="utf-8"), encoding="utf-8")
    root = tmp_path / "smallhours"
    for package in ["", *PACKAGES.split()]:
        (root / package).mkdir(parents=True, exist_ok=True)
        (root / package / "__init__.py").write_text("")
    (root / "errors.py").write_text("")
    return root


def _lint(house: Path) -> tuple[int, str]:
    command = [sys.executable, "-c", f"import sys; sys.path.insert(0, '.'); {LINT}"]
    answer = subprocess.run(command, cwd=house.parent, capture_output=True, encoding="utf-8", check=False)
    return answer.returncode, answer.stdout


def test_house_without_bad_imports_passes(house):
    """Limit: imports that point down, and the solver and Django where they belong, are kept."""
    (house / "web" / "plan.py").write_text("import django\nfrom smallhours import actions, sheets")
    (house / "planning" / "engine" / "model.py").write_text("import ortools\nfrom smallhours import errors")
    (house / "planning" / "night.py").write_text(
        "from smallhours import forecast, bakery\nimport smallhours.planning.engine"
    )
    code, said = _lint(house)
    assert code == 0, said


@pytest.mark.parametrize(
    ("file", "line", "contract"),
    [
        ("bakery/x.py", "from smallhours import web", "Imports point down"),
        ("science/x.py", "def f():\n    from smallhours import reference", "Imports point down"),
        ("records/x.py", "from smallhours import planning", "Imports point down"),
        ("web/x.py", "from smallhours import cli", "Imports point down"),
        ("misc.py", "", "Imports point down"),
        ("bakery/formula/x.py", "from smallhours.bakery import kitchen", "Inside the bakery"),
        ("bakery/drawer.py", "", "Inside the bakery"),
        ("planning/engine/x.py", "from smallhours import bakery", "The planning engine"),
        ("planning/check/x.py", "from smallhours.planning import engine", "The check of a plan"),
        ("actions/x.py", "import ortools", "Only planning knows the solver"),
        ("sheets/x.py", "import django", "Only records, actions, web and cli"),
    ],
)
def test_bad_import_breaks_its_contract(house, file, line, contract):
    """Bad input: an import against the layers, also inside a function, and a module without a place, are found."""
    (house / file).write_text(line)
    code, said = _lint(house)
    broken = [row for row in said.splitlines() if "BROKEN" in row]
    assert code == 1, said
    assert any(row.startswith(contract) for row in broken), said

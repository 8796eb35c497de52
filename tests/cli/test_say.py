"""What is said at the terminal can be typed there."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from cli_run import Run
from smallhours.cli.say import STAMP, STARTER, typed


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A checkout whose starter has made the environment that this interpreter seems to live in."""
    folder = tmp_path / "the bakery"
    (folder / ".venv").mkdir(parents=True)
    (folder / STARTER).touch()
    (folder / ".venv" / STAMP).write_text("{}", encoding="utf-8")
    monkeypatch.setattr(sys, "prefix", str(folder / ".venv"))
    monkeypatch.setattr("os.name", "posix")
    return folder


def test_beside_the_starter(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: in the checkout's folder the starter's short name will do; elsewhere its whole path, quoted."""
    monkeypatch.chdir(checkout)
    assert typed("plan") == "python3 start.py plan"
    monkeypatch.chdir(checkout.parent)
    assert typed("plan") == f"python3 '{checkout / STARTER}' plan"


@pytest.mark.parametrize("gone", [STARTER, f".venv/{STAMP}"])
def test_in_any_other_environment(checkout: Path, monkeypatch: pytest.MonkeyPatch, gone: str) -> None:
    """Limit: without the starter or its stamp the environment is somebody's own, and the command is on its path."""
    monkeypatch.chdir(checkout)
    (checkout / gone).unlink()
    assert typed("plan") == "smallhours plan"
    assert typed() == "smallhours"


def test_the_store_that_was_named(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: whoever named a store has to name it again."""
    monkeypatch.chdir(checkout)
    assert typed("sheets", Path("my store")) == "python3 start.py sheets --home 'my store'"


def test_the_names_are_those_of_the_starter() -> None:
    """Round trip: the stamp looked for is the one that the starter of this checkout leaves."""
    import importlib.util

    file = Path(__file__).resolve().parents[2] / STARTER
    spec = importlib.util.spec_from_file_location("start", file)
    assert spec is not None
    assert spec.loader is not None
    starter = importlib.util.module_from_spec(spec)
    monkey = pytest.MonkeyPatch()
    monkey.setitem(sys.modules, "start", starter)  # its dataclass looks its module up
    spec.loader.exec_module(starter)
    monkey.undo()
    assert starter.Place(Path("here")).stamp == Path("here") / ".venv" / STAMP


def test_what_comes_next_can_be_typed(run: Run, checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: after the invented bakery is loaded, the next command is said as it can be typed here."""
    monkeypatch.chdir(checkout)
    answer = run("demo", "--home", "store")
    assert answer.code == 0
    assert answer.out.splitlines()[-1] == "Next: python3 start.py plan --home store"
    assert "Usage: python3 start.py plan" in run("plan", "--help").out

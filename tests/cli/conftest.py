"""Running the command line inside the tests, on a store that holds the invented bakery."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from cli_run import Answer, Run


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command line; gives back exit code and output."""
    from smallhours.cli.main import run as run_command

    def call(*words: str) -> Answer:
        capsys.readouterr()
        code = 0
        try:
            run_command(list(words))
        except SystemExit as ending:
            code = ending.code if isinstance(ending.code, int) else 1
        said = capsys.readouterr()
        return Answer(code, said.out, said.err)

    return call


@pytest.fixture(scope="session")
def demo_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with the invented bakery; tests copy it."""
    from django.db import connections

    from smallhours.records.setup import open_store

    home = open_store(tmp_path_factory.mktemp("demo") / "store")
    from smallhours.actions.load_demo import load_demo

    load_demo()
    connections.close_all()
    return home


@pytest.fixture
def demo(demo_store: Path, tmp_path: Path) -> Iterator[Path]:
    """A store of this test's own with the invented bakery."""
    from django.db import connections

    folder = tmp_path / "demo"
    shutil.copytree(demo_store, folder)
    yield folder
    connections.close_all()

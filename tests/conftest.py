"""Stores for tests: each its own folder, copied from one that was set up once."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path

import pytest

from small_bakery import written_to


@pytest.fixture(scope="session", autouse=True)
def no_store_but_the_tests_own(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """No test can reach the store of whoever runs it; every store is a real file in a temporary folder.

    pytest-django forbids databases where it is told of Django by the environment: these are ours to use.
    """
    os.environ["SMALLHOURS_HOME"] = str(tmp_path_factory.mktemp("default") / "store")
    blocker = request.getfixturevalue("django_db_blocker") if request.config.pluginmanager.hasplugin("django") else None
    with blocker.unblock() if blocker is not None else nullcontext():
        yield


@pytest.fixture(scope="session")
def new_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with all tables and nothing in them; tests copy it."""
    from smallhours.records.setup import open_store

    home = open_store(tmp_path_factory.mktemp("new") / "store")
    _close()
    return home


@pytest.fixture
def home(new_store: Path, tmp_path: Path) -> Iterator[Path]:
    """An open, empty store of this test's own."""
    from smallhours.records.setup import open_store

    folder = tmp_path / "home"
    shutil.copytree(new_store, folder)
    yield open_store(folder)
    _close()


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """The small bakery as files."""
    return written_to(tmp_path / "files")


@pytest.fixture
def bakery(home: Path, files: Path) -> Path:
    """An open store that holds the small bakery."""
    from smallhours.actions.import_documents import ImportDocuments, import_documents

    assert not import_documents(ImportDocuments((files,))).refused
    return home


@pytest.fixture
def quick_hashes() -> Iterator[None]:
    """Passwords hashed in no time; that the real hash is slow is tested where it matters."""
    from django.test import override_settings

    import smallhours.records.configured  # noqa: F401  (before Django's settings are looked at)

    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture
def staff(home: Path, quick_hashes: None) -> Path:
    """An open store in which Ana (head baker), Bo (baker), Cleo (office) and Rita (reader) have accounts."""
    from smallhours.actions.people.add_person import AddPerson, add_person

    for name, role in (("Ana", "head-baker"), ("Bo", "baker"), ("Cleo", "office"), ("Rita", "reader")):
        add_person(AddPerson(name, role, f"{name.lower()} likes warm bread"))
    return home


def _close() -> None:
    from django.db import connections

    connections.close_all()

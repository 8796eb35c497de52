"""Opening, moving, backing up a store."""

from __future__ import annotations

import shutil
import sqlite3
import stat
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from smallhours.bakery.orders.document import OrderBook, StandingOrder
from smallhours.errors import BadInput
from smallhours.records import keeping, queries
from smallhours.records.home import BACKUP_FOLDER, KEY_FILE, STORE_FILE, default_home, secret_key
from smallhours.records.setup import back_up, newest_schema, open_store

BOOK = OrderBook(standing=(StandingOrder(customer="Corner shop", product="loaf", due="06:30", pieces=12),))


def _version(home: Path, number: int | None = None) -> int:
    with closing(sqlite3.connect(home / STORE_FILE)) as store:
        if number is not None:
            store.execute(f"PRAGMA user_version = {number}")
        return int(store.execute("PRAGMA user_version").fetchone()[0])


def test_a_new_folder_becomes_a_store(tmp_path: Path) -> None:
    """Behaviour: opening a folder that is not there makes it, its tables, and a key only its owner can read."""
    home = open_store(tmp_path / "a" / "b")
    assert _version(home) == newest_schema() >= 2
    assert queries.is_empty()
    assert stat.S_IMODE((home / KEY_FILE).stat().st_mode) == 0o600
    assert len(secret_key(home)) >= 50


def test_the_pragmas_are_set(home: Path) -> None:
    """Behaviour: WAL journal, foreign keys on, triggers also on REPLACE (SQLite's documentation of PRAGMA)."""
    from django.db import connection

    with connection.cursor() as cursor:
        found = [
            cursor.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "foreign_keys", "synchronous", "recursive_triggers")
        ]
    assert found == ["wal", 1, 1, 1]


def test_opening_another_folder_changes_over(tmp_path: Path) -> None:
    """Behaviour: what is written after opening a second folder is not in the first."""
    first = open_store(tmp_path / "first")
    open_store(tmp_path / "second")
    keeping.keep_orders(BOOK, "replace")
    assert queries.order_book() == BOOK
    open_store(first)
    assert queries.order_book() == OrderBook()


def test_a_store_can_be_copied_as_a_folder(home: Path, tmp_path: Path) -> None:
    """Round trip: a copied folder holds the same orders and the same key."""
    from django.db import connections

    keeping.keep_orders(BOOK, "replace")
    connections.close_all()
    copy = shutil.copytree(home, tmp_path / "elsewhere with a space")
    open_store(Path(copy))
    assert queries.order_book() == BOOK
    assert secret_key(home) == secret_key(Path(copy))


def test_an_older_store_is_copied_before_its_tables_change(home: Path) -> None:
    """Behaviour: a store stamped with older tables gets a sound copy in backups, then the newest stamp."""
    keeping.keep_orders(BOOK, "replace")
    _version(home, 1)
    open_store(home)
    assert _version(home) == newest_schema()
    (copy,) = (home / BACKUP_FOLDER).iterdir()
    with closing(sqlite3.connect(copy)) as kept:
        assert kept.execute("SELECT customer FROM records_standingrow").fetchall() == [("Corner shop",)]
        assert kept.execute("PRAGMA user_version").fetchone() == (1,)


def test_back_up_copies_what_is_there_now(home: Path) -> None:
    """Round trip: a copy put in place of the store gives its orders back."""
    keeping.keep_orders(BOOK, "replace")
    copy = back_up(home)
    keeping.keep_orders(OrderBook(), "replace")
    other = home.parent / "restored"
    other.mkdir()
    shutil.copy(copy, other / STORE_FILE)
    open_store(other)
    assert queries.order_book() == BOOK


def test_a_store_of_a_newer_version_is_refused(home: Path) -> None:
    """Bad input: tables numbered above those this version knows."""
    _version(home, newest_schema() + 1)
    with pytest.raises(BadInput, match="newer version"):
        open_store(home)


def test_a_file_that_is_no_store_is_refused(tmp_path: Path) -> None:
    """Bad input: a text file where the store should be, and a file where the folder should be."""
    (tmp_path / STORE_FILE).write_text("flour 100\n" * 100)
    with pytest.raises(BadInput, match="is not a store"):
        open_store(tmp_path)
    with pytest.raises(BadInput, match="cannot be used"):
        open_store(tmp_path / STORE_FILE)


def test_the_folder_can_be_named_by_the_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Behaviour: SMALLHOURS_HOME comes before the machine's own data folder."""
    monkeypatch.setenv("SMALLHOURS_HOME", str(tmp_path / "named"))
    assert default_home() == tmp_path / "named"
    monkeypatch.delenv("SMALLHOURS_HOME")
    assert default_home().name == "smallhours"


def test_a_second_start_is_quick_and_two_first_starts_do_not_collide(tmp_path: Path) -> None:
    """Behaviour: two processes open a new folder at once and both succeed; the next opens it without migrating."""
    script = (
        "import sys, time; t = time.perf_counter()\n"
        "from pathlib import Path\n"
        "from smallhours.records.setup import open_store\n"
        "open_store(Path(sys.argv[1]))\n"
        "from smallhours.records import queries\n"
        "print(queries.is_empty(), 'django.db.migrations.executor' in sys.modules, time.perf_counter() - t)\n"
    )
    command = [sys.executable, "-c", script, str(tmp_path / "store")]
    env = {"PYTHONPATH": ":".join(sys.path), "PATH": ""}
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=env) for _ in range(2)]
    assert [run.communicate(timeout=60)[0].split()[0] for run in both] == ["True", "True"]
    began = time.perf_counter()
    empty, migrated, _ = subprocess.run(command, capture_output=True, text=True, env=env, check=True).stdout.split()
    assert (empty, migrated) == ("True", "False")
    assert time.perf_counter() - began < 10

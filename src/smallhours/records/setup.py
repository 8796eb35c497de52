"""Opening a store: point Django at the folder, bring its tables up to date, keep a copy of what was there."""

from __future__ import annotations

import datetime as dt
import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from smallhours.errors import BadInput
from smallhours.records.home import BACKUP_FOLDER, HOME_VARIABLE, STORE_FILE, default_home, secret_key

LOCK_FILE = "opening.lock"
_LOCK_WAIT_S = 60.0


def open_store(home: Path | None = None) -> Path:
    """Make the store in ``home`` the one all records are read from and written to; returns that folder.

    Creates folder and tables on first use. When the store was made by an older version, a copy is put into
    ``backups`` before its tables are changed. Can be called again, also with another folder.

    Raises BadInput if the folder cannot be used or was written by a newer version.
    """
    home = (default_home() if home is None else home).expanduser().resolve()
    _make_folder(home)
    _point_django_at(home)
    found = _stamp(home)
    if found == newest_schema():
        return home
    with alone(home):
        found = _stamp(home)  # somebody else may have been quicker
        if found > newest_schema():
            raise BadInput(
                f"{home / STORE_FILE}: was written by a newer version (tables {found}, this version knows "
                f"{newest_schema()}); start that version, or name another folder"
            )
        if found < newest_schema():
            _migrate(home, found)
    return home


def newest_schema() -> int:
    """The number of the newest migration this version carries."""
    names = (Path(__file__).parent / "migrations").glob("[0-9]*.py")
    return max(int(re.match(r"\d+", file.name).group()) for file in names)


def back_up(home: Path, label: str = "") -> Path:
    """A whole, checked copy of the store in its ``backups`` folder. Raises BadInput if the copy is not sound."""
    folder = home / BACKUP_FOLDER
    folder.mkdir(exist_ok=True)
    stem = f"store-{dt.datetime.now(dt.UTC):%Y%m%dT%H%M%S%f}" + (f"-{label}" if label else "")
    copy = folder / f"{stem}.sqlite3"
    return sound_copy(home, copy)


def sound_copy(home: Path, copy: Path) -> Path:
    """A whole, checked copy of the store's database at one moment, whoever writes meanwhile; returns its path.

    Raises BadInput if the copy is not sound.
    """
    with closing(sqlite3.connect(home / STORE_FILE)) as store:
        store.execute("VACUUM INTO ?", (str(copy),))
    with closing(sqlite3.connect(copy)) as made:
        verdict = made.execute("PRAGMA integrity_check").fetchone()[0]
    if verdict != "ok":
        raise BadInput(f"{copy}: the copy of the store is not sound ({verdict})")
    return copy


def _make_folder(home: Path) -> None:
    try:
        home.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise BadInput(f"{home}: cannot be used as the store's folder ({error.strerror})") from None
    if not os.access(home, os.W_OK):
        raise BadInput(f"{home}: cannot be written to; name another folder with --home")


def _point_django_at(home: Path) -> None:
    """Configure Django for this folder; if it already runs on another one, change over."""
    from smallhours.records.configured import configure

    os.environ[HOME_VARIABLE] = str(home)
    configure()
    from django.conf import settings
    from django.db import connections

    name = str(home / STORE_FILE)
    if connections.settings["default"]["NAME"] != name:
        connections["default"].close()
        connections.settings["default"]["NAME"] = name
        connections["default"].settings_dict["NAME"] = name
    settings.SECRET_KEY = secret_key(home)


def _stamp(home: Path) -> int:
    """The schema number a store was last brought to (SQLite's ``user_version``); 0 for a new one."""
    file = home / STORE_FILE
    if not file.exists():
        return 0
    try:
        with closing(sqlite3.connect(file)) as store:
            return int(store.execute("PRAGMA user_version").fetchone()[0])
    except sqlite3.DatabaseError as error:
        raise BadInput(f"{file}: is not a store ({error}); put back a copy from the backups folder") from None


def _migrate(home: Path, found: int) -> None:
    from django.core.management import call_command
    from django.db import connection

    if found:
        back_up(home, f"tables-{found}")
    call_command("migrate", verbosity=0, interactive=False)
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA user_version = {newest_schema():d}")


@contextmanager
def alone(home: Path) -> Iterator[None]:
    """Hold the folder against other processes that open it at the same moment."""
    with closing(sqlite3.connect(home / LOCK_FILE, timeout=_LOCK_WAIT_S, isolation_level=None)) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        yield

"""The whole store as one file, taken while it is in use; and a store out of such a file.

The file is a zip: a manifest, the database, and every other file of the folder that is a bakery's own. The store's key,
its certificates and the sessions of who is signed in are not in it: whoever finds a backup can neither sign in with it
nor read a PIN out of it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO

from smallhours import __version__
from smallhours.errors import BadInput
from smallhours.records.home import BACKUP_FOLDER, KEY_FILE, STORE_FILE, TLS_FOLDER
from smallhours.records.setup import LOCK_FILE, alone, back_up, newest_schema, sound_copy

MANIFEST = "smallhours-backup.json"
FORMAT = "smallhours.backup-file/1"
LARGEST_MANIFEST = 5_000_000
_NOT_KEPT = frozenset({BACKUP_FOLDER, KEY_FILE, TLS_FOLDER, "sheets"})
_PASSING = {
    "django_session": "DELETE FROM django_session",
    "records_failedtries": "DELETE FROM records_failedtries",
    "records_tablet": "UPDATE records_tablet SET code = NULL, code_until = NULL",
}
"""What counts only for the moment, by table."""


@dataclass(frozen=True)
class BackedUp:
    """What a backup holds: when it was made (UTC), by which version, the number of its tables, its files' hashes."""

    made_at: dt.datetime
    version: str
    schema: int
    files: dict[str, str]


def write_backup(home: Path, out: IO[bytes], at: dt.datetime) -> BackedUp:
    """Write a backup of the store to an open file. Writers need not stop. Raises BadInput if the copy is not sound."""
    with tempfile.TemporaryDirectory(prefix="backup-", dir=home) as folder:
        copy = sound_copy(home, Path(folder) / STORE_FILE)
        _drop_passing(copy)
        files = {STORE_FILE: copy, **{name: home / name for name in _own_files(home, Path(folder).name)}}
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
            hashes = {name: _pack(pack, name, path) for name, path in files.items()}
            with closing(sqlite3.connect(copy)) as store:
                schema = int(store.execute("PRAGMA user_version").fetchone()[0])
            made = BackedUp(at, __version__, schema, hashes)
            manifest = {"format": FORMAT, "made_at": at.isoformat(), "version": made.version, "schema": schema}
            pack.writestr(MANIFEST, json.dumps({**manifest, "files": hashes}, indent=1))
    return made


def restore_backup(file: Path, home: Path, replace: bool) -> tuple[BackedUp, Path | None]:
    """Bring the store in ``home`` back to what a backup holds; returns that and the copy of what was there before.

    Everything is checked before anything is changed. Programs that have the store open go on with the restored one.
    Raises BadInput if the file is no sound backup or comes from a newer version, or if a store is there and must not
    be replaced.
    """
    there = (home / STORE_FILE).exists()
    if there and not replace:
        raise BadInput(f"{home}: already holds a store; name an empty folder with --home, or say --replace")
    home.mkdir(parents=True, exist_ok=True, mode=0o700)
    with tempfile.TemporaryDirectory(prefix="restore-", dir=home) as name:
        folder = Path(name)
        made = _unpack(file, folder)
        _check_store(file, folder / STORE_FILE, made.schema)
        with alone(home):
            aside = back_up(home, "before-restore") if there else None
            with (
                closing(sqlite3.connect(folder / STORE_FILE)) as source,
                closing(sqlite3.connect(home / STORE_FILE, timeout=60)) as target,
            ):
                source.backup(target)  # one transaction: who has the store open sees all of it or nothing
            _put_files(folder, home, made, aside)
    return made, aside


def _drop_passing(copy: Path) -> None:
    with closing(sqlite3.connect(copy, isolation_level=None)) as store:
        tables = {row[0] for row in store.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        for table, statement in _PASSING.items():
            if table in tables:
                store.execute(statement)
        store.execute("VACUUM")  # deleted rows would still stand in free pages


def _own_files(home: Path, passing: str) -> Iterator[str]:
    """The other files of a store that are worth keeping, by their names in it."""
    for path in sorted(home.rglob("*")):
        inside = path.relative_to(home)
        top = inside.parts[0]
        if top in _NOT_KEPT or top == passing or top.startswith((STORE_FILE, LOCK_FILE, "backup-", "restore-")):
            continue
        if path.is_file() and not path.is_symlink():
            yield inside.as_posix()


def _pack(pack: zipfile.ZipFile, name: str, path: Path) -> str:
    digest = hashlib.sha256()
    entry = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
    entry.compress_type = zipfile.ZIP_DEFLATED
    with path.open("rb") as source, pack.open(entry, "w", force_zip64=True) as target:
        while block := source.read(1 << 20):
            digest.update(block)
            target.write(block)
    return digest.hexdigest()


def _unpack(file: Path, folder: Path) -> BackedUp:
    """The files of a backup into a folder, each checked against its hash. Raises BadInput."""
    try:
        with zipfile.ZipFile(file) as pack:
            made = _manifest(file, pack)
            room = shutil.disk_usage(folder).free
            asked = sum(pack.getinfo(name).file_size for name in made.files)
            if asked > room:
                raise BadInput(f"{file}: needs {asked / 1e6:.0f} MB, and only {room / 1e6:.0f} MB are free")
            for name, digest in made.files.items():
                target = folder / name
                target.parent.mkdir(parents=True, exist_ok=True)
                if _unpack_one(pack, name, target) != digest:
                    raise BadInput(f"{file}: {name} in it is damaged; take another backup")
    except (zipfile.BadZipFile, EOFError, KeyError, zlib.error) as error:
        raise BadInput(f"{file}: is no backup of smallhours, or a damaged one ({error})") from None
    except OSError as error:
        raise BadInput(f"{file}: cannot be read ({error.strerror or error})") from None
    return made


def _unpack_one(pack: zipfile.ZipFile, name: str, target: Path) -> str:
    """Unpack one file, never more of it than the archive says it has; returns its hash."""
    digest, left = hashlib.sha256(), pack.getinfo(name).file_size
    with pack.open(name) as source, target.open("wb") as out:
        while block := source.read(1 << 20):
            left -= len(block)
            if left < 0:
                raise BadInput(f"{name} in the backup is larger than it says; take another backup")
            digest.update(block)
            out.write(block)
    return digest.hexdigest()


def _manifest(file: Path, pack: zipfile.ZipFile) -> BackedUp:
    if MANIFEST not in pack.namelist() or pack.getinfo(MANIFEST).file_size > LARGEST_MANIFEST:
        raise BadInput(f"{file}: is no backup of smallhours; it has no {MANIFEST}")
    try:
        said = json.loads(pack.read(MANIFEST))
        if said["format"] != FORMAT:
            raise BadInput(f"{file}: is a backup of the kind {said['format']!r}; this version reads {FORMAT}")
        files = {str(name): str(digest) for name, digest in said["files"].items()}
        made = BackedUp(dt.datetime.fromisoformat(said["made_at"]), str(said["version"]), int(said["schema"]), files)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput(f"{file}: its {MANIFEST} cannot be read; take another backup") from None
    if STORE_FILE not in files or not all(_stays_inside(name) for name in files):
        raise BadInput(f"{file}: names files that are none of a store")
    return made


def _stays_inside(name: str) -> bool:
    path = PurePosixPath(name)
    plain = not path.is_absolute() and ".." not in path.parts and "\\" not in name and ":" not in name
    return plain and bool(path.parts) and path.parts[0] not in _NOT_KEPT and not path.name.startswith(LOCK_FILE)


def _check_store(file: Path, store: Path, schema: int) -> None:
    if schema > newest_schema():
        raise BadInput(
            f"{file}: is from a newer version (tables {schema}, this version knows {newest_schema()}); "
            "restore it with that version"
        )
    try:
        with closing(sqlite3.connect(store)) as opened:
            verdict = opened.execute("PRAGMA integrity_check").fetchone()[0]
            loose = opened.execute("PRAGMA foreign_key_check").fetchone()
            stamp = int(opened.execute("PRAGMA user_version").fetchone()[0])
            tables = {row[0] for row in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    except sqlite3.DatabaseError as error:
        raise BadInput(f"{file}: its database cannot be read ({error}); take another backup") from None
    if verdict != "ok" or loose is not None:
        raise BadInput(f"{file}: its database is not sound ({verdict}); take another backup")
    if stamp != schema or "records_logline" not in tables:
        raise BadInput(f"{file}: its database is none of smallhours")


def _put_files(folder: Path, home: Path, made: BackedUp, aside: Path | None) -> None:
    """The other files into their places; what was there goes beside the copy of the former store."""
    for name in _own_files(home, folder.name):
        if aside is not None:
            kept = aside.with_suffix("") / name
            kept.parent.mkdir(parents=True, exist_ok=True)
            os.replace(home / name, kept)
    for name in made.files:
        if name != STORE_FILE:
            (home / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(folder / name, home / name)

"""Backups: taken while others write, brought back equal, refused when damaged."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import os
import sqlite3
import stat
import threading
import zipfile
from contextlib import closing
from pathlib import Path

import pytest

from smallhours.actions.back_up import BackUp, Restore, back_up, restore
from smallhours.actions.people.set_secret import SetPin, set_pin
from smallhours.actions.people.sign_in import SignIn, sign_in
from smallhours.actions.people.tablets import AddTablet, PairTablet, add_tablet, pair_tablet, tablet_here
from smallhours.errors import BadInput
from smallhours.records import backup as b
from smallhours.records import keeping, people, queries
from smallhours.records.home import KEY_FILE, STORE_FILE
from smallhours.records.setup import newest_schema, open_store

AT = dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC)


def _rows(store: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, except what counts for the moment only."""
    with closing(sqlite3.connect(store)) as opened:
        names = [row[0] for row in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        passing = ("django_session", "records_failedtries", "sqlite_sequence", "sqlite_stat1")
        return {name: opened.execute(f"SELECT * FROM {name}").fetchall() for name in names if name not in passing}


def _log(number: int) -> None:
    keeping.write_log(keeping.Done("save", "formula", f"f{number}"), keeping.Signature("baker", AT))


def test_what_comes_back_is_what_was_there(bakery: Path, tmp_path: Path) -> None:
    """Round trip: every row of every table, the triggers, and every further file, in another folder; the one line more
    in the log says that it was restored."""
    (bakery / "photos" / "a").mkdir(parents=True)
    (bakery / "photos" / "a" / "1.jpg").write_bytes(os.urandom(100_000))
    file, elsewhere = tmp_path / "backup.zip", tmp_path / "elsewhere"
    before = _rows(bakery / STORE_FILE)
    made = back_up(BackUp(file))
    assert set(made.files) == {STORE_FILE, "photos/a/1.jpg"}
    restored = restore(Restore(file, elsewhere))
    assert restored.aside is None
    after = _rows(elsewhere / STORE_FILE)
    assert [row[4] for row in after["records_logline"][len(before["records_logline"]) :]] == ["store"]
    assert after["records_logline"][: len(before["records_logline"])] == before["records_logline"]
    assert {name: rows for name, rows in after.items() if name != "records_logline"} == {
        name: rows for name, rows in before.items() if name != "records_logline"
    }
    assert (elsewhere / "photos/a/1.jpg").read_bytes() == (bakery / "photos/a/1.jpg").read_bytes()
    unchanged = pytest.raises(sqlite3.IntegrityError, match="is never changed")
    with closing(sqlite3.connect(elsewhere / STORE_FILE)) as opened, unchanged:
        opened.execute("UPDATE records_logline SET author = 'x'")


def test_a_backup_is_taken_while_others_write(home: Path, tmp_path: Path) -> None:
    """Behaviour: with a writer that never stops, each of five backups is sound and holds the first so many lines of the
    log without a gap, and the writer is never refused."""
    from django.db import connection

    faults: list[Exception] = []
    stop = threading.Event()

    def write() -> None:
        number = 0
        try:
            while not stop.is_set():
                _log(number)
                number += 1
        except Exception as error:  # shown by the assertion below
            faults.append(error)
        finally:
            connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    counts = []
    try:
        for number in range(5):
            file = tmp_path / f"{number}.zip"
            with file.open("wb") as out:
                b.write_backup(home, out, AT)
            b.restore_backup(file, tmp_path / str(number), replace=False)
            lines = _rows(tmp_path / str(number) / STORE_FILE)["records_logline"]
            assert [line[5] for line in lines] == [f"f{n}" for n in range(len(lines))]
            counts.append(len(lines))
    finally:
        stop.set()
        writer.join(timeout=60)
    assert faults == []
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


def test_restoring_under_an_open_store(bakery: Path, tmp_path: Path) -> None:
    """Behaviour: whoever has the store open reads the restored one from then on; what was there is kept aside, with its
    files, and can itself be opened."""
    file = tmp_path / "backup.zip"
    (bakery / "photo.jpg").write_bytes(b"old")
    back_up(BackUp(file))
    (bakery / "photo.jpg").write_bytes(b"new")
    _log(1)
    with closing(sqlite3.connect(bakery / STORE_FILE)) as reader:
        count = "SELECT COUNT(*) FROM records_logline WHERE slug = 'f1'"
        assert reader.execute(count).fetchone() == (1,)
        restored = restore(Restore(file, bakery, replace=True))
        assert reader.execute(count).fetchone() == (0,)
    assert queries.log_lines(1)[0].verb == "restore"
    assert restored.aside is not None
    assert (bakery / "photo.jpg").read_bytes() == b"old"
    assert (restored.aside.with_suffix("") / "photo.jpg").read_bytes() == b"new"
    with closing(sqlite3.connect(restored.aside)) as aside:
        assert aside.execute(count).fetchone() == (1,)


def test_a_store_that_is_there_is_not_replaced_unasked(bakery: Path, tmp_path: Path) -> None:
    """Bad input: nothing is changed without --replace; a file that is there is not overwritten unasked."""
    file = tmp_path / "backup.zip"
    back_up(BackUp(file))
    before = (bakery / STORE_FILE).read_bytes()
    with pytest.raises(BadInput, match="already holds a store"):
        restore(Restore(file, bakery))
    assert (bakery / STORE_FILE).read_bytes() == before
    with pytest.raises(BadInput, match="is already there"):
        back_up(BackUp(file))
    back_up(BackUp(file, overwrite=True))
    with pytest.raises(BadInput, match="cannot be written"):
        back_up(BackUp(tmp_path / "no such folder" / "b.zip"))
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == ["backup.zip"]


def test_a_backup_gives_no_way_in(staff: Path, tmp_path: Path) -> None:
    """Behaviour: no key, no session, no open code in it, also not in free pages; passwords and paired tablets still
    work where it is restored, PINs do not (they are mixed with the key that stayed behind)."""
    from django.contrib.sessions.backends.db import SessionStore

    bo = set_pin(SetPin("Bo", "4711"))
    session = SessionStore()
    session["stamp"] = 1
    session.create()
    code = add_tablet(AddTablet("Waiting"))
    paired = pair_tablet(PairTablet(add_tablet(AddTablet("Paired")).code))
    file = tmp_path / "backup.zip"
    back_up(BackUp(file))
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    with zipfile.ZipFile(file) as pack:
        assert KEY_FILE not in pack.namelist()
        data = b"".join(pack.read(name) for name in pack.namelist())
    for secret in (session.session_key, (staff / KEY_FILE).read_text(), code.code, paired.token):
        assert secret.encode() not in data
    restore(Restore(file, tmp_path / "elsewhere"))
    assert sign_in(SignIn("Ana", "ana likes warm bread")).name == "Ana"
    found = tablet_here(paired.token)
    assert found is not None
    from smallhours.actions.people.tap_in import TapIn, tap_in
    from smallhours.errors import NotLetIn

    with pytest.raises(NotLetIn):
        tap_in(TapIn(bo.id, found, "4711"))
    assert people.person_named("Bo") is not None


def _changed(file: Path, target: Path, **changes: bytes | None) -> Path:
    """A backup with some of its files exchanged (None: left out), the manifest not told."""
    with zipfile.ZipFile(file) as source, zipfile.ZipFile(target, "w") as out:
        for name in source.namelist():
            data = changes.get(name, source.read(name))
            if data is not None:
                out.writestr(name, data)
    return target


class Spoilt:
    """A good backup, and files like it that are not."""

    def __init__(self, file: Path) -> None:
        self.file, self.bad, self.data = file, file.with_name("bad.zip"), file.read_bytes()
        with zipfile.ZipFile(file) as pack:
            self.store, self.manifest = pack.read(STORE_FILE), json.loads(pack.read(b.MANIFEST))

    def raw(self, data: bytes) -> Path:
        """Any bytes."""
        self.bad.write_bytes(data)
        return self.bad

    def with_store(self, data: bytes | None) -> Path:
        """Another database, the manifest not told."""
        return _changed(self.file, self.bad, **{STORE_FILE: data})

    def saying(self, **said: object) -> Path:
        """A manifest that says something else."""
        return _changed(self.file, self.bad, **{b.MANIFEST: json.dumps({**self.manifest, **said}).encode()})

    def repacked(self, data: bytes, **said: object) -> Path:
        """Another database, and a manifest that knows it."""
        files = {STORE_FILE: hashlib.sha256(data).hexdigest()}
        manifest = json.dumps({**self.manifest, "files": files, **said}).encode()
        return _changed(self.file, self.bad, **{STORE_FILE: data, b.MANIFEST: manifest})


def _foreign_database(folder: Path, stamp: int) -> bytes:
    with closing(sqlite3.connect(folder / "foreign.sqlite3")) as made:
        made.execute("CREATE TABLE t (a)")
        made.execute(f"PRAGMA user_version = {stamp:d}")
    return (folder / "foreign.sqlite3").read_bytes()


def _letter() -> bytes:
    other = io.BytesIO()
    with zipfile.ZipFile(other, "w") as pack:
        pack.writestr("letter.txt", "hello")
    return other.getvalue()


def test_what_is_no_sound_backup_is_refused_and_changes_nothing(bakery: Path, tmp_path: Path) -> None:
    """Bad input: text, a cut file, flipped bytes, a foreign zip, a missing or lying manifest, a way out of the folder,
    a newer version, a database that is none, one of another program."""
    back_up(BackUp(tmp_path / "good.zip"))
    good = Spoilt(tmp_path / "good.zip")
    middle = len(good.data) // 2
    cases = (
        (lambda: good.raw(b"flour 100\n" * 50), "is no backup"),
        (lambda: good.raw(good.data[:middle]), "is no backup"),
        (lambda: good.raw(good.data[:middle] + bytes(64) + good.data[middle + 64 :]), "damaged|is no backup"),
        (lambda: good.raw(_letter()), "it has no smallhours-backup.json"),
        (lambda: _changed(good.file, good.bad, **{b.MANIFEST: None}), "it has no smallhours-backup.json"),
        (lambda: _changed(good.file, good.bad, **{b.MANIFEST: b"{}"}), "cannot be read"),
        (lambda: good.saying(format="x/9"), "of the kind 'x/9'"),
        (lambda: good.with_store(good.store[:-1] + b"!"), "is damaged"),
        (lambda: good.with_store(None), "is no backup"),
        (lambda: good.saying(files={STORE_FILE: "", "../../x": ""}), "none of a store"),
        (lambda: good.saying(files={STORE_FILE: "", KEY_FILE: ""}), "none of a store"),
        (lambda: good.repacked(good.store, schema=newest_schema() + 1), "from a newer version"),
        (lambda: good.repacked(b"SQLite format 3\x00" + bytes(5000)), "cannot be read"),
        (lambda: good.repacked(_foreign_database(tmp_path, good.manifest["schema"])), "none of smallhours"),
        (lambda: tmp_path / "nowhere.zip", "cannot be read"),
    )
    before = _rows(bakery / STORE_FILE)
    for bad, sentence in cases:
        with pytest.raises(BadInput, match=sentence) as refused:
            restore(Restore(bad(), bakery, replace=True))
        assert "\n" not in str(refused.value)
        assert _rows(bakery / STORE_FILE) == before
    assert sorted(path.name for path in bakery.iterdir() if path.name.startswith(("restore-", "backup-"))) == []


def test_a_file_larger_than_it_says_is_cut_off(bakery: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bad input: an archive that unpacks to more than fits, or that lies about it, fills no disk."""
    import shutil

    file = tmp_path / "backup.zip"
    (bakery / "zeros").write_bytes(bytes(3_000_000))
    back_up(BackUp(file))
    assert file.stat().st_size < 1_500_000
    usage = shutil.disk_usage(tmp_path)._replace(free=1_000_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage)
    with pytest.raises(BadInput, match=r"needs \d+ MB, and only 1 MB are free"):
        restore(Restore(file, tmp_path / "elsewhere"))
    assert not (tmp_path / "elsewhere" / STORE_FILE).exists()


def test_a_backup_of_an_older_version_is_brought_up_to_date(home: Path, tmp_path: Path) -> None:
    """Behaviour: the stamp of older tables is migrated on restoring, and then it is the newest."""
    _log(1)
    with closing(sqlite3.connect(home / STORE_FILE)) as opened:
        opened.execute("PRAGMA user_version = 2")
    file = tmp_path / "backup.zip"
    with file.open("wb") as out:
        assert b.write_backup(home, out, AT).schema == 2
    restore(Restore(file, tmp_path / "elsewhere"))
    with closing(sqlite3.connect(tmp_path / "elsewhere" / STORE_FILE)) as opened:
        assert opened.execute("PRAGMA user_version").fetchone() == (newest_schema(),)
    assert [line.slug for line in queries.log_lines()] == ["", "f1"]
    open_store(home)

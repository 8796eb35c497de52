"""The folder that is the store: where it is, which files it has. It can be copied as a whole."""

from __future__ import annotations

import os
import secrets
import time
from pathlib import Path

from smallhours.errors import BadInput

HOME_VARIABLE = "SMALLHOURS_HOME"
STORE_FILE = "store.sqlite3"
KEY_FILE = "secret-key"
BACKUP_FOLDER = "backups"
TLS_FOLDER = "tls"


def default_home() -> Path:
    """The store's folder: ``SMALLHOURS_HOME`` if set, else the user's data folder of this machine."""
    named = os.environ.get(HOME_VARIABLE)
    if named:
        return Path(named).expanduser()
    import platformdirs

    return Path(platformdirs.user_data_path("smallhours", appauthor=False))


def open_folder() -> Path:
    """The folder of the store that is open (``setup.open_store`` says which in the environment)."""
    return default_home()


def secret_key(home: Path) -> str:
    """The key of this store, made on first use and readable by its owner alone."""
    file = home / KEY_FILE
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _written_key(file)
    with os.fdopen(handle, "w", encoding="ascii") as out:
        key = secrets.token_urlsafe(50)
        out.write(key)
    return key


def _written_key(file: Path) -> str:
    """The key in its file; another process may be writing it at this very moment."""
    for _ in range(50):
        key = file.read_text(encoding="ascii").strip()
        if key:
            return key
        time.sleep(0.02)
    raise BadInput(f"{file}: is empty; delete it, and a new key is made at the next start")

"""What the commands about people, tablets and backups answer with ``--json``. No secret is ever in an answer."""

from __future__ import annotations

import datetime as dt

from smallhours.cli.reply import Reply


class PersonReply(Reply):
    """Somebody with an account; ``last_in``: when they signed in last."""

    name: str
    role: str
    has_pin: bool
    added_at: dt.datetime
    last_in: dt.datetime | None


class PeopleReply(Reply):
    """Answer of every command of ``person``: everybody who may sign in, as it is afterwards."""

    schema_name: str = "smallhours.people/1"
    people: tuple[PersonReply, ...]


class TabletReply(Reply):
    """A shared tablet; ``paired_at`` is null until it has used its code."""

    number: int
    name: str
    added_by: str
    paired_at: dt.datetime | None
    seen_at: dt.datetime | None


class TabletsReply(Reply):
    """Answer of every command of ``tablet``; ``code``: what ``tablet add`` shows this once."""

    schema_name: str = "smallhours.tablets/1"
    tablets: tuple[TabletReply, ...]
    code: str | None = None


class BackupReply(Reply):
    """Answer of ``backup``: the file, what is in it, by which version it was made."""

    schema_name: str = "smallhours.backup/1"
    file: str
    made_at: dt.datetime
    version: str
    contents: tuple[str, ...]


class RestoreReply(Reply):
    """Answer of ``restore``: where the store is; ``aside``: the copy of what was there before."""

    schema_name: str = "smallhours.restore/1"
    home: str
    made_at: dt.datetime
    version: str
    aside: str | None

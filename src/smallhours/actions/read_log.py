"""Read the log: who did what, when, to what, and why."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.records import queries
from smallhours.records.queries import LoggedLine

LINES_A_PAGE = 50


@dataclass(frozen=True)
class ReadLog:
    """Which lines: of one author, about one kind of thing; ``page`` 1 is the newest."""

    author: str = ""
    kind: str = ""
    page: int = 1


@dataclass(frozen=True)
class LogPage:
    """Lines, newest first; ``page`` of ``pages``; everybody and everything the whole log speaks of."""

    lines: tuple[LoggedLine, ...]
    page: int
    pages: int
    authors: tuple[str, ...]
    kinds: tuple[str, ...]


def read_log(command: ReadLog = ReadLog(), actor: Actor = BAKER) -> LogPage:
    """One page of it; a page that is not there is the nearest one that is. Raises NotAllowed."""
    require(actor, "read log")
    author, kind = command.author or None, command.kind or None
    pages = max(1, -(-queries.log_length(author, kind) // LINES_A_PAGE))
    page = min(max(command.page, 1), pages)
    lines = queries.log_lines(LINES_A_PAGE, kind, author=author, skip=(page - 1) * LINES_A_PAGE)
    return LogPage(tuple(lines), page, pages, tuple(queries.log_authors()), tuple(queries.log_kinds()))

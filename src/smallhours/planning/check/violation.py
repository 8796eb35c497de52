"""What the check says: one thing that is wrong with a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from smallhours.planning.check.case import Case


@dataclass(frozen=True)
class Violation:
    """``kind``: which rule is broken; ``where``: the task, lot, deck or person; ``what``: what is wrong with it."""

    kind: str
    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.kind}: {self.where}: {self.what}"


Check = Callable[["Case"], Iterable[Violation]]
"""One rule: goes through a plan and yields whatever breaks it."""

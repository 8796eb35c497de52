"""What a check has to say about a document: one rule, one place, one sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["wrong", "warn", "note"]


@dataclass(frozen=True)
class Finding:
    """One thing a check found.

    ``rule``: id of the rule (words joined by underscores), the same in every language and in every record.
    ``severity``: ``wrong`` (it cannot be as written), ``warn`` (trade practice sees trouble) or ``note`` (worth
    knowing). ``where``: the place in the document. ``sentence``: what was found and what would be right.
    """

    rule: str
    severity: Severity
    where: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.where}: {self.sentence}" if self.where else self.sentence

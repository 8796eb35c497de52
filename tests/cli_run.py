"""How a command line is run in the tests (see tests/cli/conftest.py)."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Answer:
    """What a command said and how it ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output as JSON."""
        return json.loads(self.out)


Run = Callable[..., Answer]

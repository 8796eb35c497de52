"""Worked examples of the trade and the exact conduction series, as data."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

DATA = Path(__file__).parents[1] / "data"


@pytest.fixture(scope="session")
def example() -> Callable[[str], dict[str, Any]]:
    """One worked example by its id."""
    found = {e["id"]: e for e in json.loads((DATA / "trade_examples.json").read_text(encoding="utf-8"))}
    return found.__getitem__


@pytest.fixture(scope="session")
def series() -> dict[str, Any]:
    """Exact temperatures and eigenvalues of slab, cylinder and sphere."""
    said: dict[str, Any] = json.loads((DATA / "conduction_series.json").read_text(encoding="utf-8"))
    return said

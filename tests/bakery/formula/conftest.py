"""Worked examples of the trade that several tests of formulas check against."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(scope="session")
def vectors() -> dict[str, dict[str, Any]]:
    """Examples by id, each with what, inputs, expect, source and status."""
    path = Path(__file__).parents[2] / "data" / "trade_examples.json"
    return {example["id"]: example for example in json.loads(path.read_text(encoding="utf-8"))}

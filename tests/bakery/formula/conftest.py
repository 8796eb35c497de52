"""Worked examples of the trade, and formulas written short, for the tests of formulas."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry


@pytest.fixture(scope="session")
def vectors() -> dict[str, dict[str, Any]]:
    """Examples by id, each with what, inputs, expect, source and status."""
    path = Path(__file__).parents[2] / "data" / "trade_examples.json"
    return {example["id"]: example for example in json.loads(path.read_text(encoding="utf-8"))}


@pytest.fixture(scope="session")
def pantry() -> Pantry:
    """The reference ingredients, nothing of a bakery's own."""
    return Pantry()


@pytest.fixture(scope="session")
def dough_of() -> Callable[..., Formula]:
    """``dough_of({"bread-flour": 100, "water": 65}, rest=...)``: a formula of one dough, lines in percent (numbers),
    in masses (texts such as "1 lb") or with more fields (dicts); ``part`` goes into the part, ``more`` after it."""

    def build(lines: dict[str, Any], rest: str = "", part: str = "", more: str = "") -> Formula:
        text = f'id = "dough-test"\nname = "Test"\n{rest}\n[[parts]]\nid = "dough"\nname = "Dough"\n{part}\nlines = [\n'
        for key, amount in lines.items():
            fields = amount if isinstance(amount, dict) else {"mass" if isinstance(amount, str) else "percent": amount}
            written = ", ".join(f"{k} = {json.dumps(v)}" for k, v in {"ingredient": key, **fields}.items())
            text += f"  {{ {written} }},\n"
        return Formula.read_toml(text + "]\n" + more, "test")

    return build

"""Documents are written in one readable style, and everything in them comes back."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import smallhours
from smallhours.actions.kinds import read_document
from smallhours.bakery.toml_text import toml_text

DEMO = sorted((Path(smallhours.__file__).parent / "demo").rglob("*.toml"))
SCALARS = (
    st.text(max_size=20)
    | st.booleans()
    | st.integers(-(2**40), 2**40)
    | st.floats(allow_nan=False)
    | st.dates()
    | st.times()
    | st.datetimes()
)
KEYS = st.text(min_size=1, max_size=8)
VALUES = st.recursive(SCALARS, lambda v: st.lists(v, max_size=4) | st.dictionaries(KEYS, v, max_size=4), max_leaves=12)


@given(st.dictionaries(KEYS, VALUES, max_size=6))
def test_whatever_is_written_reads_back(data: dict[str, object]) -> None:
    """Round trip: texts with quotes and line ends, dates, times, tables in lists in tables, empty ones: tomllib."""
    assert tomllib.loads(toml_text(data)) == data


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_every_document_of_the_demo(path: Path) -> None:
    """Round trip: each document of the invented bakery is written and read as the same, also a second time."""
    document = read_document(path.read_text(encoding="utf-8"), path.name)
    text = document.to_toml()
    again = read_document(text, path.name)
    assert again == document
    assert again.to_toml() == text


def test_dates_and_times_stay_dates_and_times() -> None:
    """Published: TOML 1.0.0, local date and local time are written bare."""
    text = toml_text({"day": dt.date(2026, 3, 14), "hours": [{"start": dt.time(22, 0), "end": dt.time(7, 30)}]})
    assert "day = 2026-03-14\n" in text
    assert "end = 07:30:00\n" in text


def test_the_style_is_one() -> None:
    """Behaviour: a heading for each thing of a list at the top; lists inside it last, one line for each thing."""
    line = {"ingredient": "bread-flour", "percent": 100.0}
    data = {
        "parts": [{"id": "dough", "lines": [line] * 2, "kind": "dough"}, {"id": "wash", "lines": [{'say "x"': 1}]}],
        "shaping": {"sheet": {"slices": 8}, "form": "sheet", "days": ["mon", "tue"]},
        "id": "bun",
    }
    assert (
        toml_text(data)
        == """id = "bun"

[[parts]]
id = "dough"
kind = "dough"
lines = [
    { ingredient = "bread-flour", percent = 100.0 },
    { ingredient = "bread-flour", percent = 100.0 },
]

[[parts]]
id = "wash"
lines = [
    { "say \\"x\\"" = 1 },
]

[shaping]
form = "sheet"
days = ["mon", "tue"]

[shaping.sheet]
slices = 8
"""
    )

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from smallhours.bakery.quantity import (
    Celsius,
    Grams,
    Millilitres,
    Millimetres,
    Seconds,
    parse_duration_s,
    parse_length_mm,
    parse_mass_g,
    parse_temp_c,
    parse_volume_ml,
    write_duration,
    write_length,
    write_mass,
    write_temp,
    write_volume,
)


def test_units_are_exact():
    """Published: NIST SP 811 (2008) appendix B.8: in 25.4 mm, lb 453.59237 g, oz 28.349523125 g, quart 0.946352946 l,
    all exact by definition."""
    assert parse_length_mm("1 in") == 25.4
    assert parse_mass_g("1 lb") == 453.59237
    assert parse_mass_g("1 oz") == 28.349523125
    assert parse_mass_g("16 oz") == pytest.approx(parse_mass_g("1 lb"), rel=1e-15)
    assert parse_volume_ml("1 qt") == 946.352946


@pytest.mark.parametrize(
    ("text", "temp_c"), [("32 °F", 0), ("212 F", 100), ("-40 ℉", -40), ("350 °F", 176.67), ("24 C", 24)]
)
def test_temperatures(text, temp_c):
    """Published: NIST SP 811 appendix B.8: t(C) = (t(F) - 32)/1.8; kept to a hundredth of a degree."""
    assert parse_temp_c(text) == temp_c


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("90 s", 90),
        ("1 h 30 min", 5400),
        ("1.5 h", 5400),
        ("1,5 h", 5400),
        ("2 d", 172800),
        ("1h30min", 5400),
        (".5 min", 30),
    ],
)
def test_durations(text, seconds):
    """Hand: what a person reads there, decimal point or comma, spaces or none."""
    assert parse_duration_s(text) == seconds


def test_mixed_masses():
    """Hand: 3 lb 6 oz is 54 oz of 28.349523125 g."""
    assert parse_mass_g("3 lb 6 oz") == pytest.approx(54 * 28.349523125)
    assert parse_mass_g("7.2 kg") == 7200


@given(st.integers(0, 10**7))
def test_durations_come_back(seconds):
    """Round trip: whole seconds, written and read."""
    assert parse_duration_s(write_duration(seconds)) == seconds


@given(st.floats(0, 1e6))
def test_masses_lengths_volumes_and_temperatures_come_back(value):
    """Round trip: written and read within a milligram, a micrometre, a microlitre, a hundredth of a degree."""
    assert parse_mass_g(write_mass(value)) == pytest.approx(value, abs=0.0006)
    assert parse_length_mm(write_length(value)) == pytest.approx(value, abs=0.0006)
    assert parse_volume_ml(write_volume(value)) == pytest.approx(value, abs=0.0006)
    cold = value / 1e6 * 460 - 60
    assert parse_temp_c(write_temp(cold)) == pytest.approx(cold, abs=0.0051)


@pytest.mark.parametrize("text", ["", "  ", "2", "2 hours", "h", "1 h -30 min", "1..5 h", "nan h", "1e3 s", "2 h x"])
def test_not_a_duration(text):
    """Bad input: the sentence says how to write it."""
    with pytest.raises(ValueError, match=r"write it like '1 h 30 min'|only its first number"):
        parse_duration_s(text)


@pytest.mark.parametrize("text", ["", "24", "24 K", "warm", "24 °C °C"])
def test_not_a_temperature(text):
    """Bad input: a unit is needed."""
    with pytest.raises(ValueError, match="write it like '24 °C'"):
        parse_temp_c(text)


class Everything(BaseModel):
    """One field of each kind."""

    duration: Seconds = 0.0
    temp: Celsius = 0.0
    mass: Grams = 0.0
    length: Millimetres = 1.0
    volume: Millilitres = 1.0


@pytest.mark.parametrize(
    "data",
    [
        {"duration": "-1 h"},
        {"duration": float("nan")},
        {"mass": -1},
        {"mass": "-1 kg"},
        {"mass": float("inf")},
        {"mass": True},
        {"mass": None},
        {"temp": "900 °F"},
        {"temp": -80},
        {"length": 0},
        {"volume": "0 l"},
    ],
)
def test_fields_refuse_what_cannot_be(data):
    """Bad input: negative, not a number, endless, not a quantity, colder than any freezer, no length."""
    with pytest.raises(ValidationError):
        Everything.model_validate(data)


def test_the_published_pattern_agrees_with_the_reader():
    """Behaviour: what the JSON Schema lets through as a text is what the reader takes, and the other way round."""
    fields = Everything.model_json_schema()["properties"]
    patterns = {name: next(o["pattern"] for o in field["anyOf"] if "pattern" in o) for name, field in fields.items()}
    readers = {"duration": parse_duration_s, "temp": parse_temp_c, "mass": parse_mass_g, "length": parse_length_mm,
               "volume": parse_volume_ml}  # fmt: skip
    texts = [
        "1 h 30 min",
        "90 s",
        "2",
        "2 hours",
        "24 °C",
        "75 F",
        "24 K",
        "3 lb 6 oz",
        "7,2 kg",
        "16 in",
        "20 l",
        "x",
        "",
    ]
    for name, read in readers.items():
        for text in texts:
            try:
                read(text)
                taken = True
            except ValueError:
                taken = False
            assert bool(re.search(patterns[name], text)) is taken, (name, text)
    assert json.dumps(fields)

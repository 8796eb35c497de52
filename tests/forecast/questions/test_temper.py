"""Milk and eggs out of the fridge: as the exact series of a sphere and of something stirred have it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from forecast.demo_bakery import kitchen, pantry
from smallhours.errors import BadInput, OutOfRange
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.questions import Here, Tempered, how_long_to_temper
from smallhours.science.conduction import fourier_number, mean_left_fraction
from smallhours.science.warming import biot_number

HOUR = 3600.0


def _here(**conditions: float) -> Here:
    return Here(pantry(), Conditions(kitchen(), **conditions), draw(60))  # type: ignore[arg-type]


def test_an_egg_against_the_exact_series() -> None:
    """Published: mean of a sphere (Carslaw & Jaeger 9.4) with 9 W/(m2 K) around it and the egg's own composition."""
    answer = how_long_to_temper(_here(room_c=22.0, fridge_c=4.0), "eggs", 18.0)
    from smallhours.science.thermal_properties import (
        conductivity_w_per_m_k,
        density_kg_per_m3,
        diffusivity_m2_per_s,
    )

    egg = pantry().find("egg-whole").composition
    radius_mm = (3 * 60.0 / density_kg_per_m3(egg, 13.0) * 1e6 / (4 * math.pi)) ** (1 / 3)
    biot = biot_number(radius_mm, conductivity_w_per_m_k(egg, 13.0), 9.0)
    fourier = fourier_number(answer.number("warm enough").median, radius_mm, diffusivity_m2_per_s(egg, 13.0))
    left = float(np.asarray(mean_left_fraction("sphere", biot, fourier)))
    assert 22.0 - 18.0 * left == pytest.approx(18.0, abs=0.15)


def test_a_jug_of_milk_by_hand() -> None:
    """Hand: stirred, 2 kg in a jug as wide as high: d = 135 mm, volume over area 27 mm, 1031 x 3.9e3 x 0.027 / 9 =
    12,060 s; from 4 °C to 18 °C in 22 °C: ln(18 / 4) times as long, 18,140 s; the wall's lag adds a little."""
    found = how_long_to_temper(_here(room_c=22.0, fridge_c=4.0), "milk", 18.0).number("warm enough").median
    assert 18_140 * 0.99 < found < 18_140 * 1.08


def test_more_takes_longer_and_the_interval_follows_the_air() -> None:
    """Limit: larger is slower; the surface's 80 % from 6 to 12 W/(m2 K) spread the time by about that much."""
    small, large = (how_long_to_temper(_here(room_c=22.0), "milk", 16.0, g).number("warm enough") for g in (500, 5000))
    assert small.median < large.median
    assert 1.6 < large.high / large.low < 2.1


@pytest.mark.parametrize(
    ("what", "wanted_c", "mass_g", "told"),
    [
        ("milk", 24.0, None, "does not warm milk to 24 °C"),
        ("eggs", 18.0, 0.0, "the mass must be"),
        ("eggs", float("nan"), None, "the temperature that is wanted"),
        ("cream", 18.0, None, "milk or eggs"),
    ],
)
def test_what_cannot_be_tempered(what: Tempered, wanted_c: float, mass_g: float | None, told: str) -> None:
    """Bad input: warmer than the room, no mass, not a number, something else."""
    with pytest.raises((BadInput, OutOfRange), match=told):
        how_long_to_temper(_here(room_c=22.0), what, wanted_c, mass_g)

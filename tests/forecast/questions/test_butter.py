"""Butter: as long as the exact series has it, and true of a formula to what the formula itself has."""

from __future__ import annotations

import numpy as np
import pytest

from forecast.demo_bakery import formulas, kitchen, pantry
from smallhours.errors import OutOfRange
from smallhours.forecast.butter_block import block_of, reached_s, softness
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw, estimates
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.questions import Here, how_soft_is_butter
from smallhours.reference.defaults import butter_melting, fat_window
from smallhours.science.dough_temperature import Melting
from smallhours.science.milk_fat import SolidWindow, block_temps_c, softening, solid_fractions

HOUR = 3600.0
BUTTER = 942.5, 0.20, 2.3


def _here(slug: str | None = None, members: int = 60, **conditions: object) -> Here:
    made = Conditions(kitchen(), **conditions)  # type: ignore[arg-type]
    return Here(pantry(), made, draw(members), None if slug is None else formulas()[slug])


def test_every_block_is_as_the_exact_series_has_it() -> None:
    """Published: product of three slabs (Carslaw & Jaeger 1.15), as ``softening`` solves each: within 0.3 %."""
    ensemble, butter, window = draw(60), butter_melting(), fat_window("roll-in")
    block, firm = block_of(454.0, 40.0, BUTTER, False), softness(ensemble, window).firm_c
    found = reached_s(block, ensemble, butter, 5.0, 24.0, firm, False)
    surfaces = Parameters(ensemble).surface_w_per_m2_k("room")[:60]
    for one in (0, 7, 19, 33, 59):
        own = SolidWindow(0.05, float(solid_fractions(butter, firm[one])))
        exact = softening(block, butter, own, 5.0, 24.0, float(surfaces[one])).pliable_s
        assert found[one] == pytest.approx(exact, rel=3e-3)


def test_the_top_of_a_block_against_the_exact_series() -> None:
    """Published: as above, in the middle of the top, without melting: that warm after that long, within 0.05 K."""
    ensemble = draw(60)
    plain = Melting(0.0, 0.0, butter_melting().solid_at)
    block = block_of(1000.0, None, BUTTER, True)
    found = reached_s(block, ensemble, plain, 4.0, 26.0, np.full(60, 18.0), True)
    surfaces = Parameters(ensemble).surface_w_per_m2_k("room")[:60]
    for one in (0, 11, 42):
        temps = block_temps_c(block, 4.0, 26.0, float(surfaces[one]), float(found[one]))
        assert temps.top_c == pytest.approx(18.0, abs=0.05)


def test_butter_is_as_unsure_as_the_table_says() -> None:
    """Hand: 25 % solids of a butter 5 points harder stand where the table has 20 %, at 19 °C; of one 5 points softer
    where it has 30 %, at 15 - 5 x 2 / 12 = 14.17 °C; the middle where it has 25 %, at 16.5 °C."""
    ensemble = draw(500)
    firm = estimates({"firm": softness(ensemble, fat_window("roll-in")).firm_c}, ensemble.weights)["firm"]
    assert (firm.low, firm.median, firm.high) == pytest.approx((14.17, 16.5, 19.0), abs=0.03)


def test_a_flat_block_is_square_and_weighs_what_it_should() -> None:
    """Hand: 942.5 g of butter 20 mm thick: 1,000,000 mm3 over 20 mm are 50,000 mm2, a square of 223.6 mm."""
    block = block_of(942.5, 20.0, BUTTER, False)
    assert (block.length_mm, block.width_mm, block.height_mm) == pytest.approx((223.607, 223.607, 20.0), rel=1e-5)
    assert block_of(250.0, None, BUTTER, False).mass_g == pytest.approx(250.0)


def test_thicker_takes_longer_and_warmer_is_quicker() -> None:
    """Limit: larger is never quicker, a warmer room never slower."""
    lengths = [
        how_soft_is_butter(_here(room_c=24.0), mass_g, None).number("pliable to its middle").median
        for mass_g in (125.0, 250.0, 1000.0)
    ]
    assert lengths == sorted(lengths)
    warmer = [how_soft_is_butter(_here(room_c=c)).number("pliable to its middle").median for c in (20.0, 24.0, 30.0)]
    assert warmer == sorted(warmer, reverse=True)
    flat, rack = (how_soft_is_butter(_here(room_c=24.0), 1000.0, 20.0, on) for on in (False, True))
    assert rack.number("pliable to its middle").median < flat.number("pliable to its middle").median


def test_a_cold_room_never_softens_butter() -> None:
    """Limit: 12 °C is below what butter bends at: look, and warmer is told; in the fridge's own air nothing changes."""
    answer = how_soft_is_butter(_here(room_c=12.0))
    assert answer.look
    assert "does not get pliable in 12 °C" in answer.sentence
    assert answer.number("gets pliable").median < 0.1
    assert how_soft_is_butter(_here(room_c=3.0, fridge_c=3.0)).number("gets pliable").median == 0.0


@pytest.mark.parametrize("slug", ["croissant", "harbour-bun", "brioche"])
def test_under_its_own_conditions_a_formula_works(slug: str) -> None:
    """Limit: as written layers hold, the filling spreads and runs nowhere, butter works in: the formula is trusted."""
    answer = how_soft_is_butter(_here(slug, as_written=True, room_c=20.0))
    shares = [one for one in answer.numbers if one.unit == "fraction" and one.name != "gets pliable"]
    assert len(shares) >= 2
    assert [one.value.median for one in shares] == [0.0] * len(shares)


def test_layers_break_when_cold_and_smear_when_warm() -> None:
    """Limit: a colder fridge breaks more, a hot room smears more."""
    breaks = [
        how_soft_is_butter(_here("croissant", fridge_c=c, room_c=17.0)).number("layers break") for c in (4, 1, -1)
    ]
    assert breaks[0].median <= breaks[1].median <= breaks[2].median
    assert breaks[2].median > 0.5
    hot = how_soft_is_butter(_here("croissant", room_c=36.0))
    assert hot.number("layers smear").median > 0.5
    assert hot.look
    assert "its layers smear" in hot.sentence


def test_a_filling_tears_cold_and_runs_warm() -> None:
    """Limit: bound by butter, at 6 °C it tears, at 20 °C it spreads, at 34 °C it runs; a formula without says none."""
    found = {c: how_soft_is_butter(_here("harbour-bun", room_c=c)) for c in (6.0, 20.0, 34.0)}
    assert found[6.0].number("filling tears the dough").median > 0.9
    assert "at 20 °C it spreads" in found[20.0].sentence
    assert found[34.0].number("filling runs when it is spread").median > 0.9
    assert "illing" not in how_soft_is_butter(_here("brioche")).sentence


def test_hard_butter_lumps_and_a_warm_dough_oils_off() -> None:
    """Limit: butter of 4 °C has 52 % solids, too hard to spread (10 to 40 %); at 31 °C there are 4 %."""
    hard = how_soft_is_butter(_here("brioche"), butter_c=4.0)
    assert hard.number("dough: butter lumps").median > 0.9
    assert "stays in lumps" in hard.sentence
    warm = how_soft_is_butter(_here("brioche", dough_temp_c=31.0))
    assert warm.number("dough: butter oils off").median > 0.9


@pytest.mark.parametrize(
    ("mass_g", "thickness_mm"), [(0.0, None), (250.0, 0.0), (250.0, float("nan")), (float("nan"), None), (1e9, None)]
)
def test_a_block_that_cannot_be(mass_g: float, thickness_mm: float | None) -> None:
    """Bad input: no mass, no thickness, not a number, a tonne."""
    with pytest.raises(OutOfRange, match="of the block must be"):
        how_soft_is_butter(_here(), mass_g, thickness_mm)


def test_butter_that_cannot_be() -> None:
    """Bad input: butter of 60 °C is oil."""
    with pytest.raises(OutOfRange, match="the butter must be"):
        how_soft_is_butter(_here("brioche"), butter_c=60.0)

"""Where a bakery starts from: the smaller tables, typed."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from smallhours.errors import NotFound, OutOfRange
from smallhours.reference import defaults
from smallhours.science.fermentation import activity_ratio, yeast_mass_g
from smallhours.science.shapes import sheet_density_g_per_cm3


def test_yeast_forms():
    """Published: Hamelman (2004): 100 g fresh = 40 g active dry = 33 g instant; dry matter 0.327 (SR28)."""
    ratios = {k: defaults.yeast_per_fresh_ratio(f"yeast-{k}") for k in ("fresh", "active-dry", "instant")}
    assert yeast_mass_g(100.0, ratios["fresh"], ratios["active-dry"]) == pytest.approx(40.0)
    assert yeast_mass_g(100.0, ratios["fresh"], ratios["instant"]) == pytest.approx(33.0)
    assert ratios["instant"] == pytest.approx(31.0 / 94.92, abs=0.005)


def test_yeast_temperatures():
    """Published: growth set of Salvado et al. (2011): optimum 32.3, maximum 45.4 °C; gas at 28 is 1.1 x 26 °C."""
    growth = defaults.cardinal_temperatures("bakers-yeast-growth")
    assert (growth.optimum_c, growth.max_c) == (32.3, 45.4)
    assert activity_ratio(28.0, 26.0, defaults.cardinal_temperatures()) == pytest.approx(1.10, abs=0.005)


def test_friction_is_three_rises():
    """Hand: a spiral's 24 to 28 °F are 13.3 to 15.6 K; a third of that, 4.4 to 5.2 K, meets its range of real rises."""
    figure, rise = defaults.mixer_friction_k("spiral"), defaults.mixer_rise_k("spiral")
    assert (figure.low, figure.high) == (pytest.approx(24 / 1.8, abs=0.05), pytest.approx(28 / 1.8, abs=0.05))
    assert figure.low / 3 < rise.high
    assert rise.low < figure.high / 3
    assert rise.low <= rise.usual <= rise.high


def test_a_fan_moves_more_heat():
    """Property: covered < still < fan < blast chiller, each within its own range."""
    places = ("fridge-still-covered", "fridge-still", "fridge-fan", "blast-chiller")
    found = [defaults.heat_transfer_w_per_m2_k(place) for place in places]
    assert [x.usual for x in found] == sorted(x.usual for x in found)
    assert all(x.low <= x.usual <= x.high for x in found)


def test_butter():
    """Published: McGee: laminating fat has 15 to 25 % solids, which butter holds at 15 to 20 °C; met within 2 K."""
    melting = defaults.butter_melting()
    assert melting.solid_fraction(15.0 + 2.0) <= 0.25 <= melting.solid_fraction(15.0)
    assert melting.solid_fraction(20.0 + 2.0) <= 0.15 <= melting.solid_fraction(20.0)
    assert melting.solid_fraction(40.0) == 0.0
    assert melting.solid_fraction(-18.0) == 0.60


@pytest.mark.parametrize(
    ("litres", "absorption", "kilograms"), [(20, 60, 11.3), (20, 55, 6.8), (20, 40, 4.0), (60, 60, 26.0)]
)
def test_bowls(litres, absorption, kilograms):
    """Published: capacity charts of planetary mixers of 20 and 60 l; inside the range kept per litre."""
    found = defaults.planetary_bowl_kg_per_l(absorption)
    assert found.low - 0.005 <= kilograms / litres <= found.high + 0.005


def test_bowls_between_and_beyond():
    """Hand: half way from 40 to 55 % the lower figure is (0.19 + 0.34) / 2; above 60 % that of 60; below 40 none."""
    assert defaults.planetary_bowl_kg_per_l(47.5).low == pytest.approx(0.265)
    assert defaults.planetary_bowl_kg_per_l(75.0).high == 0.64
    with pytest.raises(OutOfRange, match="maker"):
        defaults.planetary_bowl_kg_per_l(30.0)
    with pytest.raises(OutOfRange):
        defaults.planetary_bowl_kg_per_l(math.nan)


@pytest.mark.parametrize(
    ("fat_and_sugar", "expected"),
    [(0, "lean"), (4.99, "lean"), (5, "enriched"), (17.5, "enriched"), (33.75, "rich"), (75, "very-rich")],
)
def test_classes(fat_and_sugar, expected):
    """Published: common practice: an army sweet dough (17.5 + 16.25 %) is rich, a brioche (5 + 70 %) very rich."""
    assert defaults.dough_class(fat_and_sugar) == expected


def test_baking():
    """Published: losses of 10.7 % (84 to 75 g bun) and 15 % (314 to 267 g loaf) lie in or at the ranges kept."""
    rolls = defaults.bake_loss_percent("rolls")
    assert rolls.low - 1 <= 100 * (1 - 75 / 84) <= rolls.high
    hearth = defaults.bake_loss_percent("hearth-loaf")
    assert hearth.low <= 100 * (1 - 267 / 314) <= hearth.high
    assert defaults.core_end_c("enriched-tin") < defaults.core_end_c("rye-loaf") < 100.0


def test_tins():
    """Published: an army card's 9 7/8 x 4 1/4 x 2 3/4 in tin takes 21.5 oz: 3.10 ml/g, just under the range."""
    volume_mm3 = 9.875 * 4.25 * 2.75 * 25.4**3
    factor = volume_mm3 / 1000 / (21.5 * 28.349523125)
    found = defaults.tin_factor_ml_per_g("white-open")
    assert found.low - 0.15 <= factor <= found.high
    assert sheet_density_g_per_cm3(609.5, 250.825, 107.95, 69.85) == pytest.approx(1 / factor, rel=1e-3)


def test_usual_ranges():
    """Published: common practice: salt 1.8 to 2.2 % of flour; seen 0.9 (school recipe) to 2.5 % (brioche)."""
    salt = defaults.usual_range("salt")
    assert (salt.usual_low_percent, salt.usual_high_percent) == (1.8, 2.2)
    assert (salt.seen_low_percent, salt.seen_high_percent) == (0.9, 2.5)


def test_what_is_not_there():
    """Bad input: an unknown mixer or place says which there are."""
    with pytest.raises(NotFound, match="spiral"):
        defaults.mixer_rise_k("blender")
    with pytest.raises(NotFound, match="room"):
        defaults.heat_transfer_w_per_m2_k("moon")
    with pytest.raises(OutOfRange):
        defaults.dough_class(-1.0)


def test_light_to_import():
    """Behaviour: none of this pulls in the heavy numerical libraries before they are needed."""
    script = (
        "import sys, pkgutil, importlib, smallhours.science, smallhours.reference.defaults\n"
        "from smallhours.reference.ingredients import all_ingredients\n"
        "all_ingredients()\n"
        "for module in pkgutil.iter_modules(smallhours.science.__path__):\n"
        "    importlib.import_module('smallhours.science.' + module.name)\n"
        "print(sorted({'numpy', 'scipy', 'pandas', 'django'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": ":".join(sys.path)},
    )
    assert done.stdout.strip() == "[]"
